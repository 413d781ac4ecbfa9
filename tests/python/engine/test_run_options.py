"""Run options mean the same everywhere: names, defaults, progress, and the same bits on an executor."""

from __future__ import annotations

import inspect
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from quick_studies import CALLS
from ridethrough.engine.run_options import TRIALS, RunOptions
from study_fixture import TRIP, VAN

pytest.importorskip("xarray")


pytest.importorskip("SALib")


OPTIONS = ("trials", "seed", "threads", "precision", "executor", "progress")


STUDIES = (
    rt.simulate,
    rt.compare,
    rt.cutout_settings,
    rt.hindcast,
    rt.iso_risk,
    rt.lithium_pays,
    rt.monthly_risk,
    rt.quasi_means,
    rt.rare_risk,
    rt.sensitivity,
    rt.size,
    rt.sweep,
    rt.upgrades,
    rt.van_range,
    rt.worksheet,
)


# Where a run is one of very many, or its trials have weights.
OTHER_TRIALS = {"hindcast": 4, "monthly_risk": 300, "sensitivity": 500, "rare_risk": 20_000}


@pytest.mark.parametrize("study", STUDIES, ids=lambda f: f.__name__)
def test_every_study_has_the_same_options_with_the_same_defaults(study: Any) -> None:
    parameters = inspect.signature(study).parameters
    defaults = {
        "trials": OTHER_TRIALS.get(study.__name__, TRIALS),
        "seed": 0,
        "threads": 0,
        "precision": "double",
        "executor": None,
        "progress": None,
    }
    assert {name: parameters[name].default for name in OPTIONS} == defaults
    assert [name for name in parameters if name in OPTIONS] == list(OPTIONS)
    assert all(parameters[name].kind is inspect.Parameter.KEYWORD_ONLY for name in OPTIONS)


def test_every_study_is_called_here() -> None:
    assert set(CALLS) == {study.__name__ for study in STUDIES}


@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("name", CALLS)
def test_a_bar_a_function_and_an_executor_in_every_study(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    call, numbers = CALLS[name]
    seen: list[tuple[int, int]] = []
    plain = numbers(call(progress=lambda done, total: seen.append((done, total))))
    done = [step for step, _ in seen]
    assert done and done == sorted(done) and done[-1] <= seen[-1][1]
    assert capsys.readouterr().err == ""
    barred = numbers(call(progress=True))
    assert "%|" in capsys.readouterr().err
    with ThreadPoolExecutor(2) as pool:
        elsewhere = numbers(call(executor=pool, progress=False))
    np.testing.assert_array_equal(barred, plain)
    np.testing.assert_array_equal(elsewhere, plain)
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    ("options", "match"),
    [
        ({"trials": 0}, "trials = 0: allowed whole numbers 1 to"),
        ({"trials": 1.5}, "trials = 1.5"),
        ({"seed": -1}, "seed = -1"),
        ({"threads": -1}, "threads = -1"),
        ({"precision": "half"}, "precision = 'half': allowed 'single', 'double'"),
        ({"executor": 3}, "executor = 3: allowed None"),
        ({"progress": 0}, "progress = 0: allowed True, False, None or a function"),
        ({"progress": "no"}, "progress = 'no'"),
    ],
)
def test_options_out_of_range(options: dict[str, Any], match: str) -> None:
    if "progress" not in options:
        with pytest.raises(rt.InputError, match=match):
            RunOptions(**options)
    with pytest.raises(rt.InputError, match=match):
        rt.size(VAN, TRIP, "solar.rated_w", **options)
