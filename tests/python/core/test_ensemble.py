"""The machinery under every simulation, driven from Python on toy batteries with exact answers."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import statcheck
from ridethrough import _checks as checks
from ridethrough import _core as core
from ridethrough import load_scenario
from ridethrough.model import clocks

SCENARIO = load_scenario(Path(__file__).parents[2] / "data" / "scenarios" / "agm_winter.toml")
COMPILED = clocks.compile_with_clock(SCENARIO.van, SCENARIO.trip)

# Exact Markov chain and quadrature: see tests/cpp/ensemble/test_lattice.cpp, which recomputes them.
EXACT: list[tuple[str, dict[str, float], float]] = [
    ("lattice", {"start": 4, "cap": 4, "days": 14}, 0.24649231),
    ("lattice", {"start": 4, "cap": 4, "days": 14, "p_up_after_up": 0.7, "p_up_after_down": 0.45}, 0.40340972),
    ("gaussian", {"start": 5, "cap": 5, "mean": 0.2, "sd": 1, "days": 14}, 0.0730360717),
]


@pytest.mark.parametrize(("kind", "plan", "exact"), EXACT)
def test_risk_is_the_exact_one(kind: str, plan: dict[str, Any], exact: float) -> None:
    e = checks.walk_risk(kind, trials=100_000, seed=11, **plan)["estimate"]
    assert statcheck.proportion_agrees(e.events, e.trials, exact, smallest_error=0.012)


@pytest.mark.parametrize(("kind", "plan", "exact"), EXACT)
def test_same_rows_for_any_threads_tasks_and_prefix(kind: str, plan: dict[str, Any], exact: float) -> None:
    del exact
    whole = checks.walk_risk(kind, trials=10_003, seed=5, threads=1, **plan)
    for threads in (1, 2, 3, 7):
        for n in (1, 255, 256, 257, 10_003):
            part = checks.walk_risk(kind, trials=n, seed=5, threads=threads, trials_per_task=64 * threads, **plan)
            assert np.array_equal(part["days"], whole["days"][:n])
            assert np.array_equal(part["ruined"], whole["ruined"][:n])
    other = checks.walk_risk(kind, trials=10_003, seed=6, **plan)
    assert not np.array_equal(other["days"], whole["days"])


LONG: dict[str, Any] = {"kind": "gaussian", "trials": 20_000, "start": 1e9, "mean": 0, "sd": 1, "days": 200_000}


def raise_in_progress(done: int) -> None:
    raise RuntimeError(f"after {done}")


def test_an_exception_in_progress_reaches_the_caller_and_the_next_call_works() -> None:
    with pytest.raises(RuntimeError, match="after"):
        checks.walk_risk(**LONG, progress=raise_in_progress)
    assert not checks.walk_risk("lattice", trials=100)["cancelled"]


def test_progress_may_stop_the_run() -> None:
    result = checks.walk_risk(**LONG, progress=lambda done: False)
    assert result["cancelled"]
    assert len(result["days"]) < LONG["trials"]
    assert (result["estimate"] is None) == (len(result["days"]) == 0)
    assert (result["days"] == LONG["days"]).all()  # what is kept is finished


def test_progress_sees_every_trial_in_the_end() -> None:
    seen: list[int] = []
    checks.walk_risk("lattice", trials=5000, progress=seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 5000


def test_a_signal_stops_the_run() -> None:
    def interrupt(number: int, frame: object) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGALRM, interrupt)
    try:
        signal.setitimer(signal.ITIMER_REAL, 0.02)
        with pytest.raises(KeyboardInterrupt):
            checks.walk_risk(**LONG)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
    assert checks.walk_risk("lattice", trials=100)["estimate"].trials == 100


def test_python_threads_run_side_by_side() -> None:
    expected = checks.walk_risk("lattice", trials=5000, seed=3)["estimate"]
    found: list[object] = []

    def work() -> None:
        found.append(checks.walk_risk("lattice", trials=5000, seed=3, threads=2)["estimate"])

    threads = [threading.Thread(target=work) for _ in range(4)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert found == [expected] * 4


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: checks.walk_risk("lattice", trials=0), "trials = 0"),
        (lambda: checks.walk_risk("lattice", trials=1, threads=-1), "threads = -1"),
        (lambda: checks.walk_risk("lattice", trials=1, trials_per_task=0), "trials_per_task = 0"),
        (lambda: checks.walk_risk("lattice", trials=1, p_up_after_up=float("nan")), "p_up_after_up = nan"),
        (lambda: checks.walk_risk("lattice", trials=1, sd=1.0), "no parameter 'sd'"),
        (lambda: checks.walk_risk("gaussian", trials=1, sd=0.0), "sd = 0"),
        (lambda: checks.walk_risk("circle", trials=1), "kind = 'circle'"),
        (lambda: core.simulate(COMPILED, -1, 0, time_series=["soc"]), "trials = -1"),
    ],
)
def test_bad_input_is_named(call: Callable[[], object], message: str) -> None:
    with pytest.raises(core.InputError, match=message):
        call()


def test_draws_that_are_kept_run_as_often_as_one_likes() -> None:
    # The kernel writes into its parameters; the halves give what the whole gives.
    columns = core.simulate(COMPILED, 100, 3, precision="double")["columns"]
    packs = checks.Packs(COMPILED, 100, 3)
    packs.draw()
    assert [packs.run_drawn() for _ in range(3)] == [int((columns["cutout_cause"] > 0).sum())] * 3
