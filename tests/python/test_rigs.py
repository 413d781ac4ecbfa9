"""Three very different rigs, as a reader of the README and of `explain` wrote them: each line of a balance is one that
a practitioner would believe. Bands: common practice, no source; the panel's yield and the fridge's day from memory."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import ridethrough as rt

RIGS = Path(__file__).parents[1] / "data" / "rigs"
# Wh a day offered by the arrays, of the fridge, of all other loads.
BANDS = {
    "micro_van_coast_spring": ((180, 480), (60, 260), (60, 350)),
    "towed_camper_dry_heat": ((700, 1900), (450, 1400), (500, 2200)),
    "remote_worker_northern_winter": ((15, 300), (90, 400), (500, 2000)),
}


@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("name", BANDS)
def test_the_balance_is_one_to_believe(name: str) -> None:
    scenario = rt.load_scenario(RIGS / f"{name}.toml")
    risk = rt.simulate(scenario.van, scenario.trip, trials=1_000, seed=1)
    m, nights = risk.means, risk.nights
    day = ((m["solar_wh"] + m["curtailed_wh"]) / nights, m["fridge_wh"] / nights, m["other_loads_wh"] / nights)
    print(name, [round(x) for x in day], risk.cutout)
    for value, (least, most) in zip(day, BANDS[name], strict=True):
        assert least < value < most, day
    assert max(risk.worst_charge_miss, risk.worst_energy_miss) < 1e-9
    text = str(risk)
    assert "trials" in text and "no guarantee" in text


@pytest.mark.filterwarnings("ignore:Van.solar.rated_w:UserWarning")
def test_a_day_with_the_fridge_off_is_told_as_such() -> None:
    """Days without are shown where there are any, and the ampere-hours served and missed add up to what was asked."""
    scenario = rt.load_scenario(RIGS / "towed_camper_dry_heat.toml")
    risk = rt.simulate(scenario.van, scenario.trip, trials=200, seed=1, paths=["fridge_off"])
    off = risk.paths["fridge_off"][:, : 24 * risk.nights].reshape(200, -1, 24).sum(axis=2)
    text = str(risk)
    whole = off < 0.05
    if whole.mean() >= 0.05:  # else such days are all there is
        assert [d.left_out for d in risk.days] == [pytest.approx(1 - whole.mean())] * 2
        assert "are not among these" in text
    for day in risk.days:
        assert day.fridge_off_h == pytest.approx(off[day.trial, day.day - 1])
        assert whole[day.trial, day.day - 1] == (whole.mean() >= 0.05)
    told = re.search(r"Of (\d+) Ah that the other loads wanted in a trip (\d+) Ah were served", text)
    assert told
    asked, served = map(int, told.groups())
    assert asked == round(sum(risk.load_ah.values()))
    assert asked - served == pytest.approx(risk.means["unserved_ah"], abs=1)
    plan = scenario.trip.replace(water_days=[])
    calm = rt.simulate(rt.Van(solar=rt.SolarArray(rated_w=2000)), plan, trials=50, seed=1)
    assert "fridge off" not in str(calm) and "were served" not in str(calm)
