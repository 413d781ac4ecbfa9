"""Loads and ready-made habits against day totals of the trade (all from memory, as ranges), water, and their words."""

from __future__ import annotations

import inspect
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from optional import there
from ridethrough.files.scenario import load_scenario
from ridethrough.files.scenario_writer import dump_scenario
from verdict_text import details, verdict

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")  # a battery that nothing empties

# Greensboro, rounded from its typical year; and an inland town of Andalusia, monthly means from memory.
MILD = {
    "latitude": 36.1,
    "longitude": -79.95,
    "ghi_kwh_m2_day": [2.4, 3.1, 4.2, 5.4, 5.6, 6.2, 6.1, 5.6, 4.4, 3.6, 2.4, 2.2],
    "air_temp_c": [0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2],
}
HOT = {
    "latitude": 37.4,
    "longitude": -6.0,
    "ghi_kwh_m2_day": [2.6, 3.6, 5.0, 6.0, 7.2, 7.9, 8.0, 7.1, 5.6, 4.0, 2.8, 2.2],
    "air_temp_c": [11, 12.5, 15.5, 17.5, 21.5, 25.5, 28.5, 28.5, 25.5, 20.5, 15, 12],
}
# A battery and a roof that leave nothing unserved, so that the day shows what was asked for.
PLENTY: dict[str, Any] = {"battery": rt.AgmBattery(capacity_ah=1000), "solar": rt.SolarArray(rated_w=1500)}
SEASONS = {
    "light_couple": (MILD, "2026-04-13"),
    "touring_summer": (MILD, "2026-06-01"),
    "hot": (HOT, "2026-07-06"),
    "family": (HOT, "2026-07-06"),
    "winter_heater": (MILD, "2026-01-12"),
    "remote_work": (MILD, "2026-10-05"),
    "parked_unoccupied": (MILD, "2026-01-12"),
}


def trip(place: dict[str, Any] = MILD, start: str = "2026-11-06", nights: int = 7, **more: Any) -> rt.Trip:
    climate = rt.Climate(**place)
    site = rt.Site(latitude=place["latitude"], longitude=place["longitude"], climate=climate)
    return rt.Trip(site=site, start=f"{start} 15:00", nights=nights, **more)


@pytest.mark.parametrize("name", rt.HABIT_NAMES)
def test_day_totals_of_the_habits(name: str) -> None:
    place, start = SEASONS[name]
    h = rt.habits(name)
    van = rt.Van(**PLENTY, **h.van, fridge=rt.Fridge(volume_l=h.fridge_l))
    risk = rt.simulate(van, trip(place, start, **h.trip), trials=1000, seed=1)
    day = (risk.columns["fridge_wh"] + risk.columns["other_loads_wh"]) / 12.5 / risk.nights
    least, _, most = h.day_ah
    assert least < day.mean() < most
    assert np.mean((day > least) & (day < most)) > 0.85  # a few trials may be more extreme than a usual range
    assert not risk.means["unserved_ah"]


def ah_a_day(load: Any, **more: Any) -> float:
    risk = rt.simulate(rt.Van(**PLENTY, loads=[load]), trip(habits_scale=1, **more), trials=500, seed=1)
    return float(risk.load_ah[load.name]) / risk.nights


class TestMistakes:
    """Pairs of runs that show a mistake which everyone makes, with its sign and a plausible size."""

    def test_inverter_left_on(self) -> None:
        off, on = (rt.Inverter(left_on_probability=share, daily_probability=1) for share in (0, 1))
        # .8 A, usual for one of 1 kW (from memory), over a night of 10 to 14 h: 8 to 11 Ah; half to twice of it
        assert 4 < ah_a_day(on) - ah_a_day(off) < 22
        risks = [
            rt.simulate(
                rt.Van(battery=rt.AgmBattery(capacity_ah=110), solar=rt.SolarArray(rated_w=160), loads=[*rest, one]),
                trip(nights=5),
                trials=4000,
                seed=3,
            )
            for one in (off, on)
            for rest in [[load for load in rt.Van().loads if load.name != "inverter"]]
        ]
        more = rt.stats.paired_difference(risks[1].columns["cutout_cause"] > 0, risks[0].columns["cutout_cause"] > 0)
        assert more.low > 0.02

    def test_parasitic_drain(self) -> None:
        # .5 to 1.2 A: 12 to 29 Ah a day (common practice, no source)
        assert ah_a_day(rt.Standby(current_a=0.5)) == pytest.approx(12)
        assert ah_a_day(rt.Standby(current_a=1.2)) == pytest.approx(28.8)

    def test_solar_does_not_make_up_for_big_loads(self) -> None:
        # 1 l boiled is 9.7 Ah: about an hour of strong sun on 150 W (common practice, no source)
        kettle = rt.InverterAppliance(name="kettle", power_w=1400, duration_min=5, duration_spread=0)
        van = rt.Van(battery=rt.AgmBattery(capacity_ah=200), solar=rt.SolarArray(rated_w=150), loads=[kettle])
        summer = trip(start="2026-07-06", nights=4, habits_scale=1)
        risk = rt.simulate(van, summer, trials=200, seed=1, time_series=["ghi_w_m2"])
        peak_hours = risk.time_series["ghi_w_m2"].sum(axis=1).mean() / 1000
        ah_an_hour = (risk.means["solar_wh"] + risk.means["curtailed_wh"]) / 13.2 / peak_hours
        assert 0.9 < risk.load_ah["kettle"] / risk.nights / ah_an_hour < 1.9


def test_all_electric_cooking_and_a_breathing_machine_add_what_they_add() -> None:
    cooking: list[Any] = [rt.InductionHob(), rt.Kettle()]
    risk = rt.simulate(rt.Van(**PLENTY, loads=cooking), trip(habits_scale=1), trials=500, seed=1)
    assert 25 < sum(risk.load_ah.values()) / risk.nights < 130  # from memory: +25, +60, +130 Ah a day
    assert 3 <= ah_a_day(rt.BreathingMachine(night_ah=5)) <= 16  # one that was measured


def test_a_heater_that_cannot_start_is_told() -> None:
    loads: list[Any] = [rt.Heater(starts_above_v=11.9), rt.Standby(current_a=0.5)]
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=60, initial_soc=0.6), solar=None, loads=loads)
    risk = rt.simulate(van, trip(start="2026-01-12", nights=3), trials=200, seed=1)
    assert risk.columns["failed_starts"].dtype == np.uint8
    assert risk.means["failed_starts"] == pytest.approx(risk.columns["failed_starts"].mean())
    assert risk.means["failed_starts"] > 1
    assert "Starts of the heater that failed for want of voltage" in details(risk)
    assert "The heater fails to start " in verdict(risk).split("WILL THE FRIDGE STAY ON?")[0]
    willing = van.replace(**{"loads.heater.starts_above_v": 9.0})
    line = rt.compare(van, {"willing": willing}, risk.trip, trials=200, seed=1)["willing"].outcomes["failed_starts"]
    assert line.shown and line.base == risk.means["failed_starts"] > there(line.other)
    assert "failed" not in str(rt.simulate(rt.Van(), trip(nights=1), trials=50))


def test_nights_of_a_long_trip_are_counted_beyond_255() -> None:
    tank = rt.WaterTanks(fresh_l=50, initial_fresh_share=1)
    van = rt.Van(water=tank, loads=[rt.WaterPump(water_l_per_day=0.16)])
    risk = rt.simulate(van, trip(nights=360), trials=20, seed=1)
    assert 255 < risk.columns["water_dry_night"].max() <= 361
    assert len(risk.night_counts["water_dry_night"]) > 300


def test_tanks_in_columns_words_and_json() -> None:
    van = rt.Van(
        water=rt.WaterTanks(fresh_l=50, grey_l=40),
        loads=[rt.WaterPump(water_l_per_person_day=8), rt.Heater(starts_above_v=10)],
    )
    plan = trip(nights=5, party=rt.Party(persons=2))
    risk, summary = (rt.simulate(van, plan, trials=2000, seed=1, keep=keep) for keep in ("columns", "summary"))
    night = risk.columns["water_dry_night"]
    dry = risk.tank_chances()["water_dry"]
    assert dry == summary.tank_chances()["water_dry"]
    assert dry.events == np.count_nonzero(night)
    assert 0.3 < dry.value < 1
    assert night.max() <= 6
    words = details(risk)
    assert "THE WATER The fresh tank runs dry: " in verdict(risk)
    assert "The fresh tank runs dry in" in words
    assert "The grey tank is full in" in words
    assert words.count("sampling error alone") >= 3  # the verdict's and each tank's own interval
    assert json.loads(json.dumps(risk.to_dict()))["water_dry"]["events"] == dry.events
    assert sum(values.dtype.itemsize for values in risk.columns.values()) <= 90
    bare = rt.simulate(rt.Van(), plan, trials=50)
    assert "tank" not in str(bare) + details(bare)
    assert "water_dry_night" not in bare.columns
    assert not bare.tank_chances()


def test_a_breathing_machine_is_told_about_and_never_judged() -> None:
    van = rt.Van(loads=[*rt.Van().loads, rt.BreathingMachine(name="night air")])
    risk = rt.simulate(van, trip(nights=2), trials=100)
    assert "Breathing machine (night air): counted in and never shed" in verdict(risk)[:100]  # first of all
    assert "no target and no pass mark" in risk.to_dict()["caution"]
    assert "Breathing" not in str(rt.simulate(rt.Van(), trip(nights=2), trials=100))


SCENARIO = """
[van]
habits = "{name}"
{van}
[trip]
start = "2026-11-06 15:00"
nights = 3
{trip}
[trip.site]
latitude = 36.1
longitude = -79.95
"""


@pytest.fixture
def read(tmp_path: Path) -> Any:
    def reader(name: str, van: str = "", trip: str = "") -> Any:
        path = tmp_path / "some_trip.toml"
        path.write_text(SCENARIO.format(name=name, van=van, trip=trip))
        return load_scenario(path)

    return reader


@pytest.mark.parametrize("name", rt.HABIT_NAMES)
def test_habits_by_name_in_a_scenario_file(name: str, read: Any, tmp_path: Path) -> None:
    h = rt.habits(name)
    scenario = read(name)
    assert scenario.van == rt.Van(**h.van)
    assert scenario.trip.party == h.party
    path = tmp_path / "again.toml"
    path.write_text(dump_scenario(scenario).replace('name = "some_trip"', 'name = "some_trip"'))
    assert load_scenario(path) == scenario


def test_a_scenario_file_changes_habits(read: Any) -> None:
    van = '[van.loads]\nradio = "none"\nlights = { current_a = 2 }\nkettle = {}\n'
    scenario = read("light_couple", van, "party = { persons = 3 }")
    names = [load.name for load in scenario.van.loads]
    assert "radio" not in names
    assert scenario.van.get("loads.kettle") == rt.Kettle()
    assert scenario.van.get("loads.lights") == rt.Lights(current_a=2)
    assert scenario.trip.party == rt.Party(persons=3)
    # What the habits set stays where the file does not change it.
    summer = read("touring_summer", "", "party = { persons = 3 }")
    assert summer.trip.party == rt.habits("touring_summer").party.replace(persons=3)
    heated = read("winter_heater", "[van.loads]\nheater = { night_set_point_c = 10 }")
    assert heated.van.get("loads.heater") == rt.habits("winter_heater").van["loads"][-2].replace(night_set_point_c=10)
    assert read("light_couple", "", 'party = "none"').trip.party is None
    for text, words in {
        "light_cuple": "van.habits = 'light_cuple'.*did you mean light_couple",
        "": "no such habits",
    }.items():
        with pytest.raises(rt.InputError, match=words):
            read(text)


def test_every_load_is_known_by_its_default_name(read: Any) -> None:
    for name in rt.Van._declaration.field("loads").choices:
        cls = getattr(rt, name)
        own = cls._declaration.field("name").default_value
        if own is None:
            continue
        scenario = read("parked_unoccupied", f"[van.loads]\n{own} = {{}}")
        if own != "standby":
            assert scenario.van.get(f"loads.{own}") == cls()
        assert rt.explain(f"Van.loads.{own}") == inspect.getdoc(cls)
    assert "mains power" in rt.explain("Van.loads.kettle.power_w")
    assert "from memory, weak" in rt.explain("Trip.party.rain_below_clearness")


def test_habits_are_explained() -> None:
    everything = rt.explain("Van.habits")
    for name in rt.HABIT_NAMES:
        assert f"{name}: {rt.habits(name).doc}" in everything
        words = rt.explain(f"Van.habits.{name}")
        assert all(repr(load) in words for load in rt.habits(name).loads)
        assert repr(rt.habits(name).party) in words
    with pytest.raises(rt.InputError, match="did you mean hot"):
        rt.explain("Van.habits.hott")


def test_extra_loads_change_habits_or_are_added() -> None:
    hot = rt.habits("hot")
    more = rt.habits("hot", extra=[rt.Kettle(), rt.Fan(current_a=3)])
    assert rt.Van(**more.van) == rt.Van(**hot.van).with_loads(rt.Kettle(), rt.Fan(current_a=3))
    assert [load.name for load in more.loads] == [*(load.name for load in hot.loads), "kettle"]
    assert more.trip == hot.trip
    with pytest.raises(rt.InputError, match="habits, extra: .* is no load"):
        rt.habits("hot", extra=[rt.Party()])
    with pytest.raises(rt.InputError, match="habits, extra = Kettle.*: allowed a list of loads"):
        rt.habits("hot", extra=rt.Kettle())  # type: ignore[arg-type]


def test_unknown_habits_are_refused() -> None:
    with pytest.raises(rt.InputError, match="did you mean remote_work"):
        rt.habits("remote_wrok")
