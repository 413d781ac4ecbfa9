"""Daily clearness and temperature, and the hours within the days, (trials, days[, 24])."""

from dataclasses import dataclass

import numpy as np

from .draws import by_day, normal_of
from .marginal import SCORES, clearness_marginal, thin_air, warm_in_july
from .sun import DARK_DAY_WH, clear_limit, day_of_year, diffuse_share, month_of, monthly_extraterrestrial

CLEAREST = 0.88  # at sea level
LEAST_AMPLITUDE_K = 1.5
MOST_BEAM_SHARE = 0.85  # of the extraterrestrial
MID_MONTH = np.array([16.5, 46, 75.5, 106, 136.5, 167, 197.5, 228.5, 259, 289.5, 320, 350.5])


def mean_clearness(climate):
    """Of each month; 0 where it is dark."""
    h0 = monthly_extraterrestrial(climate.latitude)
    return np.where(h0 < DARK_DAY_WH, 0, 1000 * np.array(climate.ghi_kwh_m2_day) / np.maximum(h0, 1))


def same_day_correlation(climate):
    """Of the normal scores of clearness and temperature, by month: sunny is cold in winter, warm in summer."""
    if climate.clearness_temp_corr is not None:
        return np.array(climate.clearness_temp_corr)
    northern = np.array([-0.2, -0.2, 0.1, 0.1, 0.1, 0.3, 0.3, 0.3, 0, 0, 0, -0.2])
    follows = warm_in_july(np.array(climate.air_temp_c))
    return abs(follows) * (np.roll(northern, 6) if follows < 0 else northern)


def air_spread(climate):
    """Standard deviation of daily means by month: wider where the year is, and in its cold months."""
    if climate.air_temp_sd_c is not None:
        return np.array(climate.air_temp_sd_c)
    air = np.array(climate.air_temp_c)
    return np.maximum(1.08 + 0.125 * np.ptp(air) - 0.109 * (air - air.mean()), 0.8)


def air_normals(climate, days):
    """Straight lines between mid-months that give each month its own mean."""
    year = np.arange(1, 366)
    month = month_of(year - 1)  # 1970 has no leap day
    lines = np.stack([np.interp(year, MID_MONTH, unit, period=365) for unit in np.eye(12)])
    means = np.stack([lines[:, month == m].mean(1) for m in range(12)])
    nodes = np.linalg.solve(means, np.array(climate.air_temp_c))
    return np.interp(np.minimum(day_of_year(days), 365), MID_MONTH, nodes, period=365)


def air_shape(solar_hour):
    """Erbs, Klein & Beckman 1983, mean 0."""
    tau = 2 * np.pi * (solar_hour - 1) / 24
    return (
        0.4632 * np.cos(tau - 3.805)
        + 0.0984 * np.cos(2 * tau - 0.360)
        + 0.0168 * np.cos(3 * tau - 0.822)
        + 0.0138 * np.cos(4 * tau - 3.513)
    )


@dataclass
class ClimateDays:
    """What the climate says of each calendar day, in order; several places may follow each other."""

    table: np.ndarray  # clearness at SCORES, (days, 1001)
    air_c: np.ndarray
    air_sd_c: np.ndarray
    correlation: np.ndarray
    air_lag1: np.ndarray
    thin_air: np.ndarray


def climate_days(climate, days, marginal=clearness_marginal):
    month, mean = month_of(days), mean_clearness(climate)
    tables = {m: marginal(climate, m, mean[m]) if mean[m] > 0 else np.zeros_like(SCORES) for m in set(month.tolist())}
    return ClimateDays(
        table=np.array([tables[m] for m in month.tolist()]),
        air_c=air_normals(climate, days),
        air_sd_c=air_spread(climate)[month],
        correlation=same_day_correlation(climate)[month],
        air_lag1=np.full(len(days), climate.air_temp_lag1),
        thin_air=np.full(len(days), thin_air(climate)),
    )


def daily(climate, draws, lag1, scale, offset_k):
    """Clearness and mean air temperature of each day; lag1, scale, offset_k: (trials,) or (trials, days).

    Two first-order autoregressive scores; the innovations are correlated so that the scores are as declared.
    """
    days = len(climate.air_c)
    lag1, scale, offset_k = by_day(lag1, days), by_day(scale, days), by_day(offset_k, days)
    names = "clearness", "temperature"
    of = {name: normal_of(draws.daily_draws("weather." + name, 1)[:, :days, 0]) for name in names}
    clear, warm = of["clearness"].copy(), of["temperature"].copy()
    r = climate.correlation
    warm[:, 0] = r[0] * of["clearness"][:, 0] + np.sqrt(1 - r[0] ** 2) * of["temperature"][:, 0]
    for d in range(1, days):
        phi, psi = lag1[:, d], climate.air_lag1[d]
        phi_rest, psi_rest = np.sqrt(1 - phi**2), np.sqrt(1 - psi**2)
        c = np.clip(r[d] * (1 - phi * psi) / (phi_rest * psi_rest), -1, 1)
        clear[:, d] = phi * clear[:, d - 1] + phi_rest * of["clearness"][:, d]
        innovation = c * of["clearness"][:, d] + np.sqrt(1 - c**2) * of["temperature"][:, d]
        warm[:, d] = psi * warm[:, d - 1] + psi_rest * innovation
    k = np.stack([np.interp(clear[:, d], SCORES, climate.table[d]) for d in range(days)], axis=1)
    return np.minimum(k * scale, CLEAREST * climate.thin_air), climate.air_c + climate.air_sd_c * warm + offset_k


def hourly_clearness(k, sky, cloud, thin_air):
    """Mean profile and an autoregressive cloud (Aguiar & Collares-Pereira 1992) that keeps the day's total.

    k: (trials, days); cloud: normal scores (trials, days, 24).
    """
    dark = sky.i0.sum(-1) < DARK_DAY_WH
    i0 = np.where(dark[:, None], 0, sky.i0)
    limit = thin_air[:, None] * clear_limit(np.arange(24) + sky.solar_minus_clock[:, None] + 1)
    phi = 0.38 + 0.06 * np.cos(7.4 * k - 2.5)
    y, started = np.zeros_like(cloud), np.zeros(len(sky.days), bool)
    previous = np.zeros_like(k)
    for h in range(24):
        lit = i0[:, h] > 0
        follows = phi * previous + np.sqrt(1 - phi**2) * cloud[..., h]
        previous = np.where(lit, np.where(started, follows, cloud[..., h]), previous)
        started |= lit
        y[..., h] = previous
    sigma = (
        0.14
        * np.exp(-20 * (k - 0.35) ** 2)[..., None]
        * np.exp((3 * (k - 0.45) ** 2 + 16 * k**5)[..., None] * (1 - sky.sin_altitude))
    )
    mean = k[..., None] * sky.profile
    kt = np.minimum(np.maximum(mean + sigma * y, 0.02 * mean), limit) * (i0 > 0)
    # Too little left: all hours move towards the limit; then one factor.
    target, room = k * i0.sum(-1), ((limit - kt) * i0).sum(-1)
    fill = np.clip((target - (kt * i0).sum(-1)) / np.maximum(room, 1e-20), 0, 1)
    kt = (kt + fill[..., None] * (limit - kt)) * (i0 > 0)
    return kt * (target / np.maximum((kt * i0).sum(-1), 1e-20))[..., None], i0


def hourly_air(mean, k, sky):
    """Straight lines from midnight to noon to midnight that keep the days' means, and the daily wave on them.

    mean: (trials, days + 1). Before the first day it was as warm as on it.
    """
    today, after = mean[:, :-1, None], mean[:, 1:, None]
    before = np.concatenate([mean[:, :1], mean[:, :-2]], axis=1)[..., None]
    dawn, night = (before + today) / 2, (today + after) / 2
    noon = 1.5 * today - (before + after) / 4
    x = (np.arange(24) + 0.5) / 12
    line = np.where(x < 1, dawn + (noon - dawn) * x, noon + (night - noon) * (x - 1))
    amplitude = np.maximum(25.8 * k - 5.21, LEAST_AMPLITUDE_K)
    amplitude = np.where(sky.i0.sum(-1) < DARK_DAY_WH, LEAST_AMPLITUDE_K, amplitude)
    shape = air_shape(np.arange(24) + 0.5 + sky.solar_minus_clock[:, None])
    return line + amplitude[..., None] * shape


@dataclass
class Weather:
    clearness: np.ndarray  # (trials, days)
    ghi: np.ndarray  # W/m2, (trials, days, 24)
    direct: np.ndarray  # its part from the Sun, on the horizontal
    air: np.ndarray  # degC

    @property
    def diffuse(self):
        return self.ghi - self.direct

    def by_clock(self, sky_of_clock):
        """The same by the days of a clock, for each of whose hours the sky's is given; its day is that of the noon."""
        at = np.divmod(sky_of_clock.reshape(-1, 24), 24)
        clearness = self.clearness[:, at[0][:, 12]]
        return Weather(clearness, *(v[:, at[0], at[1]] for v in (self.ghi, self.direct, self.air)))


def generated(climate, draws, sky, lag1, scale, offset_k):
    """Weather of the trip's days; `climate`: a day longer than `sky`."""
    k, mean = daily(climate, draws, lag1, scale, offset_k)
    today = k[:, :-1]
    cloud = normal_of(draws.daily_draws("weather.cloud", 24)[:, : len(sky.days)])
    kt, i0 = hourly_clearness(today, sky, cloud, climate.thin_air[: len(sky.days)])
    ghi = kt * i0
    direct = np.minimum(ghi * (1 - diffuse_share(kt)), MOST_BEAM_SHARE * i0)
    return Weather(today, ghi, direct, hourly_air(mean, today, sky))
