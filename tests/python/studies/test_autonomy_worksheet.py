"""The autonomy worksheet against arithmetic by hand, and beside the simulation."""

from __future__ import annotations

from typing import Any

import pytest
import ridethrough as rt
from demo_studies import EARLY_ENDS, demo, stopping_at

VAN, TRIP = demo()


def test_the_lines_by_hand():
    # Method of IEEE 1013, own arithmetic (its published examples are not available to us):
    # 40 x 3 = 120; / .5 = 240; 40 / .2 = 200; 120 / .8 = 150; 240 x 1.19 = 285.6; x 1.1 = 314.16; / (40 / 24) = 188.5 h
    s = rt.battery_sheet(40, 3, deepest=0.5, deepest_daily=0.2, end_of_life=0.8, temperature_factor=1.19, margin=1.1)
    lines = (s.unadjusted_ah, s.for_depth_ah, s.for_daily_depth_ah, s.for_end_of_life_ah, s.at_temperature_ah)
    assert lines == pytest.approx((120, 240, 200, 150, 285.6))
    assert s.capacity_ah == pytest.approx(314.16)
    assert s.rate_h == pytest.approx(188.496)
    assert rt.battery_sheet(40, 3, running_a=5).rate_h == pytest.approx(264 / 5)
    assert rt.battery_sheet(40, 1, deepest_daily=0.1).capacity_ah == pytest.approx(440)  # the daily depth rules


def test_yes_or_no():
    ok = {"temperature_factor": 1.19}
    assert rt.worksheet_passes(314.2, 40, 3, **ok) and not rt.worksheet_passes(314.1, 40, 3, **ok)
    assert rt.worksheet_passes(315, 40, 3, charge_ah_per_day=46.1, array_to_load=1.15, **ok)
    assert not rt.worksheet_passes(315, 40, 3, charge_ah_per_day=45.9, array_to_load=1.15, **ok)


@pytest.mark.parametrize("bad", [{"deepest": 0}, {"margin": 0.9}, {"days": 0}, {"end_of_life": float("nan")}])
def test_bad_input(bad):
    name = next(iter(bad))
    with pytest.raises(rt.InputError, match=f"{name} = .*: allowed"):
        rt.battery_sheet(**{"load_ah_per_day": 40, "days": 3, **bad})
    with pytest.raises(rt.InputError, match=f"{name} = .*: allowed"):
        rt.worksheet(VAN, TRIP, trials=10, **bad)


def test_beside_the_simulation():
    w = rt.worksheet(VAN, TRIP, days=3, trials=400, seed=1)
    means = w.present.means
    # What is asked for; what the present van has is a little less, as it cuts out at times.
    had = (means["fridge_wh"] / 12 + sum(w.present.load_ah.values()) - means["unserved_ah"]) / 5
    assert had < w.load_ah_per_day < 1.06 * had
    assert w.battery == rt.battery_sheet(w.load_ah_per_day, 3)
    assert w.charge_ah_per_day_and_w * w.array_w == pytest.approx(1.15 * w.load_ah_per_day)
    assert w.van.battery.capacity_ah == w.battery.capacity_ah and w.van.get("solar.rated_w") == w.array_w
    assert not w.passes and w.risk.cutout.high < w.present.cutout.low
    again = rt.worksheet(w.van, TRIP, trials=400, seed=1)  # what it sizes needs no more than itself
    assert again.battery.capacity_ah == pytest.approx(w.battery.capacity_ah, rel=0.002)
    assert again.array_w == pytest.approx(w.array_w, rel=0.002)
    roomy = w.van.replace(**{"battery.capacity_ah": 1.01 * w.battery.capacity_ah, "solar.rated_w": 1.01 * w.array_w})
    assert rt.worksheet(roomy, TRIP, trials=400, seed=1).passes
    text = str(w)
    assert "does not pass" in text and text.count("400 trials") == 2 and "no guarantee" in text
    with pytest.raises(rt.InputError, match="one array"):
        rt.worksheet(VAN.replace(solar=None), TRIP)
    wrong: Any = rt.worksheet
    with pytest.raises(rt.InputError, match="load_ah_per_day = 40: no such argument"):  # it is simulated
        wrong(VAN, TRIP, load_ah_per_day=40, trials=10**9)
    with pytest.raises(rt.InputError, match="depth = 0.5: no such argument"):
        wrong(VAN, TRIP, depth=0.5)


@pytest.mark.parametrize("runs", [1, 2])
@EARLY_ENDS
def test_an_early_end_keeps_the_van_as_it_is(monkeypatch, runs, raised, kind):
    stopping_at(monkeypatch, rt.worksheet, runs, raised=raised)
    with pytest.raises(kind, match="worksheet") as early:
        rt.worksheet(VAN, TRIP, trials=64)
    assert early.value.finished.cutout == rt.simulate(VAN, TRIP, trials=64).cutout
