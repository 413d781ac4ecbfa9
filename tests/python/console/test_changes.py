"""Changes as the command line says them, of a van and a trip."""

from __future__ import annotations

import re
from typing import Any

import pytest
import ridethrough as rt
from ridethrough.console.changes import apply_change, whole_path

VAN = rt.Van(battery=rt.AgmBattery(capacity_ah=100, location="locker"))
TRIP = rt.Trip(site=rt.Site(latitude=44.5, longitude=-110), start="2026-10-06 16:00", nights=5)


@pytest.mark.parametrize(
    ("change", "path", "value"),
    [
        ("nights=4", "trip.nights", 4),
        ("trip.nights = 4 nights", "trip.nights", 4),
        ("start=2026-11-06", "trip.start", "2026-11-06 15:00"),
        ("surroundings=forest", "trip.surroundings", "forest"),
        ("party={persons=4}", "trip.party.persons", 4),
        ("site.latitude=44 30 S", "trip.site.latitude", -44.5),
        ("wake_h=7:30", "trip.wake_h", 7.5),
        ("drives=2, 4 and Friday", "trip.drives", (rt.Drive(days=[2, 4, "Friday"]),)),
        ("drives=[{days=[2], duration_h=3}]", "trip.drives", (rt.Drive(days=[2], duration_h=3),)),
        ("drives=none", "trip.drives", ()),
        ("shore_power=3", "trip.shore_power", (rt.ShorePower(nights=[3]),)),
        ("solar.rated_w=300 W", "van.solar.rated_w", 300),
        ("van.solar.rated_w=0.3 kW", "van.solar.rated_w", 300),
        ('solar.rated_w={uniform=["100 W", 200]}', "van.solar.rated_w", rt.spreads.uniform(100, 200)),
        ("solar=none", "van.solar", None),
        ("battery=lithium 100 Ah", "van.battery", rt.LithiumBattery(capacity_ah=100, location="locker")),
        ("battery=Lithium 1.28 kWh", "van.battery.capacity_ah", 100),
        ("battery=agm 200", "van.battery", rt.AgmBattery(capacity_ah=200, location="locker")),
        ("battery.initial_soc=62 %", "van.battery.initial_soc", 0.62),
        ("battery.capacity_ah={value='92 Ah', measured_on=2026-05-01}", "van.battery.capacity_ah", 92),
        ("fridge.set_point_c=41 degF", "van.fridge.set_point_c", 5),
        ("loads.heater.all_night=no", "van.loads.heater.all_night", False),
        ("towed=true", "van.towed", True),
        ("mains={current_a=20}", "van.mains", rt.MainsCharger(current_a=20)),
    ],
)
def test_a_change_is_in_the_van_or_the_trip(change: str, path: str, value: Any) -> None:
    van, trip = apply_change(VAN, TRIP, change)
    owner, _, inner = path.partition(".")
    changed, same = (van, (trip, TRIP)) if owner == "van" else (trip, (van, VAN))
    assert changed.get(inner) == value and same[0] == same[1]


def test_several_changes_in_one_and_a_load_taken_away() -> None:
    van, trip = apply_change(VAN, TRIP, "solar.rated_w=300 W; nights=4; loads.laptop=none")
    assert (van.get("solar.rated_w"), trip.nights) == (300, 4)
    assert {load.name for load in VAN.loads} - {load.name for load in van.loads} == {"laptop"}


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ("nights", "--change = 'nights': allowed a path and its value, such as"),
        ("nights=", "--change = 'nights=': allowed a path and its value"),
        ("=4", "--change = '=4': allowed a path and its value"),
        ("nigths=4", '--change "nigths=4": nigths: neither a van nor a trip has that; did you mean nights?'),
        ("qqq=1", "explain van and explain trip list what there is"),
        ("heater=none", "is loads.heater meant?"),
        ("capacity_ah=200", "is van.battery.capacity_ah meant?"),
        ("rated_w=300 W", "is van.solar.rated_w or van.generator.rated_w meant?"),
        ("solar.tilt=30", "SolarArray.tilt: no such field; there are tilt_deg"),
        ("solar.rated_w=300 A", "A measures a current, and this is a power"),
        ("battery=lithium", 'allowed a kind (agm or lithium) and a capacity, such as "lithium 100 Ah"'),
        ("battery=gel 100 Ah", "allowed a kind (agm or lithium) and a capacity"),
        ("battery=lithium 2 kW", "battery.capacity_ah = '2 kW': kW measures a power"),
        ("battery=lithium 1 Ah", "battery.capacity_ah = 1 Ah: allowed 5 to 2000 Ah"),
        ("mains.current_a=20", 'there is no mains so far; write "mains={current_a=20}"'),
        ("loads.kettle=none", "no load 'kettle' to take away"),
        ("stops=3", "a list of tables, as in a scenario file"),
        ("nights=5.5", "allowed whole number"),
        ("solar.rated_w=300;nigths=4", '--change "nigths=4"'),
        ("fridge=5", "a part, which has numbers of its own; such as fridge.set_point_c, fridge.volume_l"),
    ],
)
def test_a_wrong_change_says_what_to_write(change: str, told: str) -> None:
    with pytest.raises(rt.InputError, match=re.escape(told)):
        apply_change(VAN, TRIP, change)


def test_paths_as_studies_take_them() -> None:
    given = ("solar.rated_w", "van.solar.rated_w", "nights", "trip.nights")
    assert [whole_path(VAN, TRIP, path) for path in given] == [*["solar.rated_w"] * 2, *["trip.nights"] * 2]
    with pytest.raises(rt.InputError, match="did you mean solar"):
        whole_path(VAN, TRIP, "soler.rated_w")
