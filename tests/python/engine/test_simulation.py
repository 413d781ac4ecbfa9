"""Running trials: the same results however they are run, and a run that is stopped leaves the next one in order."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from optional import there
from small_runs import TRIP, VAN, run, same_columns
from verdict_text import details, verdict


@pytest.mark.parametrize("precision", ["double", "single"])
def test_the_same_for_any_threads(precision: Any) -> None:
    one = run(threads=1, precision=precision)
    assert 100 < there(one.cutout.events) < 900
    for threads in (2, 3, 7):
        other = run(threads=threads, precision=precision)
        assert same_columns(one, other)
        assert one.cutout == other.cutout
        assert one.load_ah == other.load_ah
        assert one.means == other.means
        assert np.array_equal(one.soc_quantiles([0.05, 0.5]), other.soc_quantiles([0.05, 0.5]))
        assert one.charge_balance_error == other.charge_balance_error
        assert one.energy_balance_error == other.energy_balance_error
    assert not same_columns(one, run(threads=1, precision=precision, seed=8))


@pytest.mark.parametrize("trials", [1, 15, 16, 17, 63, 64, 65, 255, 256, 257])
def test_the_first_trials_of_a_longer_run_are_a_run_of_their_own(trials: int) -> None:
    short, long = run(trials=trials, time_series=["soc", "fridge_c"]), run(time_series=["soc", "fridge_c"], threads=3)
    assert short.trials == trials
    assert same_columns(short, long, trials)
    assert short.columns["cutout_cause"].dtype == np.uint8
    for name in ("soc", "fridge_c"):
        assert np.array_equal(short.time_series[name], long.time_series[name][:trials])


def test_trials_are_added_until_the_interval_is_narrow_enough() -> None:
    risk = run(trials=500, half_width=0.02)
    assert risk.half_width_reached
    assert risk.cutout.half_width <= 0.02
    assert 500 < risk.trials == len(risk.columns["cutout_cause"]) < 10_000
    assert same_columns(risk, run(trials=risk.trials))
    assert run(trials=500, half_width=0.4).trials == 500


@pytest.mark.parametrize("trials", [500, 5000])
def test_the_largest_number_of_trials_is_kept_to(trials: int) -> None:
    risk = run(trials=trials, half_width=0.001, max_trials=2000)
    assert not risk.half_width_reached
    assert risk.trials == 2000
    assert "was not reached" in verdict(risk) and "was not reached" in details(risk)


def test_python_threads_side_by_side() -> None:
    expected = run(threads=1)
    found: list[rt.Risk] = []
    threads = [threading.Thread(target=lambda: found.append(run(threads=2))) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 4
    assert all(same_columns(risk, expected) for risk in found)


def test_a_van_sent_to_another_process_comes_to_the_same() -> None:
    code = "__import__('ridethrough').simulate(van, trip, trials=300, seed=7).columns['first_cutout_h'].tolist()"
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        there = pool.apply(eval, (code, {"van": VAN, "trip": TRIP}))
    assert there == run(trials=300).columns["first_cutout_h"].tolist()


def test_progress_is_told_and_its_exception_comes_with_what_was_run() -> None:
    printed: list[tuple[int, int]] = []
    run(trials=3000, progress=lambda done, wanted: printed.append((done, wanted)))
    assert printed == sorted(printed)
    assert printed[-1] == (3000, 3000)

    def refuse(done: int, wanted: int) -> None:
        raise LookupError(f"{wanted} wanted")

    with pytest.raises(rt.StudyFailed, match="simulate: LookupError: 1000000 wanted") as early:
        run(trials=1_000_000, progress=refuse)
    assert isinstance(early.value.__cause__, LookupError)
    assert early.value.finished is None or early.value.finished.trials < 1_000_000
    assert same_columns(run(), run(threads=1))


INTERRUPTED = """
import sys, threading, time
sys.path[:0] = {path!r}
import ridethrough as rt
from small_runs import run, same_columns

started = threading.Event()

def progress(done, wanted):
    if done and not started.is_set():
        started.set()
        print("running", flush=True)

try:
    run(trials=2_000_000, keep={keep!r}, progress=progress)
except rt.Interrupted as stop:
    print("stopped", stop.finished.trials, flush=True)
    again = run(trials=stop.finished.trials, keep={keep!r})
    assert again.cutout == stop.finished.cutout, "what was finished is a run of its own"
    assert again.means == stop.finished.means
    assert same_columns(again, stop.finished)
    print("again", flush=True)
"""


@pytest.mark.skipif(os.name == "nt", reason="sends SIGINT")
@pytest.mark.parametrize("keep", ["columns", "summary"])
def test_ctrl_c_keeps_what_is_finished(keep: str) -> None:
    code = INTERRUPTED.format(path=sys.path, keep=keep)
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "running\n"
        time.sleep(0.2)
        sent = time.monotonic()
        child.send_signal(signal.SIGINT)
        word, trials = child.stdout.readline().split()
        assert time.monotonic() - sent < 2
        assert word == "stopped"
        assert 0 < int(trials) < 2_000_000
        assert child.stdout.readline() == "again\n"
    assert child.returncode == 0
