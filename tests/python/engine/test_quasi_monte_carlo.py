"""Means from scrambled points against plain trials."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
import ridethrough as rt
from demo_studies import stopping_at

SCENARIO = rt.load_scenario(Path(__file__).parents[2] / "data" / "scenarios" / "agm_winter.toml")


def standard_error(estimate: Any) -> float:
    return float(estimate.high - estimate.low) / (2 * 1.959963984540054)


def test_sobol_points_give_the_same_means_with_less_error() -> None:
    means = rt.quasi_means(SCENARIO.van, SCENARIO.trip, trials=8 << 11, replicates=8, seed=3)
    columns = rt.simulate(SCENARIO.van, SCENARIO.trip, trials=16_384, seed=4).columns
    for name in ("solar_wh", "fridge_wh", "other_loads_wh"):
        plain_error = float(columns[name].std()) / math.sqrt(16_384)
        quasi_error = standard_error(means[name])
        assert quasi_error < plain_error, name
        # Student's t of 7 degrees of freedom is wider than the normal: its own 1e-6 point is 15.
        assert abs(means[name].value - float(columns[name].mean())) < 15 * math.hypot(plain_error, quasi_error), name


@pytest.mark.parametrize(("runs", "kept"), [(5, True), (3, False)])
def test_stopped_means_keep_their_finished_replicates(monkeypatch: pytest.MonkeyPatch, runs: int, kept: bool) -> None:
    fewer = rt.quasi_means(SCENARIO.van, SCENARIO.trip, trials=80, replicates=5, seed=3)
    stopping_at(monkeypatch, rt.quasi_means, runs, "run_core")
    with pytest.raises(rt.Interrupted) as stopped:
        rt.quasi_means(SCENARIO.van, SCENARIO.trip, trials=128, replicates=8, seed=3)
    assert stopped.value.finished == (fewer if kept else None)
