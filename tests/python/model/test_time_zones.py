"""Time zones of places, and when their clocks change."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import ridethrough as rt
from clock_trips import PLACES, site, trip
from optional import there
from ridethrough.model import clocks, time_zones
from ridethrough.report.clock_text import clock_text


@pytest.mark.parametrize("name", PLACES)
def test_the_zone_of_the_coordinates_is_the_default(name):
    clock = clocks.clock_of(trip("2026-07-10 12:00", name))
    assert (clock.zone, clock.source) == (PLACES[name][2], "coordinates")
    offset = there(datetime(2026, 7, 10, 12, tzinfo=ZoneInfo(clock.zone)).utcoffset())
    assert clock.utc_offset_h == offset / timedelta(hours=1)
    assert "tzdata 2" in clock.zone_data and "tzfpy 2" in clock.zone_data


@pytest.mark.parametrize("zone", [*(place[2] for place in PLACES.values()), "Africa/Casablanca", "America/St_Johns"])
def test_changes_are_those_of_zoneinfo(zone):
    """Offsets at 400 times of each trip of a year, out of the interpreter's own arithmetic."""
    other = ZoneInfo(zone)
    for start in ("2003-10-20 05:00", "2019-02-01 12:00"):
        where = site(time_zone=zone)
        clock = clocks.clock_of(trip(start, where=where, nights=365))
        begin = datetime.fromisoformat(start).replace(tzinfo=other).astimezone(UTC)
        hours = np.random.default_rng(1).uniform(0, 24 * 365, 400)
        theirs = [there((begin + timedelta(hours=h)).astimezone(other).utcoffset()) / timedelta(hours=1) for h in hours]
        np.testing.assert_array_equal(clock.offset_at(hours), theirs)
        wall = [(begin + timedelta(hours=h)).astimezone(other).replace(tzinfo=None) for h in hours]
        since = [(w - datetime.fromisoformat(start)) / timedelta(hours=1) for w in wall]
        np.testing.assert_allclose(clock.gone_on_h(hours), since, rtol=0, atol=1e-6)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        (
            {"time_zone": "Europe/Madird"},
            "Site.time_zone = 'Europe/Madird': no such time zone; did you mean Europe/Mad",
        ),
        ({"time_zone": "new york"}, "did you mean America/New_York"),
        ({"time_zone": "Nowhere"}, "allowed IANA names"),
        ({"time_zone": "../zones"}, "no such time zone"),
        ({"time_zone": "Europe/Madrid", "utc_offset_h": 2}, "Site.time_zone = 'Europe/Madrid': not allowed beside"),
        ({"utc_offset_h": 14.5}, "Site.utc_offset_h = 14.5 h: allowed -12 to 14 h"),
    ],
)
def test_a_zone_that_is_none_is_refused_at_once(fields, said):
    with pytest.raises(rt.InputError) as caught:
        site(**fields)
    assert said in str(caught.value)
    with pytest.raises(rt.InputError) as caught:
        trip("2026-07-10 12:00").replace(**{f"site.{name}": value for name, value in fields.items()})
    assert said in str(caught.value)


def test_a_border_nearby_is_said_where_clocks_differ():
    climate: dict[str, Any] = {"ghi_kwh_m2_day": [2.0] * 12, "air_temp_c": [15.0] * 12}

    def said(latitude, longitude, start="2026-07-10 12:00", **fields):
        at: dict[str, Any] = {"latitude": latitude, "longitude": longitude}
        where = rt.Site(**at, climate=rt.Climate(**at, **climate), **fields)
        return clocks.clock_of(trip(start, where=where)).warnings

    (text,) = said(37.25, -7.40)  # by the Guadiana, Spain on its left bank
    assert "Europe/Madrid" in text and "Europe/Lisbon" in text and "give Site.time_zone" in text and "20 km" in text
    assert said(37.25, -7.40, time_zone="Europe/Lisbon") == []
    assert said(37.25, -7.40, utc_offset_h=1) == []
    assert said(36.1, -79.95) == []
    # Switzerland, Germany and France meet here and have the same clocks.
    assert said(47.56, 7.59) == [] and len(time_zones.zones_nearby(47.56, 7.59)) == 2


def test_at_sea_the_nautical_zone_is_told_as_it_is():
    at: dict[str, Any] = {"latitude": 30.0, "longitude": -40.0}
    where = rt.Site(**at, climate=rt.Climate(**at, ghi_kwh_m2_day=[3.0] * 12, air_temp_c=[15.0] * 12))
    compiled = clocks.compile_with_clock(rt.Van(), trip("2026-07-10 12:00", where=where))
    assert compiled.utc_offset_h == -3  # a seafarer's clock is that of the nearest whole-hour meridian
    assert "Etc/GMT+3 (found from the coordinates, open sea" in clock_text(compiled)
