"""How the days of a month lie about its mean clearness: clearness at SCORES, by the kind that the climate names."""

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtr

from .sun import DARK_DAY_WH, clearest_days, month_of, record_sky

SCORES = np.linspace(-6.25, 6.25, 1001)  # a month's clearness is read from a table over normal scores
BINS = 800  # of the learned distribution


def unit_mean(x):
    """Of a density exp(x t) on 0 to 1."""
    return 0.5 + x / 12 if abs(x) < 1e-3 else 1 / -np.expm1(-x) - 1 / x


def bendt(mean):
    """Bendt, Collares-Pereira & Rabl 1981, limits of Huget 1985."""
    low, high = 0.05, 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8
    if mean < 0.10:
        low, high = min(0.05, mean / 2), max(high, mean + 0.15)
    x = brentq(lambda x: unit_mean(x) - (mean - low) / (high - low), -700, 700, xtol=1e-13, rtol=1e-15)
    u = ndtr(SCORES)
    t = u if abs(x) < 1e-6 else np.where(x < 0, np.log1p(u * np.expm1(x)) / x, 1 + np.log(u + (1 - u) * np.exp(-x)) / x)
    return low + (high - low) * np.clip(t, 0, 1)


def beta_shares(mean, nu):
    """A beta density's shares of even bins, by the bins' middles, the two end bins by their integral."""
    a, b = max(mean * nu, 0.05), max((1 - mean) * nu, 0.05)
    x = (np.arange(BINS) + 0.5) / BINS
    density = np.exp((a - 1) * np.log(x) + (b - 1) * np.log(1 - x))
    density[0], density[-1] = BINS ** (1 - a) / a, BINS ** (1 - b) / b  # unbounded there: the integral
    return density / density.sum(), (density * x).sum() / density.sum()


def learned(mean, air_c, clearest=1):
    """A dull and a clear beta between limits, mixed to the month's mean; clear days draw together in warm months.

    No day is clearer than a cloudless one, unless the mean leaves no room below.
    """
    low = min(0.03, mean / 2)
    high = min(max(0.725 + 0.087 * (mean - 0.5), mean + 0.08), 8 * mean, max(clearest, 1.08 * mean))
    mu = (mean - low) / (high - low)
    apart = np.exp(-0.452 * max(air_c - 15, 0) / 10)
    dull, dull_mean = beta_shares(mu * 0.463, 13.27)
    clear, clear_mean = beta_shares(1 - (1 - mu) * (1 - (1 - 0.827) * apart), 2.91 / apart**2)
    w = np.clip((clear_mean - mu) / (clear_mean - dull_mean), 0, 1)
    below = np.concatenate([[0], np.cumsum(w * dull + (1 - w) * clear)])
    return low + (high - low) * np.interp(ndtr(SCORES), below, np.arange(BINS + 1) / BINS)


INLAND = 1 + np.array([0, 3, 10, 12, 7, 5, 5, 5, 8, 7, 3, 0]) / 100  # from January in the north


def spread_of_months(climate):
    """How many times as far as learned the days lie from their mean: inland by the year's range of temperature."""
    air = np.array(climate.air_temp_c)
    share = np.clip((np.ptp(air) - 18) / 7, 0, 1)
    return 1 + share * (np.roll(INLAND, 6 if warm_in_july(air) < 0 else 0) - 1)


def warm_in_july(air):
    """1 where the normals follow the northern seasons, -1 the southern; between below a swing of 4 K."""
    return np.clip(np.mean(air * np.cos(np.pi * (np.arange(12) - 6.5) / 6)) * 2 / 4, -1, 1)


def spread(table, factor, clearest):
    """The same mean, by the density of the normal scores; nothing under .02 nor over the clearest day."""
    if factor == 1:
        return table
    weight = np.exp(-(SCORES**2) / 2)
    weight /= weight.sum()
    mean = weight @ table

    def days(centre):
        return np.clip(centre + factor * (table - mean), min(0.02, table[0]), max(clearest, table[-1]))

    return days(brentq(lambda centre: weight @ days(centre) - mean, -1, 2, xtol=1e-15, rtol=1e-15))


def of_record(record, month):
    """Measured days of that month in any year: quantiles at (i - 1/2)/n, flat beyond."""
    skies, within = record_sky(record)
    lead = -within % 24
    first = 0 if within == 0 else 1
    days = (record.hours - lead) // 24
    ghi = np.asarray(record.ghi_w_m2)[lead : lead + 24 * days].reshape(days, 24).sum(1)
    i0 = skies.i0[first : first + days].sum(1)
    here = (month_of(skies.days[first : first + days]) == month) & (i0 >= DARK_DAY_WH)
    k = np.sort(np.minimum(ghi[here] / i0[here], 1))
    return np.interp(ndtr(SCORES), (np.arange(len(k)) + 0.5) / len(k), k)


def thin_air(climate):
    """How much more a clear sky lets through at the climate's height than at sea level."""
    return 1 + 0.03 * max(climate.altitude_m or 0, 0) / 1000


def clearness_marginal(climate, month, mean):
    """The one place that knows the distribution."""
    if climate.clearness_days == "bendt":
        return bendt(mean)
    if climate.clearness_days == "record":
        return of_record(climate.weather_series, month)
    clearest = clearest_days(climate.latitude, thin_air(climate))[month]
    return spread(learned(mean, climate.air_temp_c[month], clearest), spread_of_months(climate)[month], clearest)
