"""The trip's calendar and its places: whose sky and climate a day has, whose shade an hour, and when it drives.

Hours count from midnight of the day of the start, on the clock as it was then; those that are declared are the clock's.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from . import sun, weather
from .clock import Steps
from .draws import by_day

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass
class Place:
    site: Any
    stop: Any  # None where the trip has one site
    first_day: int
    days: int
    path: str

    @property
    def arrival_h(self):
        return 24 * self.first_day + (self.stop.arrival_h if self.stop else 0)

    @property
    def departure_h(self):
        """For here."""
        return self.arrival_h - (self.stop.drive_duration_h if self.stop else 0)


class Calendar:
    """`days`: of the clock, that the trip touches; `sky_days`: of the Sun and the weather."""

    def __init__(self, trip):
        date, clock = trip.start[:10], trip.start[11:]
        self.first_day = int(sun.day_number(date))
        self.start_h = int(clock[:2])
        self.nights = int(sum(s.nights for s in trip.stops) if trip.stops else trip.nights)
        self.hours = 24 * self.nights
        self.per_day = 24 * 60 // int(trip.step_min)
        self.step_h = trip.step_min / 60
        self.first_step = round(self.start_h / self.step_h)
        self.steps = round(self.hours / self.step_h)
        site = trip.stops[0].site if trip.stops else trip.site
        record = site.climate.weather_series if trip.weather == "replayed" else None
        self.clock = clock = Steps(trip, self.first_step, self.steps, self.per_day, record)
        self.days, self.sky_days, self.utc_offset_h = clock.days, clock.sky_days, clock.utc_offset_h
        self.places: list[Place] = []
        for stop in trip.stops or [None]:
            begin = sum(p.days for p in self.places)
            path = f"trip.stops.{stop.name}." if stop else "trip."
            self.places.append(Place(stop.site if stop else trip.site, stop, begin, stop.nights if stop else 0, path))
        self.places[-1].days = self.sky_days + 1 - self.places[-1].first_day  # and the day after the last

    def days_of(self, place):
        return self.first_day + place.first_day + np.arange(place.days)

    def weekday(self, day):
        """0: Monday."""
        return (self.first_day + day + 3) % 7  # 1970-01-01 was a Thursday

    def sky(self, drawn=False):
        """Of the trip's days; `drawn`: with the day after."""
        offset = self.clock.sky_utc_offset_h
        skies = [sun.sky(self.days_of(p), p.site.latitude, p.site.longitude, offset) for p in self.places]
        whole = sun.in_a_row(skies)
        last = self.sky_days + (1 if drawn else 0)
        return sun.Sky(**{name: value[:last] for name, value in vars(whole).items()})

    def by_clock(self):
        """Skies of the clock's days, each with the offset of its noon."""
        where = [p.site for p in self.places for _ in range(p.days)]
        skies = []
        for day in range(self.days):
            site = where[min(day, len(where) - 1)]
            offset = self.clock.noon_offset_h(day)
            skies.append(sun.sky(self.first_day + np.array([day]), site.latitude, site.longitude, offset))
        return sun.in_a_row(skies)

    def passed(self, from_h, length_h):
        """What begins at a clock hour and lasts so long."""
        begin = self.clock.passed(from_h)
        return begin, begin + length_h

    def days_meant(self, said, count=None):
        """Days of the clock, from 0, of what people say: numbers from 1, dates, or weekdays, each such of the first."""
        meant, count = set(), self.nights + 1 if count is None else count
        for day in said:
            if isinstance(day, int):
                meant.add(day - 1)
            elif day in WEEKDAYS:
                meant |= {d for d in range(count) if self.weekday(d) == WEEKDAYS.index(day)}
            else:
                meant.add(int(sun.day_number(day)) - self.first_day)
        return sorted(meant)

    def spans(self, planned):
        """Hours from and to, of the members of one of the trip's lists."""
        spans = []
        for one in planned:
            nights = getattr(one, "nights", None)
            for d in self.days_meant(one.days) if nights is None else self.days_meant(nights, self.nights):
                spans.append(self.passed(24 * d + one.start_h, one.duration_h))
        return spans

    def place_of_hour(self, hour):
        """The road to a place counts as that place."""
        at = 0
        for i, p in enumerate(self.places):
            if i > 0 and hour >= p.departure_h:
                at = i
        return at


def in_trip(calendar, spans):
    """Spans of hours cut to the trip."""
    end = calendar.start_h + calendar.hours
    cut = [(max(a, calendar.start_h), min(b, end)) for a, b in spans]
    return [(a, b) for a, b in cut if b > a]


def drives(van, trip, calendar):
    """Hours from and to, of every drive: declared ones, day trips of what drives itself, roads to the stops."""
    spans = calendar.spans(trip.drives)
    if not van.towed:
        spans += calendar.spans(trip.day_trips)
    for i, p in enumerate(calendar.places):
        begin = p.departure_h if i else max(p.departure_h, calendar.start_h)
        if p.stop and p.arrival_h > begin:
            spans.append(calendar.passed(begin, p.arrival_h - begin))
    return in_trip(calendar, spans)


def stationary(van, trip, calendar):
    """(days,): nothing is driven on that day of the clock."""
    begin = (calendar.first_step + np.arange(calendar.steps)) * calendar.step_h
    moved = np.zeros(calendar.days, bool)
    for a, b in drives(van, trip, calendar):
        moved[calendar.clock.day[(begin < b) & (begin + calendar.step_h > a)]] = True
    return ~moved


def climate_of(site):
    """At the site's place, where it does not say its own."""
    climate = site.climate
    if climate.latitude is None:
        climate = climate.replace(latitude=site.latitude, longitude=site.longitude)
    if climate.altitude_m is None and site.altitude_m is not None:
        climate = climate.replace(altitude_m=site.altitude_m)
    return climate


def shares_error(a, b):
    """The same climate, or one of the same source with the same errors."""
    fields = "source", "ghi_scale", "air_temp_offset_k", "clearness_lag1"
    return a == b or (a.source != "" and all(getattr(a, f) == getattr(b, f) for f in fields))


class PlaceDraws:
    """What the trials draw for the climates and shades of all places; climates of one source share their error."""

    def __init__(self, trip, calendar, draws):
        self.calendar = calendar
        self.lag1, self.scale, self.air_offset, self.shades = [], [], [], []
        beam, sky = shade_of_trip(trip, draws)
        seen: list[Any] = []
        for i, p in enumerate(calendar.places):
            climate = p.site.climate
            path = "climate." if i == 0 else p.path + "site.climate."
            known = next((j for j, c in enumerate(seen) if shares_error(c, climate)), None)
            seen.append(climate)
            if known is None:
                self.lag1.append(draws.quantity(climate, "clearness_lag1", path))
                self.scale.append(draws.quantity(climate, "ghi_scale", path))
                self.air_offset.append(draws.quantity(climate, "air_temp_offset_k", path))
            else:
                self.lag1.append(self.lag1[known])
                self.scale.append(self.scale[known])
                self.air_offset.append(self.air_offset[known])
            own = [
                draws.quantity(p.stop, f, p.path) if p.stop and getattr(p.stop, f) is not None else None for f in SHADES
            ]
            self.shades.append((own[0], own[1], own[0] is None))
        self.trip_shade = (beam, sky)

    def climate_days(self):
        parts = [weather.climate_days(climate_of(p.site), self.calendar.days_of(p)) for p in self.calendar.places]
        names = weather.ClimateDays.__dataclass_fields__
        return weather.ClimateDays(**{n: np.concatenate([getattr(c, n) for c in parts]) for n in names})

    def of_days(self, values):
        return np.concatenate([by_day(v, p.days) for v, p in zip(values, self.calendar.places, strict=True)], axis=1)

    def shade(self, day, hour, careless):
        """Lost shares of the beam and of the sky's light; `careless`: factor on the trip's own shade of the beam."""
        at = self.calendar.place_of_hour(24 * day + hour)
        beam, sky, of_trip = self.shades[at]
        value = [self.trip_shade[0] if of_trip else beam, self.trip_shade[1] if sky is None else sky]
        value = [v if v.ndim == 1 else v[:, day] for v in value]
        if of_trip:
            value[0] = np.minimum(value[0] * careless, 1)
        return value


SHADES = ("shade_beam", "shade_sky")


def shade_of_trip(trip, draws):
    """As given, or of a kind of place: triangular shares of the beam (each day anew) and of the sky."""
    kinds = {
        "open": ((0, 0.02, 0.05), (0, 0.02, 0.05)),
        "park_plot": ((0.10, 0.17, 0.25), (0.03, 0.08, 0.15)),
        "scattered_trees": ((0.25, 0.37, 0.50), (0.10, 0.20, 0.30)),
        "forest": ((0.60, 0.75, 0.90), (0.30, 0.45, 0.60)),
    }
    if trip.surroundings == "as_given":
        return [draws.quantity(trip, field, "trip.") for field in SHADES]
    return [
        draws.of_shape("triangular", numbers, "trip." + field, daily=field == "shade_beam")
        for field, numbers in zip(SHADES, kinds[trip.surroundings], strict=True)
    ]


def shore(trip, calendar):
    """Hours from and to, of shore power: declared nights, and stops with it from arrival to departure."""
    spans = calendar.spans(trip.shore_power)
    passed = calendar.clock.passed
    departures = [passed(p.departure_h) for p in calendar.places[1:]] + [calendar.start_h + calendar.hours]
    spans += [
        (passed(p.arrival_h), until)
        for p, until in zip(calendar.places, departures, strict=True)
        if p.stop and p.stop.power == "shore"
    ]
    return in_trip(calendar, spans)
