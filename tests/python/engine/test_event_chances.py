"""What may happen besides a cut-out, and what the verdict says first: cold, food, what does nothing on this trip."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import ridethrough as rt
from optional import there
from ridethrough.engine.event_chances import CHANCES
from ridethrough.report.cause_text import plain_difference
from verdict_text import details, verdict

# Greensboro, North Carolina (TMY3 723170, US public domain), and a cold plateau made up for this test.
MILD = rt.Climate(
    latitude=36.1,
    longitude=-79.95,
    ghi_kwh_m2_day=[2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24],
    air_temp_c=[0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2],
)
COLD = rt.Climate(
    latitude=44.5,
    longitude=-110,
    ghi_kwh_m2_day=[1.9, 2.9, 4.2, 5.3, 6.1, 6.9, 7.1, 6.1, 4.7, 3.1, 2.0, 1.6],
    air_temp_c=[-10, -8, -4, 1, 6, 11, 15, 14, 9, 3, -5, -10],
)


def trip(climate: rt.Climate = MILD, start: str = "2026-11-06 15:00", nights: int = 4, **more: Any) -> rt.Trip:
    site = rt.Site(latitude=there(climate.latitude), longitude=there(climate.longitude), climate=climate)
    return rt.Trip(site=site, start=start, nights=nights, **more)


def test_a_cold_trip_without_a_heater_is_not_told_as_safe() -> None:
    """In January at -10 degC, with nothing said of a heater, the van has one; without, cold comes before the number."""
    january = trip(COLD, "2027-01-15 15:00")
    default = rt.simulate(rt.Van(), january, trials=2000, seed=1)
    bare = rt.simulate(rt.Van().replace(loads=[x for x in rt.Van().loads if x.name != "heater"]), january, trials=2000)
    assert bare.cutout.high < 0.1 < 0.4 < default.cutout.low
    top = verdict(bare).split("WILL THE FRIDGE STAY ON?")[0]
    assert "Cold to live and sleep in" in top and "Food freezes" in top and "no heater among its loads" in top
    assert f"{bare.trials:,} trips)" in top
    assert bare.chances["cold_cabin"].value > 0.99 and bare.chances["food_frozen"].value > 0.9
    assert default.chances["cold_cabin"].value < bare.chances["cold_cabin"].value
    # Nobody is cold in a van that is warm, or in which nobody sleeps.
    assert "Cold" not in str(rt.simulate(rt.Van(), trip(start="2026-07-06 15:00"), trials=200))
    parked = trip(COLD, "2027-01-15 15:00", party=rt.Party(persons=0))
    assert rt.simulate(rt.Van(loads=[]), parked, trials=200).chances["cold_cabin"].events == 0


def test_cold_that_many_trips_meet_shortly_is_told() -> None:
    """Where a battery that fails takes its heater along: few hours on average, but in many trips."""
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=200), solar=rt.SolarArray(rated_w=300))
    risk = rt.simulate(van, trip(COLD, "2027-01-15 15:00", nights=3), trials=2000, seed=1)
    cold = risk.chances["cold_cabin"]
    assert cold.value > 0.05 and risk.means["cold_cabin_h"] < 0.05 * risk.hours
    top = verdict(risk)
    assert top.index("Cold to live and sleep in") < top.index("WILL THE FRIDGE STAY ON?")
    assert "The heater stops with the battery and may be too weak" in top


def test_a_heater_changes_nothing_in_summer() -> None:
    july = trip(start="2026-07-06 15:00")
    van = rt.Van()
    without = van.replace(loads=[load for load in van.loads if load.name != "heater"])
    a, b = (rt.simulate(v, july, trials=500, seed=2) for v in (van, without))
    assert a.load_ah["heater"] == 0
    for name, values in b.columns.items():
        assert np.array_equal(a.columns[name], values), name


def test_chances_are_those_of_the_columns_and_of_a_summary() -> None:
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=90))
    risk, summary = (rt.simulate(van, trip(), trials=3000, seed=4, keep=keep) for keep in ("columns", "summary"))
    c = risk.columns
    by_hand = {
        "fridge_off_over_1h": c["longest_off_h"] > 1,
        "food_warm_2h": c["longest_warm_spell_h"] > 2,
        "food_warm_4h": c["longest_warm_spell_h"] > 4,
        "food_frozen": c["frozen_food_h"] > 1,
        "cold_cabin": c["cold_cabin_h"] > 1,
        "cabin_frozen": c["coldest_cabin_c"] < 0,
        "below_half": c["hours_below_half"] > 0,
    }
    assert set(by_hand) == set(CHANCES)
    for name, happened in by_hand.items():
        assert risk.chances[name].events == happened.sum(), name
    assert risk.chances == summary.chances
    off = risk.fridge_off_over_1h  # the second headline: in the verdict, its page and the dictionary
    assert off == risk.chances["fridge_off_over_1h"] and 0 < there(off.events) <= (c["cutout_cause"] > 0).sum()
    assert (c["longest_off_h"] <= c["hours_off"] * (1 + 1e-6)).all()
    assert f"Off for over 1 h: {100 * off.value:.2g} %" in verdict(risk)
    assert "the fridge is off for more than an hour in a row</td>" in risk._repr_html_()
    assert risk.to_dict()["fridge_off_over_1h"]["events"] == off.events
    assert risk.to_xarray()["fridge_off_over_1h"].item() == off.value
    failed = c["cutout_cause"] > 0
    assert 100 < failed.sum() < 2900
    mean, tenth = risk.warm_h_if_failed()
    assert mean == pytest.approx(c["hours_above_5c"][failed].mean(), rel=1e-6)
    assert np.mean(c["hours_above_5c"][failed] >= tenth + 1) <= 0.1 < np.mean(c["hours_above_5c"][failed] >= tenth)
    assert summary.warm_h_if_failed() == (mean, tenth)
    report_text = json.loads(json.dumps(risk.to_dict()))
    assert report_text["chances"]["food_warm_4h"]["events"] == by_hand["food_warm_4h"].sum()
    assert report_text["hours_above_5c_if_failed"]["mean"] == pytest.approx(mean)
    assert sum(values.dtype.itemsize for values in c.values()) <= 90


@pytest.mark.filterwarnings("ignore:Van.fridge.set_point_c:UserWarning")
def test_food_is_an_outcome_of_every_study() -> None:
    van, plan = rt.Van(battery=rt.AgmBattery(capacity_ah=100)), trip()
    warmer = van.replace(**{"fridge.set_point_c": 6.0})
    against = rt.compare(van, {"warmer": warmer}, plan, trials=1000, seed=1)
    risk, food = (there(against["warmer"][name].difference) for name in ("risk", "food_warm_2h"))
    assert risk.high < 0 < food.low  # less of one, more of the other
    assert "chance of food above 5 degC for over 2 h in a row" in str(against)
    assert "chance of the fridge off for over 1 h in a row" in str(against)
    assert against.to_xarray()["food_warm_2h_difference"].attrs["units"] == "1"
    sized = rt.size(van, plan, "solar.rated_w", 0.2, trials=500)
    assert sized.chances["food_warm_4h"].trials == 500 and "more than 4 h: " in str(sized)
    assert "Fridge off for more than an hour in a row: " in str(sized)
    cells = rt.sweep(van, plan, {"fridge.set_point_c": [4.0, 6.0]}, trials=500)
    assert cells["food_warm_2h"].values[1] > cells["food_warm_2h"].values[0] + 0.3
    assert "above 5 degC for more than 2 h" in cells["food_warm_2h_low"].attrs["long_name"]
    ranked = rt.upgrades(van, plan, pairs=False, trials=500)
    assert "food above 5 degC for over 4 h in a row" in str(ranked)
    assert ranked.to_xarray()["food_change"].attrs["units"] == "1"
    table = rt.cutout_settings(
        van, plan, [10.3, 11.2], makers_range_v=(9.5, 12), dedicated_house_battery=True, trials=300
    )
    assert table.settings[0].food_warm_4h.trials == 300 and "over 4 h in a row" in str(table)
    assert table.settings[0].fridge_off_over_1h.trials == 300 and "off for over 1 h in a row" in str(table)


@pytest.mark.parametrize(
    ("path", "where"),
    [
        ("fridge.set_point_c", "compare"),
        ("fridge.cutout_v", "cutout_settings"),
        ("fridge.restart_v", "cutout_settings"),
        ("battery.bms_cutoff_v", "maker"),
        ("battery.charge_block_c", "maker"),
    ],
)
def test_what_harms_food_or_battery_is_not_sized(path: str, where: str) -> None:
    van = rt.Van(battery=rt.LithiumBattery())
    with pytest.raises(rt.InputError, match=f"{path}: not to be sized.*{where}"):
        rt.size(van, trip(), path)


def test_only_what_works_is_printed_as_there() -> None:
    plain = details(rt.simulate(rt.Van(), trip(), trials=50))
    assert "no drives planned, so the 25 A DC-DC charger does nothing" in plain
    assert "open ground assumed: no shade given" in plain and "% full at the start" in plain
    assert "Heater: holds about 19 degC" in plain and "towed" not in plain
    driven = details(rt.simulate(rt.Van(), trip(drives=[rt.Drive(days=[2, 4])]), trials=50))
    assert "drives: 2 h on days 2 and 4, charging by a 25 A DC-DC charger" in driven and "does nothing" not in driven
    cable = rt.DcDcCharger(supply_length_m=8, supply_section_mm2=10)
    idle = rt.Van(mains=rt.MainsCharger(), towed=True, dc_dc=cable, loads=[rt.Lights()])
    report_text = details(rt.simulate(idle, trip(surroundings="forest"), trials=50))
    assert "no shore power, so the 20 A mains charger does nothing" in report_text
    assert "; forest" in report_text and "; towed" in report_text and "No heater among the loads" in report_text
    bare = details(rt.simulate(rt.Van(dc_dc=None, solar=None), trip(day_trips=[rt.DayTrip(days=[2])]), trials=50))
    assert "no solar" in bare and "which charge nothing (no DC-DC charger)" in bare
    assert "mains charger" not in bare
    plan = trip(warm_food_days=[2], water_days=["Sunday", 4])  # from Friday on
    wet = details(rt.simulate(rt.Van(water=rt.WaterTanks()), plan, trials=50))
    assert "tanks filled and emptied on days 3 and 4 (2026-11-08 and 2026-11-09)" in wet
    assert "warm food put in on day 2 (2026-11-07)" in wet and "tanks filled" not in plain


def test_the_weather_of_failing_trials_is_dated_on_the_clock() -> None:
    """New York's clock goes back on 1 November 2026 at 2:00 (Python's own zone data): 24 h after 15:00 it is 14:00."""
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=70), solar=rt.SolarArray(rated_w=140))
    risk = rt.simulate(van, trip(start="2026-10-30 15:00", nights=3), trials=2000, seed=1)
    (sun,) = (d for d in risk.failing_differences if d.what.startswith("sun from "))
    begin = datetime(2026, 10, 30, 15, tzinfo=ZoneInfo("America/New_York")).astimezone(UTC)
    ends = [(begin + timedelta(hours=24 * i)).astimezone(ZoneInfo("America/New_York")) for i in range(4)]
    texts = [f"sun from {a:%Y-%m-%d %H:%M} to {b:%Y-%m-%d %H:%M}" for a, b in zip(ends[:2], ends[2:], strict=True)]
    assert texts[1] == "sun from 2026-10-31 15:00 to 2026-11-02 14:00" and sun.what in texts
    assert f"Failing trials had: {sun.what} " in details(risk) or f"; {sun.what} " in details(risk)
    dates = {texts[0]: "Fri 30 Oct-Sun 1 Nov", texts[1]: "Sat 31 Oct-Mon 2 Nov"}
    assert plain_difference(risk, sun).endswith(f" % less sun {dates[sun.what]}")


def test_hard_days_are_hard_for_a_reason_that_is_told() -> None:
    """A single day that took much from the battery could have more sun than the middle one; the tenth cannot."""
    risk = rt.simulate(rt.Van(), trip(), trials=2000, seed=1, time_series=["solar_w", "curtailed_w"])
    middling, hard = risk.day_balances
    assert middling.days == hard.days > 100
    for day in (middling, hard):
        gave = day.solar_wh + day.dc_dc_wh + day.mains_wh + day.battery_wh
        assert gave == pytest.approx(day.fridge_wh + day.other_loads_wh + day.cables_wh, abs=1)
        assert day.soc_after < day.soc_before
    need = [d.drawn_wh - d.sun_wh - d.dc_dc_wh - d.mains_wh for d in risk.day_balances]
    assert need[1] > need[0] + 100 and hard.sun_wh < middling.sun_wh - 50
    text = details(risk)
    assert "Hard days (the tenth that leaves most to the battery) have" in text and "Wh less sun" in text
    assert "of trial" not in text


def test_the_voltage_that_trips_is_a_path_of_its_own() -> None:
    """Of first cut-outs by the fridge's own cut-out every one shows in `lowest_fridge_v`, few in the hour's mean."""
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=90), fridge=rt.Fridge(cutout_v=10.7, restart_v=11.9))
    risk = rt.simulate(van, trip(), trials=2000, seed=1, time_series=["fridge_v", "lowest_fridge_v"])
    tripped = np.flatnonzero(risk.columns["cutout_cause"] == 1)
    assert len(tripped) > 100
    hour = np.minimum(risk.columns["first_cutout_h"][tripped] - 1e-4, risk.hours - 1).astype(int)
    assert (risk.time_series_values["lowest_fridge_v"][tripped, hour] < 10.7).all()
    assert (risk.time_series_values["fridge_v"][tripped, hour] < 10.7).mean() < 0.5


def test_every_path_says_what_it_is() -> None:
    everything = rt.explain("time_series")
    for name in rt.TIME_SERIES:
        line = rt.explain(f"time_series.{name}")
        assert line in everything and line.startswith(f"{name} [")
        assert any(when in line for when in ("mean over the hour", "at the end of the hour", "lowest of the hour"))
    with pytest.raises(rt.InputError):
        rt.explain("time_series.nothing")
