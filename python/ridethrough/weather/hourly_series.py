"""Weather frames averaged to hours on one fixed clock. Whatever is doubtful about their index is an InputError."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model.checks import is_number
from ..model.errors import bad_input

if TYPE_CHECKING:
    import pandas
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

_core.WeatherSeries.__doc__ = """Hourly weather that a climate holds: measured hours, kept by reference.

Attributes
----------
digest : int
    64-bit fingerprint of all values; two series of the same one are equal.

Examples
--------
>>> climate = rt.Climate.from_daily(record, latitude=36.1, longitude=-79.95)
>>> isinstance(climate.weather_series, rt.WeatherSeries), climate.weather_series == climate.weather_series
(True, True)
"""

CYCLE_YEAR = 2001  # the 365 days that a typical year is placed on
CYCLE_HOURS = 8760
LONGEST_FILLED_H = 3
_MONTH_HOURS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) * 24
_LABELS = {"left": 0.0, "centre": 0.5, "right": 1.0}  # position of the time stamp within its step, from 0 at the start


@dataclass
class HourlySeries:
    """Hours in a row; `first_hour` counts clock hours from 1970-01-01 0:00 at `utc_offset_h`."""

    utc_offset_h: float
    first_hour: int
    ghi_w_m2: Array
    air_temp_c: Array
    dhi_w_m2: Array | None = None
    dni_w_m2: Array | None = None
    wraps: bool = False
    splices: list[int] = field(default_factory=list)

    def to_series(self, latitude: float, longitude: float) -> _core.HourlySeries:
        """The series as the core takes it."""
        dhi = self.dhi_w_m2
        if dhi is None and self.dni_w_m2 is not None:
            dhi = self.ghi_w_m2 - self.dni_w_m2 * self._mean_cos_zenith(latitude, longitude)
            dhi = np.clip(dhi, 0, np.maximum(self.ghi_w_m2, 0))
        return _core.HourlySeries(
            latitude=latitude,
            longitude=longitude,
            utc_offset_h=self.utc_offset_h,
            first_hour=self.first_hour,
            ghi_w_m2=self.ghi_w_m2,
            air_temp_c=self.air_temp_c,
            dhi_w_m2=dhi,
            wraps=self.wraps,
            splices=self.splices,
        )

    def _mean_cos_zenith(self, latitude: float, longitude: float) -> Array:
        minutes = (np.arange(12) + 0.5) / 12
        utc = self.first_hour - self.utc_offset_h + np.arange(len(self.ghi_w_m2))[:, None] + minutes
        cos_zenith, _, _ = _core.sun_position(utc, latitude, longitude)
        return np.asarray(np.maximum(cos_zenith, 0).mean(axis=1))


def round_offset(longitude: float) -> float:
    """Clock ahead of UTC [h] by the longitude alone."""
    return float(np.floor(longitude / 15 + 0.5))


def offset_of_days(longitude: float, utc_offset_h: object) -> float:
    """Clock ahead of UTC [h] whose midnight parts the days of a daily record: the one given, or by the longitude."""
    if utc_offset_h is None:
        return round_offset(longitude)
    if not is_number(utc_offset_h) or not -14 <= utc_offset_h <= 14:
        raise bad_input("utc_offset_h", utc_offset_h, allowed="-14 to 14 h")
    return float(utc_offset_h)


def to_hourly(
    frame: pandas.DataFrame, *, label: str, fill: str | None, typical_year: bool | None, keep_gaps: bool = False
) -> HourlySeries:
    """Check a frame's index and columns and lay its rows out by hours; see `climate.from_hourly`.

    Gaps are an error, or filled, or kept as NaN.
    """
    if label not in _LABELS:
        raise bad_input("label", label, allowed="'left', 'right', 'centre'")
    if fill not in (None, "interpolate"):
        raise bad_input("fill", fill, allowed="None, 'interpolate'")
    columns = _columns(frame)
    starts, step_s, offset_h = _interval_starts(frame.index, label)
    local = starts + int(offset_h * 3600)
    months = local.astype("datetime64[s]").astype("datetime64[M]").astype(np.int64)
    runs = np.flatnonzero(np.diff(months, prepend=months[0] - 1))  # where a new month begins
    if typical_year is None:
        typical_year = _is_typical(months[runs])
    _check_increasing(frame.index, starts, months if typical_year else None)
    if typical_year:
        hour, count = _hours_of_cycle(local, months, runs), CYCLE_HOURS
        first_hour = _core.day_number(CYCLE_YEAR, 1, 1) * 24
    else:
        hour = local // 3600
        first_hour = int(hour[0])
        hour, count = hour - first_hour, int(hour[-1]) - first_hour + 1
    keep = hour >= 0
    hourly = {name: _hourly_means(hour[keep], values[keep], count, 3600 // step_s) for name, values in columns.items()}
    if not typical_year:  # a first or last hour begun or ended midway is not a gap
        full = np.bincount(hour, minlength=count) == 3600 // step_s
        lead, tail = int(np.argmax(full)), count - int(np.argmax(full[::-1]))
        hourly, first_hour = {k: v[lead:tail] for k, v in hourly.items()}, first_hour + lead
    for name, values in hourly.items() if not keep_gaps else ():
        hourly[name] = _without_gaps(name, values, first_hour, fill)
    splices: list[int] = []
    if typical_year:
        splices = [0, *np.cumsum(_MONTH_HOURS)[:-1].tolist()]
    return HourlySeries(
        offset_h,
        first_hour,
        hourly["ghi"],
        hourly["temp_air"],
        hourly.get("dhi"),
        hourly.get("dni"),
        typical_year,
        splices,
    )


def _columns(frame: pandas.DataFrame) -> dict[str, Array]:
    if len(frame) == 0:
        raise bad_input("weather frame", reason="it has no rows")
    missing = [name for name in ("ghi", "temp_air") if name not in frame]
    if missing:
        raise bad_input(
            "weather frame", reason=f"no column {', '.join(missing)}; it has {', '.join(map(str, frame.columns))}"
        )
    names = [name for name in ("ghi", "temp_air", "dhi", "dni") if name in frame]
    try:
        return {name: np.asarray(frame[name], dtype=np.float64) for name in names}
    except (TypeError, ValueError):
        raise bad_input("weather frame", reason="a column holds what is not a number") from None


def _interval_starts(index: Any, label: str) -> tuple[NDArray[np.int64], int, float]:
    """Seconds from 1970 UTC at which each row's interval starts, the step [s], the clock ahead of UTC [h]."""
    if getattr(index, "tz", "none") == "none":
        raise bad_input(
            "weather frame", reason=f"its index must be a DatetimeIndex with a time zone, not {type(index).__name__}"
        )
    if index.tz is None:
        raise bad_input("weather frame", reason="its index has no time zone; give it one with frame.tz_localize(...)")
    if index.hasnans:
        raise bad_input("weather frame", reason=f"{int(index.isna().sum())} of the index's stamps are NaT")
    if len(index) < 2:
        raise bad_input("weather frame", reason="one row only")
    utc = index.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]").astype(np.int64)
    steps = np.diff(utc)
    step_s = int(np.median(steps))
    if not 0 < step_s <= 3600 or 3600 % step_s:
        raise bad_input("weather frame", reason=f"its usual step is {step_s / 60:g} min; must divide one hour")
    starts = utc - round(_LABELS[label] * step_s)
    # Standard time: the smaller offset, where the zone has two.
    offset_s = min(int(index[i].utcoffset().total_seconds()) for i in range(0, len(index), max(len(index) // 24, 1)))
    if np.all(starts % step_s == 0) and np.any((starts + offset_s) % step_s):
        offset_s = int(np.floor(offset_s / 3600 + 0.5)) * 3600  # full hours in UTC, not in the zone's own time
    off = (starts + offset_s) % step_s
    if np.any(off):
        at = index[int(np.flatnonzero(off)[0])]
        raise bad_input(
            "weather frame",
            reason=f"with label = {label!r} the interval of {at} starts {int(off[off > 0][0]) / 60:g} "
            f"min off a multiple of the {step_s / 60:g} min step; is it the right label?",
        )
    return starts, step_s, offset_s / 3600


def _is_typical(run_months: NDArray[np.int64]) -> bool:
    in_order = len(run_months) == 12 and bool(np.all(run_months % 12 == np.arange(12)))
    return in_order and len(np.unique(run_months // 12)) > 1


def _check_increasing(index: Any, starts: NDArray[np.int64], months: NDArray[np.int64] | None) -> None:
    back = np.diff(starts) <= 0
    if months is not None:
        back &= np.diff(months) == 0  # months of a typical year may stand in any order of years
    if back.any():
        at = int(np.flatnonzero(back)[0]) + 1
        raise bad_input("weather frame", reason=f"{index[at]} comes after {index[at - 1]}; the index must increase")


def _hours_of_cycle(local: NDArray[np.int64], months: NDArray[np.int64], runs: NDArray[np.int64]) -> NDArray[np.int64]:
    if len(runs) != 12 or np.any(months[runs] % 12 != np.arange(12)):
        raise bad_input(
            "weather frame", reason="a typical year must hold the twelve months, January to December, once each"
        )
    month_start = months.astype("datetime64[M]").astype("datetime64[s]").astype(np.int64)
    within = (local - month_start) // 3600
    month = months % 12
    february = month == 1
    # Files without leap days end 28 February at 24:00, which readers turn into 1 March 0:00 even in leap years.
    if not np.any(february & (within == 671)):
        within = np.where(february & (within == 695), 671, within)
    begins = np.concatenate([[0], np.cumsum(_MONTH_HOURS)[:-1]])
    return np.where(within < _MONTH_HOURS[month], begins[month] + within, -1)  # -1: 29 February


def _hourly_means(hour: NDArray[np.int64], values: Array, count: int, per_hour: int) -> Array:
    """Means by hour; NaN where a value of the hour is missing or NaN."""
    number = np.bincount(hour, minlength=count)
    total = np.bincount(hour, weights=values, minlength=count)
    return np.where(number == per_hour, total / per_hour, np.nan)


def _clock_text(hour: int) -> str:
    """Start of an hour on the record's own clock."""
    return f"{np.datetime64(hour, 'h').astype('datetime64[m]')}".replace("T", " ")


def _without_gaps(name: str, values: Array, first_hour: int, fill: str | None) -> Array:
    bad = ~np.isfinite(values)
    if not bad.any():
        return values
    edges = np.flatnonzero(np.diff(np.concatenate([[False], bad, [False]]).astype(np.int8)))
    begins, lengths = edges[::2], edges[1::2] - edges[::2]
    at_an_end = bool(bad[0] or bad[-1])
    worst = 0 if at_an_end else int(lengths.argmax())
    if fill is None:
        raise bad_input(
            "weather frame",
            reason=f"{name} is missing or not finite in {int(bad.sum())} h, first "
            f"{_clock_text(first_hour + int(begins[0]))}; fill = 'interpolate' fills gaps up to {LONGEST_FILLED_H} h",
        )
    if at_an_end or lengths[worst] > LONGEST_FILLED_H:
        where = _clock_text(first_hour + int(begins[worst]))
        raise bad_input(
            "weather frame",
            reason=f"{name} has a gap of {lengths[worst]} h (from {where}); only "
            f"gaps up to {LONGEST_FILLED_H} h inside the record are filled",
        )
    good = np.flatnonzero(~bad)
    return np.interp(np.arange(len(values)), good, values[good])
