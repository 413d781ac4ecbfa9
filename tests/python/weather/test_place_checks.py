"""A longitude with the wrong sign, where normals, stops or a time zone tell of it, is warned of before a number."""

from __future__ import annotations

import re
import warnings
from typing import Any

import pytest
import ridethrough as rt
import typical_years
from ridethrough.model import clocks
from ridethrough.weather.place_checks import is_turned_round, misfit, place_warnings
from verdict_text import verdict

START = "2027-09-25 15:00"
# Typical years of public stations in pvlib: the tables were fitted to their sun, not to their air.
STATIONS = {"TMY3 723170": (36.1, -79.95), "TMY3 703165": (55.32, -160.52), "TMY2 12839": (25.8, -80.27)}


def site(latitude: float, longitude: float, station: str | None = None, **more: Any) -> rt.Site:
    climate = None
    if station:
        sun, air = typical_years.normals(station)
        climate = rt.Climate(ghi_kwh_m2_day=sun, air_temp_c=air, source=station)
    return rt.Site(latitude=latitude, longitude=longitude, climate=climate, **more)


def to(where: rt.Site) -> rt.Trip:
    return rt.Trip(site=where, start=START, nights=2)


def tour(*sites: rt.Site) -> rt.Trip:
    return rt.Trip(stops=[rt.Stop(name=f"stop {i}", site=s, nights=1) for i, s in enumerate(sites, 1)], start=START)


@pytest.mark.parametrize("station", STATIONS)
def test_normals_of_a_station_belong_to_its_place_and_not_to_its_mirror(station: str) -> None:
    latitude, longitude = STATIONS[station]
    assert place_warnings(to(site(latitude, longitude, station))) == []
    (said,) = place_warnings(to(site(latitude, -longitude, station)))
    assert re.match(
        rf"Site.longitude = {-longitude:g} deg: its twelve normals are far from those of that place and close to those "
        rf"of {longitude:g} deg, by the worldwide default; is the sign of the longitude right\? east is positive",
        said,
    )


def test_normals_at_sea_belong_to_the_land_beyond_greenwich() -> None:
    here = rt.climate_at(47.5, 19.0)  # Hungary; 19 W lies in the Atlantic
    given = here.replace(source="given", latitude=None, longitude=None, ghi_scale=1.0, air_temp_offset_k=0.0)
    assert place_warnings(to(rt.Site(latitude=47.5, longitude=19, climate=given))) == []
    (said,) = place_warnings(to(rt.Site(latitude=47.5, longitude=-19, climate=given)))
    assert "= -19 deg: its twelve normals belong to no place in the sea and close to those of 19 deg" in said


def test_what_is_taken_for_turned_round() -> None:
    assert is_turned_round(3.1, 1.4) and is_turned_round(None, 1.4)
    for here, mirrored in ((2.9, 1.4), (3.1, 1.6), (9.0, 2.6), (None, 1.6), (9.0, None), (None, None)):
        assert not is_turned_round(here, mirrored)
    climate = rt.climate_at(47.5, 19.0)
    assert misfit(climate, 47.5, 19.0, None) == 0
    # One deviation of the sun in every month and one of the air: the square root of 2.
    off = climate.replace(
        ghi_kwh_m2_day=[g * 1.1275 for g in climate.ghi_kwh_m2_day], air_temp_c=[t + 1.5 for t in climate.air_temp_c]
    )
    assert misfit(off, 47.5, 19.0, None) == pytest.approx(2**0.5, rel=2e-3)


def test_a_default_climate_says_nothing_of_its_place() -> None:
    assert place_warnings(to(site(44.5, 110.0))) == []  # Inner Mongolia for Wyoming: the verdict prints "110 E"
    assert place_warnings(to(rt.Site(latitude=44.5, longitude=110, climate=rt.climate_at(44.5, 110)))) == []


def test_a_stop_beyond_greenwich() -> None:
    home, near, turned = site(44.5, -110.0), site(43.5, -104.0), site(43.5, 104.0)
    assert place_warnings(tour(home, near)) == []
    assert place_warnings(tour(home, site(-33.9, 18.4))) == []  # far by either sign
    (said,) = place_warnings(tour(home, turned))
    # Law of cosines on a sphere of 6,371 km, by hand: 9,666 and 492.5 km.
    assert said == (
        "Trip.stops.stop 2.site.longitude = 104 deg: it lies 9,666 km from stop 1, and 493 km with the other sign; is "
        "the sign of the longitude right? east is positive"
    )


def test_a_time_zone_tells_too() -> None:
    compiled = clocks.compile_with_clock(rt.Van(), to(site(44.5, 110.0, time_zone="America/Denver")))
    (said,) = compiled.warnings
    assert "Site.longitude = 110 deg beside time_zone" in said
    assert "is the sign of the longitude right? east is positive" in said


def test_it_is_told_before_the_number() -> None:
    trip = to(site(36.1, 79.95, "TMY3 723170"))
    with pytest.warns(UserWarning, match="is the sign of the longitude right"):
        risk = rt.simulate(rt.Van(), trip, trials=100, progress=False)
    assert verdict(risk).startswith("Warning: Longitude 79.95 deg: its twelve normals are far from")
    assert any("is the sign of the longitude right" in text for text in risk.to_dict()["warnings"])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        rt.simulate(rt.Van(), to(site(36.1, -79.95, "TMY3 723170")), trials=100, progress=False)


def test_a_place_in_the_sea_asks_for_the_sign_where_the_other_one_is_land() -> None:
    with pytest.raises(rt.InputError, match="lies in the sea.*is the sign of the longitude right"):
        rt.climate_at(47.5, -19.0)
    with pytest.raises(rt.InputError) as raised:
        rt.climate_at(-50.0, -130.0)  # and at 130 E as well
    assert "is the sign" not in str(raised.value)


def test_an_error_names_the_stop() -> None:
    with pytest.raises(rt.InputError, match=r"^Trip\.stops\.stop 2\.site: no default climate for 0, -30") as raised:
        rt.simulate(rt.Van(), tour(site(44.5, -110.0), site(0.0, -30.0)), trials=10)
    assert raised.value.path == "Trip.stops.stop 2.site"
