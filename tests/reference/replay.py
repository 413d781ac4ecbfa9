"""Real days of a measured record in place of generated ones."""

import numpy as np

from .draws import uniform_of
from .sun import diffuse_share, record_sky
from .weather import MOST_BEAM_SHARE, Weather


def split(ghi, i0, dhi=None):
    """Diffuse part of measured hours: Erbs where it was not measured; no more beam than an atmosphere lets through."""
    ghi = np.maximum(ghi, 0)
    if dhi is None:
        kt = np.minimum(np.divide(ghi, i0, out=np.ones_like(ghi), where=i0 > 0), 1)
        dhi = np.where(i0 > 0, ghi * diffuse_share(kt), ghi)
    return ghi, np.minimum(np.maximum(dhi, np.maximum(ghi - MOST_BEAM_SHARE * i0, 0)), ghi)


def starts(record, calendar, window_d):
    """Hours of the record at midnights of the trip's clock, within `window_d` days of its date, in every year."""
    date = np.array(calendar.first_day).astype("datetime64[D]")
    first = np.datetime64("1970-01-01") + np.timedelta64(int(record.first_hour // 24), "D")
    last = first + np.timedelta64(record.hours // 24 + 1, "D")
    years = np.arange(first.astype("datetime64[Y]").astype(int) - 1, last.astype("datetime64[Y]").astype(int) + 2)
    if record.wraps:
        years = years[1:2]
    month = date.astype("datetime64[M]").astype(int) % 12
    months = (12 * years + month).astype("datetime64[M]")
    in_month = (date - date.astype("datetime64[M]").astype("datetime64[D]")).astype(int)
    length = ((months + 1).astype("datetime64[D]") - months.astype("datetime64[D]")).astype(int)
    days = months.astype("datetime64[D]").astype(int) + np.minimum(in_month, length - 1)
    window = np.arange(-int(window_d), int(window_d) + 1)
    hour = np.unique((days[:, None] + window) * 24 + calendar.clock.record_ahead_h - record.first_hour)
    if record.wraps:
        return np.unique(hour % record.hours)
    return hour[(hour >= 0) & (hour + 24 * calendar.sky_days <= record.hours)]


def hours_of(record, calendar, draws, window_d):
    """(trials, days, 24) hours of the record."""
    offered = starts(record, calendar, window_d)
    u = uniform_of(draws.daily_draws("weather.replay", 1)[:, 0, 0])
    chosen = offered[(u * len(offered)).astype(int)]
    return (chosen[:, None, None] + np.arange(24 * calendar.sky_days).reshape(-1, 24)) % record.hours


def replayed(record, index):
    """Weather of the chosen hours; light is what the record says, its split checked by `split`."""
    skies, within = record_sky(record)
    i0 = skies.i0.ravel()[within:]
    ghi, dhi, air = (np.asarray(v)[index] for v in (record.ghi_w_m2, record.dhi_w_m2, record.air_temp_c))
    clearness = np.minimum(ghi.sum(-1) / np.maximum(i0[index].sum(-1), 1), 1)
    return Weather(clearness, ghi, ghi - dhi, air)
