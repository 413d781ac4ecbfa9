"""Days of a weather frame on which a hindcast can start. Gaps are allowed here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

import ridethrough._core as _core

from ..model.errors import bad_input
from .climate_fit import DAILY_COLUMNS, DARK_DAY_WH_M2, read_daily
from .hourly_series import HourlySeries, offset_of_days, to_hourly

if TYPE_CHECKING:
    import pandas
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Integers = NDArray[np.int64]


@dataclass(frozen=True)
class DailyWeather:
    """Days in a row from `first_day` (days since 1970) on, NaN where one is missing."""

    first_day: int
    clearness: Array
    air_mean_c: Array
    ghi_kwh_m2: Array

    def month(self) -> Integers:
        """Month of each day, from 0."""
        return _months(self.first_day, len(self.clearness))

    def normals(self) -> dict[str, list[float]]:
        """The twelve normals: mean daily irradiation [kWh/m2] and temperature [C] of the days there are."""
        return _normals(self.month(), self.ghi_kwh_m2, self.air_mean_c)

    def starts(self, days: int) -> Integers:
        """Days on which a trip over `days` calendar days may start: all of them measured."""
        good = np.isfinite(self.clearness) & np.isfinite(self.air_mean_c)
        return self.first_day + _runs(good, days)

    def rows(self, starts: Integers, days: int) -> tuple[Array, Array]:
        """Clearness and temperature of each start's days, shape (starts, days); past a gap the last day stands."""
        at = np.minimum((starts - self.first_day)[:, None] + np.arange(days), len(self.clearness) - 1)
        k, t = self.clearness[at], self.air_mean_c[at]
        for d in range(1, days):
            k[:, d] = np.where(np.isfinite(k[:, d]), k[:, d], k[:, d - 1])
            t[:, d] = np.where(np.isfinite(t[:, d]), t[:, d], t[:, d - 1])
        return k, t


@dataclass(frozen=True)
class HourlyWeather:
    """Measured hours with their gaps (`good` is False there, the values 0)."""

    hours: HourlySeries
    good: NDArray[np.bool_]

    def normals(self) -> dict[str, list[float]]:
        """Monthly means, as arguments of a climate."""
        h = self.hours
        stamps = np.datetime64(0, "h") + h.first_hour + np.arange(len(h.ghi_w_m2))
        month = stamps.astype("datetime64[M]").astype(np.int64) % 12
        nan = np.where(self.good, 0.0, np.nan)
        return _normals(month, h.ghi_w_m2 * 24 / 1000 + nan, h.air_temp_c + nan)

    def starts(self, days: int, utc_offset_h: float) -> Integers:
        """The same for days of the sky; a trip may not run over a joint between months of different years.

        ``utc_offset_h``: of the clock whose midnights part them, by whole hours from the record's.
        """
        apart = self.hours.utc_offset_h - utc_offset_h
        first = self.hours.first_hour - int(apart)
        lead = -first % 24
        begins = np.arange(lead, len(self.good) - 24 * days + 1, 24)
        bad = np.concatenate([[0], np.cumsum(~self.good)])
        joints = np.zeros(len(self.good) + 1, dtype=np.int64)
        joints[[s for s in self.hours.splices if s > 0]] = 1
        joints = np.cumsum(joints)
        end = begins + 24 * days
        whole = (bad[end] == bad[begins]) & (joints[end - 1] == joints[begins])
        return np.asarray((first + begins[whole]) // 24, dtype=np.int64)

    def record_hours(self, starts: Integers, utc_offset_h: float) -> Integers:
        """Hour of the record at which each start day begins."""
        apart = int(self.hours.utc_offset_h - utc_offset_h)
        return np.asarray(starts * 24 + apart - self.hours.first_hour, dtype=np.int64)


def _months(first_day: int, count: int) -> Integers:
    dates = (first_day + np.arange(count)).astype("datetime64[D]")
    return np.asarray(dates.astype("datetime64[M]").astype(np.int64) % 12)


def _normals(month: Integers, ghi: Array, air: Array) -> dict[str, list[float]]:
    good = np.isfinite(ghi) & np.isfinite(air)
    counts = np.bincount(month[good], minlength=12)
    if not counts.all():
        raise bad_input(
            "weather frame", reason=f"month {int(np.argmin(counts)) + 1} is not in it; all twelve are needed"
        )
    means = [np.bincount(month[good], weights=x[good], minlength=12) / counts for x in (ghi, air)]
    return {"ghi_kwh_m2_day": means[0].tolist(), "air_temp_c": means[1].tolist()}


def _runs(good: NDArray[np.bool_], days: int) -> Integers:
    sums = np.concatenate([[0], np.cumsum(good)])
    return np.flatnonzero(sums[days:] - sums[:-days] == days) if len(good) >= days else np.empty(0, np.int64)


def read(
    frame: pandas.DataFrame, latitude: float, longitude: float, label: str | None, utc_offset_h: float | None
) -> DailyWeather | HourlyWeather:
    """A frame as `Climate.from_daily` (column ghi_kwh_m2) or `Climate.from_hourly` (column ghi) takes it."""
    if not hasattr(frame, "columns"):
        raise bad_input("record", frame, reason="must be a pandas DataFrame of daily or hourly weather")
    if not {"ghi_kwh_m2", "ghi"} & set(frame.columns):
        near = next(
            filter(None, (_core.nearest_name(str(name), [*DAILY_COLUMNS, "ghi"]) for name in frame.columns)), ""
        )
        had = f"no column ghi_kwh_m2 (daily) or ghi (hourly); it has {', '.join(map(str, frame.columns)) or 'none'}"
        raise bad_input("record", reason=had, suggestion=near)
    if "ghi_kwh_m2" in frame:
        if label is not None:
            raise bad_input("label", label, reason="is of an hourly record; this one is daily (ghi_kwh_m2)")
        return _daily(frame, latitude, longitude, offset_of_days(longitude, utc_offset_h))
    if utc_offset_h is not None:
        raise bad_input("utc_offset_h", utc_offset_h, reason="is of a daily record; this one is hourly (ghi)")
    if label is None:
        raise bad_input("label", reason="must be given for an hourly record", allowed="'left', 'right', 'centre'")
    hours = to_hourly(frame, label=label, fill=None, typical_year=None, keep_gaps=True)
    used = [x for x in (hours.ghi_w_m2, hours.air_temp_c, hours.dhi_w_m2, hours.dni_w_m2) if x is not None]
    good = np.all([np.isfinite(x) for x in used], axis=0)
    for x in used:
        x[~good] = 0.0
    return HourlyWeather(hours, good)


def _daily(frame: pandas.DataFrame, latitude: float, longitude: float, utc_offset_h: float) -> DailyWeather:
    day, columns = read_daily(frame)
    back = np.flatnonzero(np.diff(day) <= 0)
    if len(back):
        at = int(back[0]) + 1
        raise bad_input(
            "weather frame", reason=f"{frame.index[at]} comes after {frame.index[at - 1]}; the index must increase"
        )
    first, count = int(day[0]), int(day[-1] - day[0]) + 1
    if count > 36525:
        raise bad_input(
            "weather frame", reason=f"from {frame.index[0]} to {frame.index[-1]}", allowed="up to 100 years"
        )
    ghi, low, high = (np.full(count, np.nan) for _ in columns)
    for to, values in zip((ghi, low, high), columns, strict=True):
        to[day - first] = values
    h0 = np.asarray(_core.sky_days(first, count, latitude, longitude, utc_offset_h)["h0_wh_m2"])
    k = np.where(h0 >= DARK_DAY_WH_M2, 1000 * ghi / np.maximum(h0, 1), np.where(np.isfinite(ghi), 0.0, np.nan))
    air = (low + high) / 2
    with np.errstate(invalid="ignore"):
        for what, wrong, allowed in (
            ("ghi_kwh_m2", (ghi < 0) | (k > 1), "0 to what reaches the top of the atmosphere"),
            ("temp_max_c", high < low, "temp_min_c and above"),
            ("temp_min_c", (low < -90) | (high > 70), "-90 to 70 C"),
        ):
            if wrong.any():
                at = int(np.argmax(wrong))
                date = np.datetime64(first + at, "D")
                value = {"ghi_kwh_m2": ghi, "temp_max_c": high, "temp_min_c": low}[what][at]
                at_most = f" ({h0[at] / 1000:.2f} kWh/m2 then)" if what == "ghi_kwh_m2" else ""
                raise bad_input(f"{what} on {date}", float(value), allowed=allowed + at_most)
    # As a generated day: no day is clearer than the clearest hour there is.
    return DailyWeather(first, np.minimum(k, 0.88), air, ghi)
