"""Three very different rigs: each line of a balance is one that a practitioner would believe."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import ridethrough as rt
from verdict_text import details, verdict

RIGS = Path(__file__).parents[2] / "data" / "rigs"
# Wh a day offered by the arrays, of the fridge, of all other loads, by hand from usual figures (from memory): .7 of
# the rating times the month's full-sun hours, .8 of it under some trees and .85 with PWM, 1.2 for a panel that is
# turned and stands out on .55 of the days, 1.8 for a tilt of 30 degrees in the northern winter; fridges of their size
# in 15, 35 and 17 degC take 10, 57 and 20 Ah; days of such parties less their fridges take 23, 58 and 97 Ah; 12.5 V.
USUAL = {
    "micro_van_coast_spring": (220, 125, 290),
    "towed_camper_dry_heat": (1250, 715, 725),
    "remote_worker_northern_winter": (150, 250, 1210),
}


@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("name", USUAL)
def test_the_balance_is_one_to_believe(name: str) -> None:
    scenario = rt.load_scenario(RIGS / f"{name}.toml")
    risk = rt.simulate(scenario.van, scenario.trip, trials=1_000, seed=1)
    m, nights = risk.means, risk.nights
    day = ((m["solar_wh"] + m["curtailed_wh"]) / nights, m["fridge_wh"] / nights, m["other_loads_wh"] / nights)
    print(name, [round(x) for x in day], risk.cutout)
    for value, usual in zip(day, USUAL[name], strict=True):  # within half to twice, as such figures differ by as much
        assert 0.5 * usual < value < 2 * usual, day
    assert max(risk.charge_balance_error, risk.energy_balance_error) < 1e-9
    text = verdict(risk)
    assert "1,000 trips)" in text and "no guarantee" in text


@pytest.mark.filterwarnings("ignore:Van.solar.rated_w:UserWarning")
def test_a_day_with_the_fridge_off_is_told_as_such() -> None:
    """Days without are shown where there are any, and the ampere-hours served and missed add up to what was asked."""
    scenario = rt.load_scenario(RIGS / "towed_camper_dry_heat.toml")
    risk = rt.simulate(scenario.van, scenario.trip, trials=200, seed=1, time_series=["fridge_off"])
    off = risk.time_series_values["fridge_off"][:, : 24 * risk.nights].reshape(200, -1, 24).sum(axis=2)
    text = details(risk)
    whole = off < 0.05
    enough = whole.mean() >= 0.1  # else days with the fridge off are nearly all there is
    if enough:
        assert [d.left_out for d in risk.day_balances] == [pytest.approx(1 - whole.mean())] * 2
        assert "are not among these" in text
    assert all((day.fridge_off_h < 0.05) == enough for day in risk.day_balances)
    printed = re.search(r"Of (\d+) Ah that the other loads wanted in a trip (\d+) Ah were served", text)
    assert printed
    asked, served = map(int, printed.groups())
    assert asked == round(sum(risk.load_ah.values()))
    assert asked - served == pytest.approx(risk.means["unserved_ah"], abs=1)
    plan = scenario.trip.replace(water_days=[])
    calm = rt.simulate(rt.Van(solar=rt.SolarArray(rated_w=2000)), plan, trials=50, seed=1)
    assert "fridge off" not in details(calm) and "were served" not in details(calm)
