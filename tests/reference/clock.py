"""The clock of a trip: its offsets from UTC, found minute by minute, and how its steps lie on it.

What passes by the clock (habits) and what passes by the time that goes by (Sun, weather, records) part company when the
clock changes. The latter is counted as a clock would show it that never changed after the start.
"""

from datetime import UTC, datetime, timedelta
from functools import cache
from importlib.resources import files
from zoneinfo import ZoneInfo

import numpy as np
import tzfpy


@cache
def zone_named(name):
    """By the rules of the package that the library uses, not the system's."""
    with files("tzdata.zoneinfo").joinpath(*name.split("/")).open("rb") as file:
        return ZoneInfo.from_file(file, name)


def offsets(trip, hours):
    """Hours ahead of UTC at the start, and [(hours since the start, hours ahead from then on)]."""
    site = trip.stops[0].site if trip.stops else trip.site
    if site.utc_offset_h is not None:
        return site.utc_offset_h, []
    zone = zone_named(site.time_zone or tzfpy.get_tz(site.longitude, site.latitude))
    start = datetime.fromisoformat(trip.start).replace(tzinfo=zone).astimezone(UTC)  # the first, where there are two

    def ahead(minute):
        offset = (start + timedelta(minutes=minute)).astimezone(zone).utcoffset()
        assert offset is not None
        return offset / timedelta(hours=1)

    before, changes = ahead(0), []
    for minute in range(1, 60 * hours):
        if (now := ahead(minute)) != before:
            changes.append((minute / 60, now))
            before = now
    return ahead(0), changes


def nearest(x):
    """Whole number; halves go away from zero."""
    return int(np.copysign(np.floor(abs(x) + 0.5), x))


class Steps:
    """By step: day and bin of the clock, hour of the sky, and which of the offsets holds."""

    def __init__(self, trip, first_step, steps, per_day, record=None):
        per_hour = per_day // 24
        self.step_h, self.first_step, self.per_day = 24 / per_day, first_step, per_day
        self.utc_offset_h, changes = offsets(trip, steps // per_hour)
        self.parts = [(0, 0)]  # step from which on, and by how many the clock is ahead of the start's
        for at, offset in changes:
            begin, ahead = nearest(at * per_hour), nearest((offset - self.utc_offset_h) * per_hour)
            if ahead != self.parts[-1][1]:
                assert begin > self.parts[-1][0], "a change in the first half step"
                self.parts.append((begin, ahead))
        step = np.arange(steps)
        self.part = np.searchsorted([begin for begin, _ in self.parts], step, side="right") - 1
        bins = first_step + step + np.array([ahead for _, ahead in self.parts])[self.part]
        assert np.all(np.diff(bins // per_day) >= 0), "the clock goes back over a midnight"
        self.day, self.bin = bins // per_day, bins % per_day
        self.days = int(self.day[-1]) + 1
        self.counted = np.bincount(bins, minlength=(self.days + 2) * per_day)
        self.repeats = bins <= np.maximum.accumulate(np.append(-1, bins[:-1]))
        self.lay_sky(steps, per_hour, record)

    def lay_sky(self, steps, per_hour, record):
        """Hours of the sky begin with those of the start's clock, or with a record's."""
        lead = 0 if record is None else nearest((record.utc_offset_h - self.utc_offset_h) * per_hour)
        self.lead = lead % per_hour
        self.sky_utc_offset_h = self.utc_offset_h + self.lead * self.step_h
        self.record_ahead_h = lead // per_hour
        self.sky_hour = (self.first_step + self.lead + np.arange(steps)) // per_hour
        clock_hours = [self.step_of(h * per_hour) for h in range(24 * self.days)]
        self.sky_of_clock = np.maximum(self.first_step + self.lead + np.array(clock_hours), 0) // per_hour
        self.sky_days = int(max(self.sky_hour[-1], self.sky_of_clock.max())) // 24 + 1

    def step_of(self, clock_bin):
        """The first step in which the clock shows a bin or has passed over it; below 0 before the trip."""
        for i, (begin, ahead) in enumerate(self.parts):
            step = clock_bin - self.first_step - ahead
            if i == len(self.parts) - 1 or step < self.parts[i + 1][0]:
                return max(step, begin) if i else step

    def passed(self, clock_h):
        """A time of the clock in hours of the start's clock."""
        for i, (begin, ahead) in enumerate(self.parts):
            hour = clock_h - ahead * self.step_h
            if i == len(self.parts) - 1 or hour < (self.first_step + self.parts[i + 1][0]) * self.step_h:
                return max(hour, (self.first_step + begin) * self.step_h) if i else hour

    def since(self, step):
        """The first bin of the day whose habits a step sees to: its own, or those skipped before it."""
        b = int(self.bin[step])
        if step == 0 or self.day[step] != self.day[step - 1]:
            return b if step == 0 else 0
        return min(b, int(self.bin[step - 1]) + 1)

    def ahead_h(self, part):
        return self.parts[part][1] * self.step_h

    def noon_offset_h(self, day):
        step = self.step_of(day * self.per_day + self.per_day // 2)
        ahead = [a for begin, a in self.parts if step >= begin or begin == 0][-1]
        return self.utc_offset_h + ahead * self.step_h
