"""What is allowed but hardly meant is told before any number, and an ordinary van is told nothing.

Limits are own choice from what vans have, from memory, unless a check says more."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from input_fixture import AIR, GHI, climate, site, trip
from ridethrough import _core
from ridethrough.files.scenario import demo_path
from ridethrough.model import clocks
from ridethrough.report.plain_paths import in_prose
from verdict_text import verdict

DATA = Path(__file__).parents[2] / "data"
FRIDGE, BATTERY, PANEL, LFP = rt.Fridge, rt.AgmBattery, rt.SolarArray, rt.LithiumBattery


def van(**more: Any) -> rt.Van:
    return rt.Van().replace(**{name.replace("__", "."): value for name, value in more.items()})


def hob(power_w: float) -> rt.InverterAppliance:
    return rt.InverterAppliance(name="hob", power_w=power_w, duration_min=5, efficiency=0.88)


# A van, words of its warning, and the same on the other side of the limit.
AGM_TOP, LFP_TOP = 12.774, 13.40  # rested at 98 % of the default tables
VANS: dict[str, tuple[rt.Van, str, rt.Van]] = {
    "Wh": (
        van(battery__capacity_ah=1800),
        "capacity_ah = 1800 Ah: few vans have under 15 or over 500 Ah of lead; are Wh meant? "
        "1,800 Wh are 141 Ah at 12.8 V",
        van(battery__capacity_ah=500),
    ),
    "Ah of lead": (
        van(battery__capacity_ah=501),
        "over 500 Ah of lead",
        van(battery=LFP(capacity_ah=800)),
    ),
    "few Ah": (van(battery__capacity_ah=14), "few vans have under 15", van(battery__capacity_ah=15)),
    "measured": (
        van(battery__measured_capacity_ah=1800),
        "measured_capacity_ah = 1800",
        van(battery__measured_capacity_ah=90),
    ),
    "second": (
        van(batteries=[BATTERY(), BATTERY(capacity_ah=1200)]),
        "Van.batteries.2.capacity_ah = 1200 Ah",
        van(batteries=[BATTERY(), BATTERY(capacity_ah=100)]),
    ),
    "kW": (
        van(solar__rated_w=0.22),
        "Van.solar.rated_w = 0.22 W: an array of less than 20 W hardly charges a battery; are "
        "kW meant? 0.22 kW are 220 W",
        van(solar__rated_w=20),
    ),
    "5 W": (
        van(solar__rated_w=5),
        "less than 20 W hardly charges a battery; is the number right?",
        van(solar__rated_w=0),
    ),
    "2,200 W": (van(solar__rated_w=2200), "have 2200 W and need about 11 m2 at 200 W/m2", van(solar__rated_w=1000)),
    "2,200 W in two": (
        van(arrays=[PANEL(), PANEL(name="back", rated_w=800)]),
        "have 1020 W",
        van(arrays=[PANEL(), rt.PortableArray(rated_w=800)]),
    ),
    "panel in kW": (
        van(arrays=[PANEL(), rt.PortableArray(rated_w=0.1)]),
        "Van.arrays.portable.rated_w = 0.1 W",
        van(arrays=[PANEL(), rt.PortableArray(rated_w=100)]),
    ),
    "restart above an AGM at rest": (
        van(fridge__restart_v=AGM_TOP + 0.01),
        "this battery at rest has 12.77 V even when full; once it has cut out, the fridge stays off until a charger",
        van(fridge__restart_v=AGM_TOP - 0.01),
    ),
    "restart above lithium at rest": (
        van(battery=LFP(), fridge__restart_v=LFP_TOP + 0.02),
        "has 13.4 V even when full",
        van(battery=LFP(), fridge__restart_v=LFP_TOP - 0.02),
    ),
    "disconnect's restart": (
        van(disconnect=rt.SystemDisconnect(cutout_v=10, restart_v=13)),
        "everything stays off until a charger",
        van(disconnect=rt.SystemDisconnect(cutout_v=10, restart_v=12.2)),
    ),
    # The default compressor takes 60 W, 5 A; the middle of the default branch, 42 mohm, loses .21 V.
    "disconnect above the fridge": (
        van(disconnect=rt.SystemDisconnect(cutout_v=10.62)),
        "before the fridge's own cut-out (cutout_v 10.4 V, that is 10.61 V at the distribution",
        van(disconnect=rt.SystemDisconnect(cutout_v=10.58)),
    ),
    "BMS above the fridge": (
        van(battery=LFP(bms_cutoff_v=10.75)),
        "Van.battery.bms_cutoff_v = 10.75 V: it comes before",
        van(battery=LFP(bms_cutoff_v=10.65)),
    ),
    "a thin branch": (
        van(wiring__fridge_branch_mohm=300),
        "fridge_branch_mohm = 300 mohm: the compressor's 5 A lose 1.5 V",
        van(wiring__fridge_branch_mohm=100),
    ),
    "a branch in ohm": (
        van(wiring__fridge_branch_mohm=0.04),
        "are ohm meant? 0.04 ohm are 40 mohm",
        van(wiring__fridge_branch_mohm=0),
    ),
    "a supply in ohm": (
        van(dc_dc__supply_mohm=0.015),
        "Van.dc_dc.supply_mohm = 0.015 mohm: no cable has so little; are ohm meant?",
        van(dc_dc__supply_mohm=15),
    ),
    "a hob that opens the BMS": (
        van(battery=LFP(capacity_ah=100), loads=[hob(4000), rt.Inverter()]),
        "Van.loads.hob.power_w = 4000 W: takes 364 A out of a battery whose BMS opens above 100 A",
        van(battery=LFP(capacity_ah=100, max_discharge_a=400), loads=[hob(4000), rt.Inverter()]),
    ),
    "a tool on the inverter that opens it": (
        van(
            battery=LFP(capacity_ah=60),
            loads=[rt.Appliance(name="tool", current_a=61, duration_min=5, feed="inverter"), rt.Inverter()],
        ),
        "Van.loads.tool.current_a = 61 A: takes 61 A",
        van(
            battery=LFP(capacity_ah=61),
            loads=[rt.Appliance(name="tool", current_a=61, duration_min=5, feed="inverter"), rt.Inverter()],
        ),
    ),
    "AGM beside the engine": (
        van(battery__location="engine_bay"),
        "Van.battery.location = engine_bay: its heat dries an AGM out, above 45 degC",
        van(battery__location="locker"),
    ),
    "lithium charged in frost": (
        van(battery=LFP(charge_block_c=-5)),
        "charge_block_c = -5 degC: charging a lithium battery below 0",
        van(battery=LFP(charge_block_c=0)),
    ),
    "set point": (
        van(fridge__set_point_c=5.5),
        "Van.fridge.set_point_c = 5.5 degC: food should stay at or below 5 degC",
        van(fridge__set_point_c=5),
    ),
}


@pytest.mark.parametrize("case", VANS.values(), ids=VANS)
def test_an_implausible_van_warns(case: tuple[rt.Van, str, rt.Van]) -> None:
    odd, words, usual = case
    assert any(words in text for text in odd.warnings()), odd.warnings()
    assert usual.warnings() == []


def test_the_tops_are_those_of_the_tables() -> None:
    """Straight lines between the declared nodes, by NumPy."""
    assert pytest.approx(np.interp(0.98, np.linspace(0, 1, 11), BATTERY().open_circuit_voltage_v)) == AGM_TOP
    lithium = LFP()
    assert pytest.approx(np.interp(0.98, lithium.open_circuit_soc, lithium.open_circuit_voltage_v)) == LFP_TOP


SOUTH_AIR, SOUTH_GHI = AIR[6:] + AIR[:6], GHI[6:] + GHI[:6]
SOUTH: dict[str, Any] = {"latitude": -36.1, "longitude": 145.0}
SITES: dict[str, tuple[rt.Site, str, rt.Site]] = {
    "latitude's sign": (
        site(climate([1.5, 1.9, 2.3, 2.6, 2.7, 2.8, 2.8, 2.7, 2.4, 2.0, 1.6, 1.4], **SOUTH)),
        "the twelve rise and fall with the Sun of the other hemisphere",
        site(climate(SOUTH_GHI, SOUTH_AIR, **SOUTH)),
    ),
    "latitude's sign in the north": (
        site(climate([2.6, 2.7, 2.4, 2.2, 1.7, 1.4, 1.5, 1.9, 2.3, 2.5, 2.6, 2.0])),
        "the twelve rise and fall with the Sun of the other",
        site(),
    ),
    "a warm half-year that is cold": (
        site(climate(air=SOUTH_AIR)),
        "Climate.air_temp_c: the warm half of the year is the cold one at "
        "latitude 36.1 deg; is the sign of the latitude right?",
        site(),
    ),
    "the same in the south": (
        site(climate(SOUTH_GHI, AIR, **SOUTH)),
        "at latitude -36.1 deg",
        site(climate(SOUTH_GHI, SOUTH_AIR, **SOUTH)),
    ),
    "degF within the range": (
        site(climate(air=[34, 34, 36, 38, 41, 44, 48, 49, 47, 43, 38, 35])),
        "Climate.air_temp_c.8 (August) = "
        "49 C: hotter than a month is on average anywhere; are degF meant? 49 degF are 9.4 degC",
        site(climate(air=[14, 16, 20, 26, 32, 36, 38, 38, 35, 29, 21, 15])),
    ),
    "longitude's sign": (
        site(climate(longitude=110), utc_offset_h=-6),
        "Site.longitude = 110 deg beside utc_offset_h = -6 h: clock and "
        "Sun are 10.7 h apart; is the sign of the longitude right? east is positive",
        site(climate(longitude=-110), utc_offset_h=-6),
    ),
    "an offset that belongs nowhere": (site(utc_offset_h=1), "are both right?", site(utc_offset_h=-4)),
    # The clock of China at its western end, and of Alaska's west in summer: the furthest from the Sun that are in use.
    "over the date line": (
        site(climate(longitude=170), utc_offset_h=-4),
        "are 8.7 h apart",
        site(climate(longitude=-160), utc_offset_h=14),
    ),
    "clocks far from the Sun": (
        site(climate(longitude=70), utc_offset_h=8.5),
        "are 3.8 h apart",
        site(climate(longitude=73.5), utc_offset_h=8),
    ),
    "the same, west": (
        site(climate(longitude=-171.7), utc_offset_h=-7),
        "are 4.4 h apart",
        site(climate(longitude=-171.7), utc_offset_h=-8),
    ),
}


@pytest.mark.parametrize("case", SITES.values(), ids=SITES)
def test_an_implausible_place_warns(case: tuple[rt.Site, str, rt.Site]) -> None:
    odd, words, usual = case
    assert any(words in text for text in trip(odd).warnings()), trip(odd).warnings()
    assert trip(usual).warnings() == []


@pytest.mark.parametrize(
    ("latitude", "ghi"),
    [
        (19.0, [5.0, 5.8, 6.5, 6.9, 6.8, 4.9, 3.8, 3.7, 4.8, 5.4, 5.0, 4.7]),  # rain in summer, shapes from memory
        (25.6, [4.6, 5.3, 5.9, 5.7, 5.2, 4.2, 4.0, 4.1, 3.9, 4.4, 4.5, 4.4]),
        (12.0, [*GHI[6:], *GHI[:6]]),  # so near the equator the year of the Sun says nothing
    ],
)
def test_a_rainy_season_is_no_other_hemisphere(latitude: float, ghi: list[float]) -> None:
    assert trip(site(climate(ghi, [25.0] * 12, latitude=latitude, longitude=73.0))).warnings() == []


def test_no_ordinary_van_warns() -> None:
    """The default vans, every ready-made habit and every file that is shipped."""
    for battery in (BATTERY(), LFP()):
        for name in rt.HABIT_NAMES:
            assert rt.Van(battery=battery, **rt.habits(name).van).warnings() == []
    files = [demo_path(), *(DATA / "scenarios").glob("*.toml"), *(DATA / "rigs").glob("*.toml")]
    assert len(files) == 10
    for file in files:
        scenario = rt.load_scenario(file)
        assert [*scenario.van.warnings(), *scenario.trip.warnings()] == [], file


@pytest.mark.parametrize(
    ("odd", "words", "usual"),
    [
        (
            van(battery__capacity_ah=100, dc_dc__current_a=60),
            "Van.dc_dc.current_a = 60 A: more than 100 Ah of AGM should be charged with, most makers say 25",
            van(battery__capacity_ah=100, dc_dc__current_a=40),
        ),
        (
            van(battery__capacity_ah=60, dc_dc=None, mains=rt.MainsCharger(current_a=40)),
            "Van.mains.current_a = 40 A: more than 60 Ah of AGM",
            van(battery__capacity_ah=60, dc_dc=None, mains=rt.MainsCharger(current_a=20)),
        ),
        (
            van(batteries=[LFP(capacity_ah=50), LFP(capacity_ah=50)], dc_dc__current_a=60),
            "Van.dc_dc.current_a = 60 A: more than 100 Ah of lithium take by their charge_c_rate, 50 A",
            van(batteries=[LFP(capacity_ah=60), LFP(capacity_ah=60)], dc_dc__current_a=60),
        ),
    ],
    ids=["DC-DC charger", "mains charger", "lithium"],
)
def test_a_charger_that_is_too_strong_warns_where_it_works(odd: rt.Van, words: str, usual: rt.Van) -> None:
    """Makers of AGM allow .2 to .4 of its capacity: common practice, no source."""
    quiet = trip()
    plan = quiet.replace(
        drives=[rt.Drive(days=[2])] if odd.dc_dc else [], shore_power=[] if odd.dc_dc else [rt.ShorePower(nights=[1])]
    )

    def warned(vehicle: rt.Van, when: rt.Trip) -> list[str]:
        return [text for text in clocks.compile_with_clock(vehicle, when).warnings if "charge" in text]

    assert [words in text for text in warned(odd, plan)] == [True]
    assert warned(usual, plan) == warned(odd, quiet) == []


def test_a_battery_that_is_empty_before_the_trip_warns() -> None:
    """Six weeks under a roof with the isolator off: .05 to .3 A of standby past it and the own loss take all of 110 Ah
    where they are .15 A (150 Ah in six weeks), own arithmetic. Two weeks leave something."""
    parked = van(battery__capacity_ah=110, loads=[rt.Standby(current_a=0.15)])

    def warned(weeks: float, vehicle: rt.Van = parked) -> tuple[str, ...]:
        storage = rt.Storage(weeks=weeks, solar="under_roof", isolator="on")
        return tuple(clocks.compile_with_clock(vehicle, trip().replace(storage=storage)).warnings)

    assert any(
        text.startswith("Trip.storage.weeks = 6 weeks: the battery is empty before the trip begins")
        for text in warned(6)
    )
    assert warned(2) == ()
    empty = clocks.compile_with_clock(van(battery__initial_soc=0), trip()).warnings
    assert any("Van.battery.initial_soc = 0: the battery is empty" in text for text in empty)


def test_agm_over_45_degc_warns() -> None:
    """At 14.4 V without compensation it dries out there: common practice, no source."""
    hot = site(climate(air=[14, 16, 20, 26, 32, 36, 38, 38, 35, 29, 21, 15]))

    def warned(vehicle: rt.Van, **when: Any) -> list[str]:
        return [text for text in clocks.compile_with_clock(vehicle, trip(hot, **when)).warnings if "45 degC" in text]

    assert "38 degC mean outdoor air: the AGM stands in about 49 degC" in warned(rt.Van(), start="2026-07-10 15:00")[0]
    assert warned(rt.Van(), start="2026-04-10 15:00") == []
    assert warned(rt.Van(battery=LFP()), start="2026-07-10 15:00") == []
    stops = [rt.Stop(name="hills", site=site(), nights=1), rt.Stop(name="desert", site=hot, nights=2)]
    tour = rt.Trip(start="2026-07-10 15:00", stops=stops)  # any place of the trip counts, not the first alone
    assert any("stands in about 49 degC" in text for text in clocks.compile_with_clock(rt.Van(), tour).warnings)


def unwrapped(result: object) -> str:
    return " ".join(str(result).split())


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_warnings_stand_before_any_number() -> None:
    odd = van(battery__capacity_ah=1800)
    words = in_prose(odd.warnings()[0])
    risk = rt.simulate(odd, trip(), trials=100)
    assert verdict(risk).startswith(f"Warning: {words}. ") and verdict(risk).count(words) == 1
    compared = unwrapped(rt.compare(odd, {"more": odd.replace(**{"solar.rated_w": 5.0})}, trip(), trials=100))
    assert compared.startswith(f"Warning: {words} ") and compared.count(words) == 1
    assert "more against the base Warning: Panel rated power 5 W" in compared
    ranked = unwrapped(rt.upgrades(odd, trip(), pairs=False, trials=100))
    assert ranked.startswith(f"Warning: {words} ") and ranked.count(words) == 1
    sized = rt.size(odd, trip(), "solar.rated_w", within=(2, 300), trials=100)
    assert str(sized).startswith(f"Warning: {words}\n") and str(sized).count(words) == 1
    swept = rt.sweep(odd, trip(), {"solar.rated_w": [100, 200]}, trials=10, progress=False)
    assert swept.attrs["warnings"] == odd.warnings()[0]
    assert not str(rt.simulate(rt.Van(), trip(), trials=100)).startswith("Warning")
    assert "warnings" not in rt.sweep(rt.Van(), trip(), {"solar.rated_w": [100]}, trials=10, progress=False).attrs


def columns(vehicle: rt.Van, start: str) -> Mapping[str, Any]:
    return rt.simulate(vehicle, trip(start=start, nights=5), trials=2_000, seed=3).columns


def test_frost_on_the_panel_is_the_default_and_tells_in_winter_only() -> None:
    assert rt.Van().snow_and_frost == rt.SnowAndFrost()
    thirsty = van(battery__capacity_ah=70)
    bare = thirsty.replace(snow_and_frost=None)
    assert rt.Van.from_dict(bare.to_dict()) == bare != thirsty
    july, january = "2026-07-10 15:00", "2027-01-10 15:00"
    with_film, without = columns(thirsty, july), columns(bare, july)
    assert all(np.array_equal(with_film[name], without[name]) for name in without)  # no morning is cold: the same bits
    with_film, without = columns(thirsty, january), columns(bare, january)
    offered = [c["solar_wh"] + c["curtailed_wh"] for c in (with_film, without)]
    assert 0.8 < offered[0].mean() / offered[1].mean() < 0.98
    assert (with_film["cutout_cause"] > 0).sum() > (without["cutout_cause"] > 0).sum()


def test_the_film_draws_for_itself_alone() -> None:
    """Nothing else that a trial draws moves with it: weather, spreads."""
    january = trip(start="2027-01-10 15:00", nights=5)
    drawn = {}
    for name, vehicle in {"film": rt.Van(), "bare": rt.Van(snow_and_frost=None)}.items():
        compiled = clocks.compile_with_clock(vehicle, january)
        traced = _core.trace(compiled, list(range(64)), 3, "double", [])
        drawn[name] = traced["clearness"], dict(zip(compiled.parameter_paths, traced["drawn"].T, strict=True))
    assert np.array_equal(drawn["film"][0], drawn["bare"][0])
    assert "snow_and_frost.transmittance" in drawn["film"][1].keys() - drawn["bare"][1].keys()
    shared = [path for path in drawn["bare"][1] if path]
    assert len(shared) > 40
    assert all(np.array_equal(drawn["film"][1][path], drawn["bare"][1][path]) for path in shared)
