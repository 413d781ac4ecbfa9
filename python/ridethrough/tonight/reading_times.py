"""When a reading was taken, in hours since the trip's start, and how long before it the battery was last charged."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

import numpy as np

import ridethrough._core as _core

from ..model.classes import Trip, Van
from ..model.clocks import clock_hours, compile_with_clock, dated, since_start
from ..model.errors import bad_input
from ..model.places import place_at, places_of
from .reading_clauses import read_time

CHARGING = ("drive", "day_trip", "idling", "generator", "shore_power")  # of what a trip plans
_SUN_HIGH_ENOUGH = 0.087  # sine of 5 degrees, under which panels give next to nothing; own choice
_LOOK_BACK_H = 48
_NOON = "12:00"
_YESTERDAY_HOUR = 22  # Sun down, and before the midnight of the sky's clock whatever the summer time; own choice


@dataclass(frozen=True)
class TripClock:
    """The clock and plan of a trip with a van, and the time that is now."""

    van: Van
    trip: Trip
    compiled: _core.Compiled
    now: str

    @staticmethod
    def of(van: Van, trip: Trip, now: str | date, compiled: _core.Compiled | None = None) -> TripClock:
        """With ``now`` as "2026-09-24 20:00"; InputError where that is not within the trip."""
        text = read_time("now", now, day_alone=False)
        if text is None:
            raise bad_input("now", reason="must be given", hint='a time of the trip, "2026-09-24 20:00"')
        clock = TripClock(van, trip, compile_with_clock(van, trip) if compiled is None else compiled, text)
        if not 0 <= clock.now_h <= clock.compiled.hours:
            raise bad_input("now", text, reason="not within the trip", allowed=f"{clock.start} to {clock.end}")
        return clock

    @property
    def start(self) -> str:
        """Clock time of the start."""
        return dated(self.compiled, self.compiled.start_hour)

    @property
    def end(self) -> str:
        """Clock time of the end."""
        return dated(self.compiled, self.clock_h(self.compiled.hours))

    @cached_property
    def now_h(self) -> float:
        """Hours from the start to now."""
        return self.hour_of(self.now)

    def hour_of(self, time: str) -> float:
        """Hours from the start to a clock time; negative before it."""
        gone = datetime.fromisoformat(time) - datetime.fromisoformat(self.compiled.start_date)
        return float(since_start(self.compiled, gone.total_seconds() / 3600))

    def hour_of_reading(self, time: str | None, day: str) -> float:
        """Hours from the start to a reading; of a day's yield that of its day.

        InputError where it is later than now, or not within the trip.
        """
        text = self.now if time is None else time
        hour = self.hour_of(f"{text} 23:59" if len(text) == 10 else text)
        if len(text) == 10:
            hour = self.now_h if text == self.now[:10] else self._evening_of(text)
        if hour > self.now_h:
            raise bad_input("Reading.time", text, reason=f"later than now, {self.now}")
        if day == "yesterday":
            before = date.fromordinal(date.fromisoformat(text[:10]).toordinal() - 1)
            hour = self._evening_of(before.isoformat())
        if hour < 0:
            reason = "before the trip's start" if day != "yesterday" else "the day before is before the trip's start"
            raise bad_input("Reading.time", text, reason=f"{reason}, {self.start}")
        return hour

    def _evening_of(self, day: str) -> float:
        return self.hour_of(f"{day} {_YESTERDAY_HOUR}:00")

    def clock_h(self, hour: float) -> float:
        """Hours on the clock, from midnight of the day of the start, of hours since the start."""
        return float(clock_hours(self.compiled, hour))

    def day_of(self, hour: float) -> int:
        """Day of the trip, 1 the day of the start, on which an hour since the start lies."""
        return int(self.clock_h(hour) // 24) + 1

    def hour_of_full(self, full: str) -> float:
        """Hours from the start to a true full charge; of a date alone at noon."""
        return self.hour_of(f"{full} {_NOON}" if len(full) == 10 else full)

    def first_day_is_cut(self, hour: float) -> bool:
        """Whether an hour lies on the day of the start, of whose yield the Sun gave some before the start."""
        return self.day_of(hour) < 2 and (self.compiled.start_hour >= 12 or self._sun_is_up(np.array([0.0]))[0])

    def charged_before_h(self, hour: float, charged: str | None) -> float:
        """Hours since the Sun or a charger last charged the battery, as said, else by the Sun and the trip's plan."""
        if charged is not None:
            since = hour - self.hour_of(charged)
            if since < 0:
                raise bad_input("Reading.charged", charged, reason="later than the reading")
            return since
        ends = [-np.inf]
        for interval in self.compiled.schedule:
            if interval.kind in CHARGING and interval.begin_h <= hour and self._charges(interval.kind):
                ends.append(min(interval.end_h, hour))
        if self.van.arrays:
            back = hour - np.arange(0, _LOOK_BACK_H, 0.25)
            up = np.flatnonzero(self._sun_is_up(back))
            ends += [float(back[up[0]])] if len(up) else []
        return float(hour - max(ends))

    def _charges(self, kind: str) -> bool:
        if kind in ("shore_power", "generator"):
            return self.van.mains is not None
        return self.van.dc_dc is not None and not (self.van.towed and kind != "drive")

    def _sun_is_up(
        self, hours: np.ndarray[tuple[int], np.dtype[np.float64]]
    ) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        return self.sun_stands(hours, _SUN_HIGH_ENOUGH)

    def sun_stands(
        self, hours: np.ndarray[tuple[int], np.dtype[np.float64]], least_sine: float
    ) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Whether the sine of the Sun's height is at least so much, at hours since the start."""
        start = date.fromisoformat(self.compiled.start_date)
        utc = 24 * _core.day_number(start.year, start.month, start.day) + self.compiled.start_hour + hours
        site = place_at(places_of(self.trip), self.day_of(float(np.max(hours)))).site
        sine = _core.sun_position(utc - self.compiled.clock.utc_offset_h, site.latitude, site.longitude)[0]
        return np.asarray(sine > least_sine)
