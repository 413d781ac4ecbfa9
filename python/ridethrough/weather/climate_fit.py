"""Fits the fields of a climate to measured hours: monthly normals, spreads and persistence."""

from __future__ import annotations

from statistics import NormalDist
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model.errors import bad_input
from .hourly_series import HourlySeries

if TYPE_CHECKING:
    import pandas
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Integers = NDArray[np.int64]

DARK_DAY_WH_M2 = 0.5e6 / 3600
DAILY_COLUMNS = ("ghi_kwh_m2", "temp_min_c", "temp_max_c")
LEAST_DAYS_A_MONTH = 150  # about five years, own choice: a decile then rests on 15 days
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_SHAPE_RANGE_K = 0.9758  # of the diurnal temperature shape: Erbs, Klein & Beckman 1983, computed


def fit(series: _core.HourlySeries) -> dict[str, Any]:
    """Fields of a Climate from an HourlySeries's whole days; see `climate.from_hourly`."""
    day, ghi_wh, h0_wh, air_c = _whole_days(series)
    date = day.astype("datetime64[D]")
    month = date.astype("datetime64[M]").astype(np.int64) % 12
    day_of_year = (date - date.astype("datetime64[Y]")).astype(np.int64) + 1
    absent = [_MONTHS[m] for m in range(12) if np.count_nonzero(month == m) < 5]
    if absent:
        raise bad_input(
            "weather frame", reason=f"fewer than 5 whole days in {', '.join(absent)}; a climate needs all twelve months"
        )
    ghi = [float(ghi_wh[month == m].mean()) / 1000 for m in range(12)]
    air = [float(air_c[month == m].mean()) for m in range(12)]
    anomaly = air_c - np.asarray(_core.along_year(_core.mid_month_nodes(air), day_of_year.astype(float)))
    sd = np.array([anomaly[month == m].std(ddof=1) for m in range(12)])
    lit = h0_wh >= DARK_DAY_WH_M2
    score_k = np.full(len(day), np.nan)
    score_t = np.full(len(day), np.nan)
    for m in range(12):
        score_k[lit & (month == m)] = normal_scores((ghi_wh / np.where(lit, h0_wh, 1))[lit & (month == m)])
        score_t[month == m] = normal_scores(anomaly[month == m])
    follows = _follows(series, day)
    unit = anomaly / np.where(sd > 0, sd, 1)[month]
    return {
        "ghi_kwh_m2_day": ghi,
        "air_temp_c": air,
        "clearness_lag1": float(np.clip(lag1(score_k, follows), 0, 0.9)),
        "air_temp_sd_c": [float(s) for s in np.minimum(sd, 20)],
        "air_temp_lag1": float(np.clip(lag1(unit, follows), 0, 0.95)),
        "clearness_temp_corr": seasonal_correlation(score_k, score_t, month),
        "clearness_days": "record" if _enough(month[lit]) else "learned",
    }


def _enough(month: Integers) -> bool:
    """Whether a series has days enough to replace the distribution that was learned elsewhere."""
    counts = np.bincount(month, minlength=12)
    return bool(counts[counts > 0].min(initial=LEAST_DAYS_A_MONTH) >= LEAST_DAYS_A_MONTH)


def _whole_days(series: _core.HourlySeries) -> tuple[Integers, Array, Array, Array]:
    lead = -series.first_hour % 24
    n = (series.hours - lead) // 24
    if n < 1:
        raise bad_input("weather frame", reason="it holds no whole day")
    cut = slice(lead, lead + 24 * n)
    days = (series.first_hour + lead) // 24 + np.arange(n)
    by_day = (np.asarray(x)[cut].reshape(n, 24) for x in (series.ghi_w_m2, series.i0_wh_m2, series.air_temp_c))
    ghi, i0, air = by_day
    return days, ghi.sum(axis=1), i0.sum(axis=1), air.mean(axis=1)


def _follows(series: _core.HourlySeries, day: Integers) -> NDArray[np.bool_]:
    """For each pair of days in a row, whether the second really followed the first."""
    first = int(day[0]) * 24 - series.first_hour
    splice_days = {(s - first) // 24 for s in series.splices}
    return np.array([i + 1 not in splice_days for i in range(len(day) - 1)], dtype=bool)


def normal_scores(values: Array) -> Array:
    """Standard normal quantile of each value's rank, plotting position (rank - 1/2)/n."""
    n = len(values)
    rank = np.empty(n, dtype=np.int64)
    rank[np.argsort(values, kind="stable")] = np.arange(n)
    quantile = NormalDist().inv_cdf
    return np.array([quantile((r + 0.5) / n) for r in rank])


def lag1(scores: Array, follows: NDArray[np.bool_]) -> float:
    """Lag-1 correlation of the days that follow one another."""
    a, b = scores[:-1][follows], scores[1:][follows]
    both = np.isfinite(a) & np.isfinite(b)
    a, b = a[both], b[both]
    power = float(np.sqrt((a @ a) * (b @ b)))
    return float(a @ b) / power if power > 0 else 0.0


def seasonal_correlation(score_k: Array, score_t: Array, month: Integers) -> list[float]:
    """Same-day correlation by month, pooled over its season (three months from December), which holds noise down."""
    out = np.zeros(12)
    for season in range(4):
        inside = ((month + 1) % 12 // 3 == season) & np.isfinite(score_k)
        k, t = score_k[inside], score_t[inside]
        power = float(np.sqrt((k @ k) * (t @ t)))
        months = [(3 * season + i + 11) % 12 for i in range(3)]
        out[months] = np.clip(float(k @ t) / power, -0.9, 0.9) if power > 0 else 0.0
    return [float(c) for c in out]


def read_daily(frame: pandas.DataFrame) -> tuple[Integers, tuple[Array, Array, Array]]:
    """Days since 1970 of a daily frame's rows, in the frame's order, and its DAILY_COLUMNS."""
    missing = [name for name in DAILY_COLUMNS if name not in frame]
    if missing or len(frame) == 0:
        raise bad_input("weather frame", reason=f"no {'column ' + ', '.join(missing) if missing else 'rows'}")
    index: Any = frame.index
    if not hasattr(index, "tz"):
        raise bad_input("weather frame", reason="its index must be a DatetimeIndex of days")
    day = index.tz_localize(None).to_numpy().astype("datetime64[D]").astype(np.int64)
    try:
        ghi, low, high = (np.asarray(frame[name], dtype=np.float64) for name in DAILY_COLUMNS)
    except (TypeError, ValueError):
        raise bad_input("weather frame", reason="a column holds what is not a number") from None
    return day, (ghi, low, high)


def hours_of_days(frame: pandas.DataFrame, latitude: float, longitude: float, utc_offset_h: float) -> HourlySeries:
    """Daily weather expanded to hours; see `climate.from_daily`."""
    day, (ghi, low, high) = read_daily(frame)
    jumps = np.flatnonzero(np.diff(day) != 1)
    if len(jumps):
        at = int(jumps[0]) + 1
        raise bad_input(
            "weather frame", reason=f"{frame.index[at]} comes after {frame.index[at - 1]}; days must be in a row"
        )
    for name, values in zip(DAILY_COLUMNS, (ghi, low, high), strict=True):
        bad = np.flatnonzero(~np.isfinite(values))
        if len(bad):
            raise bad_input(
                "weather frame", reason=f"{name} is not finite on {len(bad)} days, first {frame.index[bad[0]]}"
            )
    if np.any(high < low):
        raise bad_input(
            "weather frame", reason=f"temp_max_c is below temp_min_c on {frame.index[int(np.argmax(high < low))]}"
        )
    sky = _core.sky_days(int(day[0]), len(day), latitude, longitude, utc_offset_h)
    h0 = sky["h0_wh_m2"]
    light = ghi / np.where(h0 > 0, h0, 1) * 1000
    hourly = light[:, None] * sky["profile"] * sky["i0_wh_m2"]
    return HourlySeries(
        utc_offset_h, int(day[0]) * 24, hourly.ravel(), _diurnal(low, high, sky["solar_minus_clock_h"]).ravel()
    )


def _diurnal(low: Array, high: Array, solar_minus_clock_h: Array) -> Array:
    """Hourly temperature: lines from midnight to noon to midnight that keep each day's mean, and the diurnal shape."""
    mean = (low + high) / 2
    before, after = np.concatenate([mean[:1], mean[:-1]]), np.concatenate([mean[1:], mean[-1:]])
    dawn, noon, night = (before + mean) / 2, 1.5 * mean - 0.25 * (before + after), (mean + after) / 2
    at = (np.arange(24) + 0.5) / 12
    line = np.where(
        at < 1,
        dawn[:, None] + (noon - dawn)[:, None] * at,
        noon[:, None] + (night - noon)[:, None] * (at - 1),
    )
    shape = np.asarray(_core.air_shape(np.arange(24) + 0.5 + solar_minus_clock_h[:, None]))
    return np.asarray(line + ((high - low) / _SHAPE_RANGE_K)[:, None] * shape)


def monthly_means(hours: HourlySeries, values: Array) -> list[float]:
    """Plain means by calendar month of an hourly column; NaN-free where every month is there."""
    stamps = np.datetime64(0, "h") + hours.first_hour + np.arange(len(values))
    month = stamps.astype("datetime64[M]").astype(int) % 12
    counts = np.bincount(month, minlength=12)
    if not counts.all():
        raise bad_input(
            f"the weather has no hour in month {int(np.argmin(counts)) + 1}", reason="all twelve are needed"
        )
    return (np.bincount(month, weights=values, minlength=12) / counts).tolist()  # type: ignore[no-any-return]
