"""The clock of a trip, found for its first place and handed to the core.

Habits follow the clock, with summer time. All runs compile their trip here, so that no run has another clock than its
trip.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from typing import Any

import ridethrough._core as _core

from . import places as place_module
from . import time_zones
from .classes import Trip, Van
from .places import places_of, with_climates

HOUR_S = 3600

_core.Clock.__doc__ = """The clock of a trip: that of its first place throughout.

Attributes
----------
zone, source, zone_data : str
    The time zone, where it was found, and the version of the data that tell of it.
utc_offset_h : float
    Clock ahead of UTC at the start [h].
changes : list of (float, float)
    For each change within the trip the hours since the start, and the offset from then on [h].
warnings : list of str
    What is doubtful about it.

Examples
--------
>>> clock = rt.simulate(van, trip, trials=10).clock
>>> clock.zone, clock.source, clock.utc_offset_h
('America/New_York', 'coordinates', -5.0)
"""
for _name, _doc in (
    ("changes", "Each change within the trip: hours since the start, and the offset from then on."),
    ("warnings", "What is doubtful about it."),
):
    vars(_core.Clock)[_name].__doc__ = _doc


def compile_with_clock(van: Van, trip: Trip, clock: _core.Clock | None = None) -> _core.Compiled:
    """Van and trip compiled with the trip's clock, or with one that was found before, perhaps on another machine.

    A site without a climate has the default one.
    """
    placed = with_climates(trip)
    return _core.Compiled(van, placed, clock_of(placed) if clock is None else clock)


def clock_of(trip: Trip) -> _core.Clock:
    """The clock of the trip's first place, with its changes within the trip.

    Its warnings are those of the places too. InputError where the start lies in an hour that the clock skips.
    """
    places: Any = places_of(trip)
    site = places[0].site
    hours = 24 * int(sum(place.nights for place in places))
    clock = _clock_at(site.latitude, site.longitude, site.time_zone, site.utc_offset_h, trip.start, hours)
    noticed = place_module.place_warnings(trip) if place_module.place_warnings else []
    if not noticed:
        return clock
    return _core.Clock(
        utc_offset_h=clock.utc_offset_h,
        changes=clock.changes,
        zone=clock.zone,
        source=clock.source,
        zone_data=clock.zone_data,
        warnings=[*clock.warnings, *noticed],
    )


@lru_cache(maxsize=4096)
def _clock_at(
    latitude: float, longitude: float, time_zone: str | None, utc_offset_h: float | None, start: str, hours: int
) -> _core.Clock:
    if utc_offset_h is not None:
        return _core.Clock(utc_offset_h=utc_offset_h, source="Site.utc_offset_h")
    name = time_zones.zone_at(latitude, longitude) if time_zone is None else time_zone
    start_s, twice = time_zones.start_in_zone(name, start)
    end_s = start_s + hours * HOUR_S
    offset_s = time_zones.offset_s(name, start_s)
    warnings = []
    if twice:
        warnings.append(f"Trip.start = {start!r}: the clock of {name} shows this time twice; the trip starts the first")
    if time_zone is None:
        warnings += _near_a_border(name, latitude, longitude, start_s, end_s)
    outlines = "" if time_zone is not None else f", {time_zones.outlines_version()}"
    return _core.Clock(
        utc_offset_h=offset_s / HOUR_S,
        changes=[
            ((at - start_s) / HOUR_S, offset / HOUR_S) for at, offset in time_zones.clock_changes(name, start_s, end_s)
        ],
        zone=name,
        source="coordinates" if time_zone is None else "Site.time_zone",
        zone_data=time_zones.rules_version() + outlines,
        warnings=warnings,
    )


def _near_a_border(name: str, latitude: float, longitude: float, start_s: int, end_s: int) -> list[str]:
    """Warnings of zones nearby that have another clock: the outlines are simplified, so the place may lie in one."""

    def run(zone: str) -> tuple[int, list[time_zones.Change]]:
        return time_zones.offset_s(zone, start_s), time_zones.clock_changes(zone, start_s, end_s)

    others = [zone for zone in time_zones.zones_nearby(latitude, longitude) if run(zone) != run(name)]
    if not others:
        return []
    return [
        f"Site.time_zone is not given: {latitude:g}, {longitude:g} was found to lie in {name}, but the outlines are "
        f"simplified and within about {time_zones.NEAR_KM} km there is {' and '.join(others)}, where clocks differ; "
        "give Site.time_zone (in a file time_zone = "
        f"{(others[0] if time_zones.is_at_sea(name) else name)!r} under the site)"
    ]


def clock_hours(of: _core.Compiled, since_start_h: Any) -> Any:
    """Hours on the clock, from midnight of the day of the start, of hours since the start."""
    return of.start_hour + of.clock.gone_on_h(since_start_h)


def since_start(of: _core.Compiled, clock_h: Any) -> Any:
    """Its inverse: the first time at which the clock shows it, or has gone past it."""
    return of.clock.since_start_h(clock_h - of.start_hour)


def offset_text(utc_offset_h: float) -> str:
    """UTC-5, UTC+5:45."""
    minutes = round(abs(utc_offset_h) * 60)
    part = f":{minutes % 60:02d}" if minutes % 60 else ""
    return f"UTC{'-' if utc_offset_h < 0 else '+'}{minutes // 60}{part}"


def dated(of: _core.Compiled, clock_h: float) -> str:
    """Date and time of a clock hour counted from midnight of the day of the start."""
    minutes = round(clock_h * 60)
    day = date.fromisoformat(of.start_date) + timedelta(days=minutes // 1440)
    return f"{day} {minutes % 1440 // 60:02d}:{minutes % 60:02d}"


def clock_changes_of(of: _core.Compiled) -> list[dict[str, Any]]:
    """Changes of the clock within a trip, as the clock shows them."""
    made, before = [], of.clock.utc_offset_h
    for at_h, offset in of.clock.changes:
        clock_h = float(clock_hours(of, at_h))  # after the change
        made.append(
            {
                "hours_since_start": at_h,
                "from": dated(of, clock_h - (offset - before)),
                "to": dated(of, clock_h),
                "utc_offset_h": offset,
            }
        )
        before = offset
    return made


def clock_dict(of: _core.Compiled) -> dict[str, Any]:
    """The trip's clock as plain numbers and texts."""
    clock = of.clock
    return {
        "zone": clock.zone or None,
        "source": clock.source,
        "zone_data": clock.zone_data or None,
        "utc_offset_h": clock.utc_offset_h,
        "changes": clock_changes_of(of),
    }
