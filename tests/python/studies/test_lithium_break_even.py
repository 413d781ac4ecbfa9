"""Lives of batteries and the nights a year from which lithium pays, by hand on a table without spread."""

from __future__ import annotations

import re

import numpy as np
import pytest
import ridethrough as rt
from demo_studies import EARLY_ENDS, demo, stopping_at
from ridethrough.model.van_parts import rated_ah
from ridethrough.money.prices import DRAWS
from ridethrough.studies import lithium_break_even as life

VAN, TRIP = demo()


@pytest.fixture
def certain(tmp_path):
    """The shipped table with every range at its usual value."""
    text = rt.Prices().path.read_text()
    file = tmp_path / "certain.toml"
    file.write_text(re.sub(r"\[[\d.]+, ([\d.]+), [\d.]+\]", r"[\1, \1, \1]", text))
    return rt.Prices(file)


def test_wear_by_hand(certain):
    use = life.DailyUse(discharge_ah=75, depth=0.5, full_share=1.0)
    assert life.wear_a_night(use, False, certain) == pytest.approx(np.full(DRAWS, 1 / 600))
    deep = life.DailyUse(discharge_ah=120, depth=0.8, full_share=1.0)  # from memory: half as many cycles at 80 %
    assert life.wear_a_night(deep, False, certain) == pytest.approx(np.full(DRAWS, 1 / 300))
    never_full = life.DailyUse(discharge_ah=75, depth=0.5, full_share=0.0)
    assert life.wear_a_night(never_full, False, certain) == pytest.approx(np.full(DRAWS, 2 / 600))
    assert life.wear_a_night(deep, True, certain) == pytest.approx(np.full(DRAWS, 1 / 3000))
    assert life.years_to_replacement(use, 100, False, certain) == pytest.approx(np.full(DRAWS, 1 / (1 / 6 + 100 / 600)))


def test_break_even_by_hand(certain):
    found = rt.lithium_pays(VAN, TRIP, trials=200, horizon_years=10, old_life_left=0.3, prices=certain)
    agm, lithium, parts = 150 * 2.2, 120 * 3.5, 90 + 35 + 350
    wear, wear_lithium = (
        float(life.wear_a_night(life.daily_use(r), is_lithium, certain)[0])
        for r, is_lithium in ((found.new_agm, False), (found.lithium, True))
    )

    def dearer(nights):
        return (
            agm * max(1, 10 / 6 + 10 * nights * wear) - lithium * max(1, 10 / 12 + 10 * nights * wear_lithium) - parts
        )

    expected = next((n for n in range(366) if dearer(n) >= 0), None)
    assert found.pays_against_new.nights == expected
    assert expected is not None and expected > 0
    # An old battery costs nothing to have, so that lithium never pays sooner against it.
    later = found.pays_against_old.nights
    assert later is None or later >= 0.9 * expected  # its wear is that of a smaller battery, so a little more a night
    # The same lithium looks better beside an old AGM.
    assert found.lithium_less_old_agm.value < found.lithium_less_new_agm.value
    assert "Not discounted" in str(found) and "the same 200 trials" in str(found)
    ah = [rated_ah(risk.van) for risk in (found.lithium, found.new_agm)]
    assert str(found).startswith(f"{ah[0]:.0f} Ah of lithium against {ah[1]:.0f} Ah of AGM.")
    assert "the model's own error may put the odds of a risk off" in str(found)


def test_discharge_counts_what_leaves_the_battery():
    use = life.daily_use(rt.simulate(VAN.replace(solar=None), TRIP.replace(nights=1), trials=100, seed=1))
    risk = rt.simulate(VAN.replace(solar=None), TRIP.replace(nights=1), trials=100, seed=1, time_series=["battery_a"])
    assert use.discharge_ah == pytest.approx(risk.time_series["battery_a"].sum(axis=1).mean())
    asked = (risk.means["fridge_wh"] + risk.means["other_loads_wh"]) / 12.3
    assert use.discharge_ah == pytest.approx(asked, rel=0.05)  # nothing else feeds the loads


@EARLY_ENDS
def test_an_early_end_keeps_the_risks_that_were_run(monkeypatch, raised, kind):
    stopping_at(monkeypatch, rt.lithium_pays, 2, raised=raised)
    with pytest.raises(kind, match="lithium_pays") as early:
        rt.lithium_pays(VAN, TRIP, trials=64)
    assert early.value.__cause__ is raised
    kept = early.value.finished
    assert list(kept) == ["lithium", "new_agm"]
    assert kept["lithium"].cutout == rt.simulate(rt.lithium_bundle(VAN).van, TRIP, trials=64).cutout
