"""Means of a trip's outcomes from scrambled Sobol' points: narrower than plain trials give them.

Owen's scrambling (SciPy) keeps every point uniform, so each replicate is unbiased; the spread between independent
replicates is the error. It helps means, and barely probabilities: for these use :func:`simulate` or :func:`rare_risk`.
"""

from __future__ import annotations

from typing import Any

import numpy as np

import ridethrough._core as _core

from ..model.classes import Trip, Van
from ..model.outputs import AVERAGED
from .interruption import attach_partial_result
from .progress import ProgressOption, track_progress
from .run_options import Precision, RunOptions
from .simulation import run_core
from .validation import compile_with_warnings, require_van_and_trip, validate_int

_FEWEST = 4  # replicates that bear an interval


def quasi_means(
    van: Van,
    trip: Trip,
    *,
    log2_trials: int = 11,
    replicates: int = 8,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    progress: ProgressOption = None,
) -> dict[str, Any]:
    """Mean per trial of every amount, as Estimates with Student's interval over the replicates (needs SciPy).

    Parameters
    ----------
    log2_trials : int
        Trials of a replicate, as a power of two: 4 to 20.
    replicates : int
        Independent scramblings, 4 to 1,000.
    seed, threads, precision, progress
        As of :func:`simulate`, though the trials are others; progress counts replicates.

    Raises
    ------
    InputError
        Something is missing or out of range.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` has the means over the replicates that were run, None where these are
        fewer than 4.
    """
    from scipy import special, stats  # type: ignore[import-untyped, unused-ignore]

    log2_trials = validate_int("log2_trials", log2_trials, 4, 20)
    replicates = validate_int("replicates", replicates, _FEWEST, 1_000)
    options = RunOptions(seed=seed, threads=threads, precision=precision)
    require_van_and_trip(van, trip)
    compiled = compile_with_warnings(van, trip)
    trials = 1 << log2_trials
    means: list[dict[str, float]] = []  # of each replicate
    with (
        attach_partial_result("quasi_means", lambda: _estimates(means, trials) if len(means) >= _FEWEST else None),
        track_progress(progress, replicates, 0, "replicate") as report_done,
    ):
        for replicate, key in enumerate(np.random.SeedSequence(options.seed).spawn(replicates)):
            sobol = stats.qmc.Sobol(len(compiled.coordinates), rng=np.random.default_rng(key))
            scores = special.ndtri(np.clip(sobol.random_base2(log2_trials), 2.0**-33, 1 - 2.0**-33))
            how: dict[str, Any] = {"threads": options.threads, "precision": options.precision, "scores": scores}
            out = run_core(compiled, trials, options.seed, first_trial=replicate * trials, **how)
            amounts = {name: values for name, values in out["columns"].items() if name in AVERAGED}
            means.append({name: float(values.mean(dtype=np.float64)) for name, values in amounts.items()})
            report_done(len(means))
    return _estimates(means, trials)


def _estimates(means: list[dict[str, float]], trials: int) -> dict[str, Any]:
    from scipy import stats

    n, found = len(means), {}
    factor = float(stats.t.ppf(0.975, n - 1)) / np.sqrt(n)
    for name in means[0]:
        per_replicate = [of[name] for of in means]
        value, half = float(np.mean(per_replicate)), factor * float(np.std(per_replicate, ddof=1))
        found[name] = _core.Estimate(value=value, low=value - half, high=value + half, events=None, trials=trials * n)
    return found
