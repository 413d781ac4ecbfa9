"""Sizing: a planted size is found again, nothing is claimed where nothing meets the target, limits are limits."""

from __future__ import annotations

import math
from typing import Any

import pytest
import ridethrough as rt
from demo_studies import demo
from optional import there
from ridethrough.engine.model_error import model_error_of_risk
from ridethrough.report.model_error_text import format_model_error

VAN, TRIP = demo()


CURRENT_A, NIGHTS = 1.0, 2


def lattice(**more):
    """A battery that only a constant current empties, from a uniform charge: all else is taken away."""
    battery = rt.LithiumBattery(
        capacity_ah=100,
        state_of_health=1,
        initial_soc=rt.spreads.uniform(0.5, 1),
        resistance_mohm_100ah=0.5,
        open_circuit_voltage_offset_v=0,
        capacity_factor_0c=1,
        bms_cutoff_v=10,
        polarisation_v=0,
        cell_imbalance=0,
        # Flat, then empty: the cut-off comes with the last Ah.
        open_circuit_soc=[0, 0.001, 0.002, 0.003, 0.004, 0.005, 0.3, 0.9, 0.99, 1],
        open_circuit_voltage_v=[8, 12.5, 12.8, 12.9, 13, 13.1, 13.15, 13.2, 13.3, 13.5],
    )
    fridge = rt.Fridge(ua_w_per_k=0.05, heat_leak_factor=0.3, door_openings_per_day=0, cutout_v=8.5, restart_v=9)
    wiring = rt.Wiring(shared_mohm=0, fridge_branch_mohm=0)
    van = rt.Van(
        battery=battery, solar=None, dc_dc=None, fridge=fridge, wiring=wiring, loads=[rt.Standby(current_a=CURRENT_A)]
    )
    return van.replace(**more), TRIP.replace(nights=NIGHTS)


@pytest.mark.filterwarnings("ignore:Van.battery.bms_cutoff_v:UserWarning")
def test_a_planted_size_is_found():
    """48 Ah leave over two nights, and the fridge's little; a trial fails where start charge x capacity is less, so
    with start charge uniform on (.5, 1) the risk is (Q / C - .5) / .5 and the size for a risk p is Q / (.5 + .5 p)."""
    van, trip = lattice()
    n, p = 3000, 0.2
    fridge_ah = rt.simulate(van.replace(**{"battery.capacity_ah": 400}), trip, trials=50).means["fridge_wh"] / 13.2
    asked = 24 * NIGHTS * CURRENT_A + fridge_ah
    assert fridge_ah < 0.05 * asked
    planted = asked / (0.5 + 0.5 * p)
    found = rt.size(van, trip, "battery.capacity_ah", p, within=(40, 140), step=0.5, trials=n, seed=5)
    error = 0.5 * math.sqrt(p * (1 - p) / n) / (0.5 + 0.5 * p) * planted  # of the size, by that of the risk
    # The last .1 % of charge, and the voltage that a few mohm cost, stay unused: 0.5 %.
    low, high = there(found.low), there(found.high)
    assert low - 2.9 * error - 0.5 <= planted <= high + 2.9 * error + 0.5
    assert high - low < 4 * 1.96 * error + 1  # and the interval is one of that size
    assert found.value == high and there(found.risk).high <= p and found.monotone and not found.rises
    below = rt.simulate(van.replace(**{"battery.capacity_ah": high - 0.5}), trip, trials=n, seed=5)
    assert below.cutout.high > p  # the smallest: one step less misses the target
    assert found.risk == rt.simulate(van.replace(**{"battery.capacity_ah": found.value}), trip, trials=n, seed=5).cutout


def test_nights_are_sized_from_above():
    found = rt.size(VAN, TRIP, "trip.nights", 0.05, within=(1, 7), trials=400, seed=1)
    assert found.rises and isinstance(found.value, int)
    longest = rt.simulate(VAN, TRIP.replace(nights=7), trials=400, seed=1)
    assert found.value == longest.nights_at(0.05) > 0  # a longer trip begins like a shorter one
    assert "Largest trip.nights" in str(found) and "400 trials" in str(found)
    sized = rt.simulate(VAN, TRIP.replace(nights=found.value), trials=400, seed=1)
    assert found.model_error == model_error_of_risk(sized)
    assert "The target leaves out the model's own error" in str(found)
    assert format_model_error(found.model_error, found.risk.value).split("error.")[1] in str(found)


def test_nights_at_are_those_of_the_survival():
    risk = rt.simulate(VAN, TRIP, trials=400, seed=1)
    held = [1 - e.low for e in risk.survival()]
    for level in (0.01, 0.05, 0.2, 0.99):
        assert risk.nights_at(level) == sum(h <= level for h in held)
    assert risk.nights_at(0.99) == 5
    with pytest.raises(rt.InputError, match="level = 5"):
        risk.nights_at(5)


def test_none_in_the_range_is_said():
    found = rt.size(VAN, TRIP, "solar.rated_w", 0.05, within=(50, 100), step=10, trials=200)
    assert found.value is None and found.risk is None and found.high is None
    assert "No solar.rated_w from 50 W to 100 W keeps the risk within 5 %" in str(found)


def test_where_the_size_of_just_the_target_lies_is_said():
    how: dict[str, Any] = {"trials": 400, "seed": 1}
    coarse = rt.size(VAN, TRIP, "solar.rated_w", 0.1, within=(0, 2000), step=1000, **how)
    assert coarse.low == coarse.high == coarse.value == 1000
    assert "just 10 %: within a step of 1000 W, sampling" in str(coarse)
    first = rt.size(VAN, TRIP, "solar.rated_w", 0.9, within=(150, 300), step=50, **how)
    assert first.value == first.high == 150 and first.low is None  # what is smaller was not looked at
    assert "just 90 %: beyond the range to 150 W" in str(first)


def test_a_risk_that_turns_is_said():
    """A steep plane faces a low winter Sun better than a flat one, and one on its edge worse again."""
    tilted = VAN.replace(**{"solar.mounting": "framed"})
    found = rt.size(tilted, TRIP, "solar.tilt_deg", 0.09, within=(0, 90), step=15, trials=600, seed=1)
    assert not found.monotone
    assert "does not simply" in str(found)


@pytest.mark.parametrize("target", [0.001, 0.1, 0.3, 0.9])
def test_progress_by_size_tried(target):
    printed = []
    found = rt.size(VAN, TRIP, "solar.rated_w", target, trials=30, progress=lambda *n: printed.append(n))
    tried, most = len(found.tried), printed[0][1]
    assert printed == [*((30 * n, most) for n in range(1, tried + 1)), (most, most)] and 30 * tried <= most
    printed.clear()
    rt.iso_risk(VAN, TRIP, [220, 300], target, step=50, trials=30, progress=lambda *n: printed.append(n))
    most = printed[0][1]
    assert printed == sorted(printed) and {(most // 2, most), (most, most)} <= {*printed} and most % 60 == 0


@pytest.mark.parametrize(
    ("raised", "kind"),
    [
        (KeyboardInterrupt(), rt.Interrupted),
        (MemoryError("m"), rt.StudyFailed),
        (rt.InputError("size = 1: allowed 2"), rt.InputError),
    ],
)
def test_a_search_that_ends_early_keeps_what_it_tried(monkeypatch, raised, kind):
    from ridethrough.studies import sizing

    ran: list[Any] = []
    real = sizing.run_trip

    def twice(*a, **k):
        if len(ran) == 2:
            raise raised
        ran.append(real(*a, **k))
        return ran[-1]

    monkeypatch.setattr(sizing, "run_trip", twice)
    with pytest.raises(kind, match="size") as early:
        rt.size(VAN, TRIP, "solar.rated_w", trials=50)
    assert list(early.value.finished.values()) == [r.cutout for r in ran]


@pytest.mark.parametrize(
    ("path", "more", "words"),
    [
        ("solar.rated", {}, "did you mean rated_w"),
        ("solar.mounting", {}, "path of a number"),
        ("solar.rated_w", {"target_risk": 5}, "target_risk = 5: allowed 0.001 to 0.9"),
        ("solar.rated_w", {"within": (300, 200)}, "the lower one first"),
        ("solar.rated_w", {"within": (300, 9000)}, "low < high inside 0 to 5000 W"),
        ("solar.rated_w", {"within": ("a", "b")}, "two numbers"),
        ("solar.rated_w", {"within": 5}, "within = 5: allowed .low, high."),
        ("solar.rated_w", {"within": (100, 300), "step": 500}, "allowed 1 to 10,000 steps"),
        ("solar.azimuth_deg", {}, "within: must be given"),
        ("trip.nights", {"within": (1, 5), "step": 0.5}, "step = 0.5"),
    ],
)
def test_bad_input(path, more, words):
    with pytest.raises(rt.InputError, match=words):
        rt.size(VAN, TRIP, path, **({"trials": 50} | more))


def test_a_measured_battery_is_sized_at_its_own_path():
    van = VAN.replace(**{"battery.measured_capacity_ah": 100})
    with pytest.raises(rt.InputError, match="measured_capacity_ah"):
        rt.size(van, TRIP, "battery.capacity_ah")
