"""One wheel, several instruction sets: which one runs is asked for and told, and changes no bit."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._checks as _checks
from ridethrough import _core
from ridethrough.files.scenario import load_scenario
from ridethrough.model import clocks

SCENARIOS = sorted((Path(__file__).parents[2] / "data" / "scenarios").glob("*.toml"))


def test_the_widest_level_is_the_default() -> None:
    assert _checks.instruction_sets()[0] == "reference"
    assert len(_checks.instruction_sets()) > 1
    if not os.environ.get("RIDETHROUGH_INSTRUCTION_SET"):
        assert rt.instruction_set() == _checks.instruction_sets()[-1]


def in_environment(value: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "RIDETHROUGH_INSTRUCTION_SET": value}
    code = "import ridethrough as rt; print(rt.instruction_set())"
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=environment)


def test_the_environment_chooses_an_instruction_set() -> None:
    for instruction_set in _checks.instruction_sets():
        assert in_environment(instruction_set).stdout.strip() == instruction_set
    wrong = in_environment("x86-64-v9")
    assert wrong.returncode != 0
    assert 'RIDETHROUGH_INSTRUCTION_SET = "x86-64-v9": allowed on this processor "reference"' in wrong.stderr


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
@pytest.mark.parametrize("precision", ["double", "single"])
def test_every_instruction_set_gives_the_same_bits(path: Path, precision: str) -> None:
    scenario = load_scenario(path)
    compiled = clocks.compile_with_clock(scenario.van, scenario.trip)

    def bits(instruction_set: str) -> dict[str, bytes]:
        run = _core.simulate(
            compiled, 300, 3, precision=precision, instruction_set=instruction_set, time_series=list(rt.TIME_SERIES)
        )
        return {name: np.asarray(x).tobytes() for kind in ("columns", "time_series") for name, x in run[kind].items()}

    expected = bits("reference")
    for instruction_set in _checks.instruction_sets()[1:]:
        assert bits(instruction_set) == expected, instruction_set


@pytest.mark.parametrize("precision", ["double", "single"])
def test_a_trial_of_a_fridge_that_freezes_hangs_on_no_other(precision: str) -> None:
    """With a freezer box the inside may turn within a segment, so that a trial is cold where its neighbours are not."""
    scenario = load_scenario(SCENARIOS[0])
    box = rt.FreezerBox(coupling_w_per_k=3)
    fridge = rt.Fridge(set_point_c=2, initial_inside_c=rt.spreads.triangular(-5, 4, 20), freezer_box=box)
    medicine = fridge.replace(set_point_c=4, initial_inside_c=4, medicine=rt.Medicine())
    for cold in (fridge, medicine):
        compiled = clocks.compile_with_clock(scenario.van.replace(fridge=cold), scenario.trip)
        how: dict[str, Any] = {"precision": precision}
        columns = _core.simulate(compiled, 515, 3, instruction_set="reference", **how)["columns"]
        shifted = _core.simulate(compiled, 512, 3, first_trial=3, **how)["columns"]
        for name, expected in columns.items():
            assert np.array_equal(shifted[name], np.asarray(expected)[3:]), name
        for name in ("frozen_food_h", "medicine_frozen_h", "medicine_out_coldest_h", "medicine_out_warmest_h"):
            if name in columns:
                hours = np.asarray(columns[name])
                assert (hours >= 0).all() and not ((hours > 0) & (hours < 1e-6)).any(), name


def test_paths_of_a_run_are_those_of_a_trace_and_cost_no_column_a_bit() -> None:
    scenario = load_scenario(SCENARIOS[0])
    compiled = clocks.compile_with_clock(scenario.van, scenario.trip)
    names = list(rt.TIME_SERIES)
    run = _core.simulate(compiled, 50, 3, time_series=names)
    traced = _core.trace(compiled, list(range(50)), 3, "double", names)
    for name in names:
        assert np.array_equal(run["time_series"][name], traced[name]), name
    plain = _core.simulate(compiled, 50, 3)
    assert all(np.array_equal(plain["columns"][name], x) for name, x in run["columns"].items())
