"""Importance sampling and low-discrepancy points: the same probability as plain trials, or no answer at all."""

from __future__ import annotations

import inspect
import math
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._core as _core
from demo_studies import EARLY_ENDS, stopping_at
from ridethrough.model import clocks
from ridethrough.report.model_error_text import format_model_error
from scipy import stats

SCENARIO = rt.load_scenario(Path(__file__).parents[2] / "data" / "scenarios" / "agm_winter.toml")


Z = 4.9  # false alarm 1e-6


def van_of(capacity_ah: float) -> Any:
    return SCENARIO.van.replace(battery=SCENARIO.van.battery.replace(capacity_ah=capacity_ah))


def standard_error(estimate: Any) -> float:
    return float(estimate.high - estimate.low) / (2 * 1.959963984540054)


def test_normal_scores_give_the_trials_distribution() -> None:
    # Catches a difference of 4.9 * sqrt(2 p q / n), 1.4 points here. Two scores for one draw that serves two loads made
    # 0.3 points, so the names are counted as well.
    compiled = clocks.compile_with_clock(SCENARIO.van, SCENARIO.trip)
    names = compiled.coordinates
    assert len(set(names)) == len(names)
    n = 20_000
    scores = np.random.default_rng(1).standard_normal((n, len(names)))
    given = _core.simulate(compiled, n, 7, scores=scores)["columns"]
    drawn = _core.simulate(compiled, n, 8)["columns"]
    p, q = float((given["cutout_cause"] > 0).mean()), float((drawn["cutout_cause"] > 0).mean())
    assert abs(p - q) < Z * math.sqrt((p * (1 - p) + q * (1 - q)) / n)
    for name in ("solar_wh", "fridge_wh", "other_loads_wh", "min_soc"):
        assert stats.ks_2samp(given[name], drawn[name]).pvalue > 1e-6, name


def test_a_given_score_is_the_draw() -> None:
    compiled = clocks.compile_with_clock(SCENARIO.van, SCENARIO.trip)
    names = compiled.coordinates
    scores = np.zeros((3, len(names)))
    scores[:, names.index(("fridge.heat_leak_factor", -1))] = (-2.0, 0.0, 2.0)
    fridge_wh = _core.simulate(compiled, 3, 7, scores=scores)["columns"]["fridge_wh"]
    assert fridge_wh[0] < fridge_wh[1] < fridge_wh[2]
    scores[:, [i for i, (name, _) in enumerate(names) if name == "weather.clearness"]] = [[-2.0], [0.0], [2.0]]
    solar_wh = _core.simulate(compiled, 3, 7, scores=scores)["columns"]["solar_wh"]
    assert solar_wh[0] < solar_wh[1] < solar_wh[2]


@pytest.mark.parametrize("wrong", [np.zeros((4, 1)), np.full((3, 1), np.nan)])
def test_scores_of_another_shape_or_no_number_are_refused(wrong: Any) -> None:
    compiled = clocks.compile_with_clock(SCENARIO.van, SCENARIO.trip)
    columns = len(compiled.coordinates)
    with pytest.raises(rt.InputError, match="scores: allowed"):
        _core.simulate(compiled, 3, 7, scores=np.repeat(wrong, columns, axis=1))


def test_it_agrees_with_plain_trials_and_needs_fewer() -> None:
    van = van_of(250.0)  # P about 1 %
    plain = rt.simulate(van, SCENARIO.trip, trials=60_000, seed=5, precision="single").cutout
    rare = rt.rare_risk(van, SCENARIO.trip, seed=2)
    assert abs(rare.cutout.value - plain.value) < Z * math.hypot(standard_error(plain), standard_error(rare.cutout))
    assert rare.gain > 2
    assert rare.effective_failures >= 100 and rare.largest_share <= 0.05
    dull = [shift for (name, _), shift in rare.shifts.items() if name == "weather.clearness"]
    assert min(dull) < -0.2 and max(dull) < 0.2
    text = str(rare)
    assert "sampling error alone" in text and "20,000 trials" in text and "no guarantee" in text
    assert format_model_error(rare.model_error, rare.cutout.value) in text and "within 5 nights" in text
    assert rare.first_day == SCENARIO.trip.start[:10]
    day = max((abs(shift), day) for (_, day), shift in rare.shifts.items() if day)[1]
    assert {day for _, day in rare.shifts} <= {*range(rare.nights + 2)}  # from 1; 0 is the whole trip
    assert f" on {date.fromisoformat(rare.first_day) + timedelta(days=day - 1)} " in text


def test_the_answer_does_not_depend_on_threads() -> None:
    shifts = {"weather.clearness": -0.4}
    one, two = (rt.rare_risk(SCENARIO.van, SCENARIO.trip, trials=5_000, threads=n, shifts=shifts) for n in (1, 2))
    assert one == two


@pytest.mark.parametrize("shift", [3.0, -3.0])
def test_a_bad_tilt_is_refused(shift: float) -> None:
    with pytest.raises(rt.DegenerateWeights, match="effective failures"):
        rt.rare_risk(van_of(300.0), SCENARIO.trip, shifts={"weather.clearness": shift})


@pytest.mark.filterwarnings("ignore:Van.battery.capacity_ah:UserWarning")
def test_a_trip_that_cannot_fail_is_refused() -> None:
    van = van_of(2000.0)
    with pytest.raises(rt.DegenerateWeights, match="stages"):
        rt.rare_risk(van, SCENARIO.trip, pilot_trials=500)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"trials": 10}, "trials = 10: allowed"),
        ({"untilted_share": 0.0}, "untilted_share = 0.0: allowed"),
        ({"shifts": {"weather.clearnes": 1.0}}, "did you mean 'weather.clearness'"),
        ({"shifts": {"weather.clearness": 9.0}}, "allowed -6 to 6"),
    ],
)
def test_bad_arguments(arguments: dict[str, Any], message: str) -> None:
    with pytest.raises(rt.InputError, match=message):
        rt.rare_risk(SCENARIO.van, SCENARIO.trip, **arguments)


@EARLY_ENDS
def test_an_early_end_keeps_the_finished_blocks(
    monkeypatch: pytest.MonkeyPatch, raised: BaseException, kind: type[Any]
) -> None:
    monkeypatch.setitem(inspect.unwrap(rt.rare_risk).__globals__, "_BLOCK", 2_000)
    how: dict[str, Any] = {"shifts": {"weather.clearness": -0.4}, "seed": 3}
    whole = rt.rare_risk(SCENARIO.van, SCENARIO.trip, trials=6_000, **how)
    stopping_at(monkeypatch, rt.rare_risk, 3, "run_core", raised=raised)
    reported: list[tuple[int, int]] = []
    with pytest.raises(kind) as early:
        rt.rare_risk(SCENARIO.van, SCENARIO.trip, trials=20_000, **how, progress=lambda *n: reported.append(n))
    assert early.value.finished == whole and reported == [(n, 20_000) for n in (2_000, 4_000, 6_000)]
    with pytest.raises(kind) as early:  # in the pilot
        rt.rare_risk(SCENARIO.van, SCENARIO.trip, pilot_trials=500)
    assert early.value.finished is None
