"""Time zones: which one a place lies in, and when a zone's clock changes.

The rules are those of the `tzdata` package, not of the system's own copy, so that the version which a result names is
the one that was used. The outlines of `tzfpy` are simplified: near a border they may be wrong.
"""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta
from difflib import get_close_matches
from functools import cache, lru_cache
from importlib import import_module
from zoneinfo import ZoneInfo

import ridethrough._core as _core

from .errors import bad_input

NEAR_KM = 20
_EARTH_KM = 6371.0
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_PROBE_S = 6 * 3600  # no zone has changed twice within that

Change = tuple[int, int]  # seconds since 1970 UTC, seconds ahead of UTC from then on


@cache
def zone_names() -> tuple[str, ...]:
    """All IANA names that there are rules for."""
    from importlib.resources import files  # late, as it takes long to import

    return tuple(files("tzdata").joinpath("zones").read_text().split())


def require_zone(name: str) -> None:
    """InputError with near names where there is no such zone."""
    if name in zone_names():
        return
    if offset := re.fullmatch(r"(?:UTC|GMT)?\s*([+-])(\d{1,2})(?::?(\d\d))?", name.strip(), re.IGNORECASE):
        hours = float(offset[1] + offset[2]) + float(offset[1] + (offset[3] or "0")) / 60
        hint = f"a fixed offset is Site(utc_offset_h={hours:g}) in place of a time zone"
        raise bad_input("Site.time_zone", name, reason="no such time zone", hint=hint)
    near = _near(name)
    allowed = "" if near else "IANA names, such as 'America/New_York'"
    what = "no such time zone"
    raise bad_input("Site.time_zone", name, reason=what, allowed=allowed, choices=near, suggestion="".join(near[:1]))


def _near(name: str) -> list[str]:
    """Zones of that city, and names that are nearly the same."""
    wanted = name.strip().lower().replace(" ", "_")
    by_city = [known for known in zone_names() if known.lower() == wanted or known.lower().endswith("/" + wanted)]
    lower = {known.lower(): known for known in zone_names()}
    alike = [lower[found] for found in get_close_matches(wanted, list(lower), 3, 0.75)]
    return list(dict.fromkeys([*by_city, *alike]))[:3]


def rules_version() -> str:
    """Of the rules of the zones."""
    return f"tzdata {import_module('tzdata').IANA_VERSION}"


def outlines_version() -> str:
    """Of the outlines of the zones."""
    import tzfpy

    return f"tzfpy {tzfpy.data_version()}"


@lru_cache(maxsize=4096)
def zone_at(latitude: float, longitude: float) -> str:
    """The zone that a place lies in; at sea one of the nautical zones, Etc/GMT..."""
    import tzfpy

    name = str(tzfpy.get_tz(longitude, latitude))
    if name not in zone_names():
        raise bad_input(
            "Site.time_zone",
            reason=f"not given; {latitude:g}, {longitude:g} lies in {name or 'no zone'}, which the installed "
            f"{rules_version()} does not know; give Site.time_zone or Site.utc_offset_h",
        )
    return name


def is_at_sea(name: str) -> bool:
    """Whether a zone is one of the nautical ones."""
    return name.startswith("Etc/")


@lru_cache(maxsize=4096)
def zones_nearby(latitude: float, longitude: float) -> tuple[str, ...]:
    """The other zones on land that are found within about 20 km."""
    found: dict[str, None] = {}
    for km in (NEAR_KM / 2, NEAR_KM):
        for turn in range(8):
            north, east = (km / _EARTH_KM * f(turn * math.pi / 4) for f in (math.cos, math.sin))
            there = min(max(latitude + math.degrees(north), -90.0), 90.0)
            ahead = math.degrees(east / max(math.cos(math.radians(there)), 1e-3))
            found[zone_at(there, (longitude + ahead + 180) % 360 - 180)] = None
    found.pop(zone_at(latitude, longitude), None)
    return tuple(name for name in found if not is_at_sea(name))


@cache
def _zone(name: str) -> ZoneInfo:
    from importlib.resources import files

    with files("tzdata.zoneinfo").joinpath(*name.split("/")).open("rb") as file:
        return ZoneInfo.from_file(file, key=name)


def offset_s(name: str, utc_s: float) -> int:
    """Seconds ahead of UTC."""
    ahead = (_EPOCH + timedelta(seconds=utc_s)).astimezone(_zone(name)).utcoffset()
    assert ahead is not None
    return round(ahead.total_seconds())


@lru_cache(maxsize=4096)
def _changes_of_year(name: str, year: int) -> tuple[Change, ...]:
    begin, end = (round((datetime(y, 1, 1, tzinfo=UTC) - _EPOCH).total_seconds()) for y in (year, year + 1))
    found = []
    before = offset_s(name, begin)
    for probe in range(begin + _PROBE_S, end + 1, _PROBE_S):
        after = offset_s(name, probe)
        if after != before:
            low, high = probe - _PROBE_S, probe
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (middle, high) if offset_s(name, middle) == before else (low, middle)
            found.append((high, after))
        before = after
    return tuple(found)


def clock_changes(name: str, from_s: float, to_s: float) -> list[Change]:
    """The changes after `from_s` and before `to_s`, in order."""
    years = range((_EPOCH + timedelta(seconds=from_s)).year, (_EPOCH + timedelta(seconds=to_s)).year + 1)
    return [change for year in years for change in _changes_of_year(name, year) if from_s < change[0] < to_s]


def start_in_zone(name: str, text: str) -> tuple[int, bool]:
    """Seconds since 1970 UTC of a clock time, and whether the clock shows it twice: then the first of the two.

    InputError where the clock skips it.
    """
    clock = datetime.fromisoformat(text)
    first, second = (clock.replace(tzinfo=_zone(name), fold=fold).utcoffset() for fold in (0, 1))
    assert first is not None and second is not None
    utc_s = round((clock.replace(tzinfo=UTC) - first - _EPOCH).total_seconds())
    if first < second:
        day_s = 24 * 3600
        at_s, _ = next(
            c for c in clock_changes(name, utc_s - 2 * day_s, utc_s + 2 * day_s) if c[0] <= utc_s < c[0] + day_s
        )
        ends = (f"{_EPOCH + timedelta(seconds=at_s) + ahead:%H:%M}" for ahead in (first, second))
        raise SkippedStart(
            f"Trip.start = {text!r}: the clock of {name} goes from {' to '.join(ends)} on that day and skips this time"
        )
    return utc_s, first > second


class SkippedStart(_core.InputError):
    """A start in an hour that the clock skips."""
