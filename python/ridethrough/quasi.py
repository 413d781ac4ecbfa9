"""Means of a trip's outcomes from scrambled Sobol' points: narrower than plain trials give them.

Owen's scrambling (SciPy) keeps every point uniform, so each replicate is unbiased; the spread between independent
replicates is the error. It helps means, and barely probabilities: for these use :func:`simulate` or :func:`rare_risk`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from .checks import compiled_telling, require_records, seed_number, whole
from .simulate import run

if TYPE_CHECKING:
    from ridethrough import Trip, Van

_NO_AMOUNT = ("device", "first_cutout_h", "water_dry_night", "grey_full_night")


def quasi_means(
    van: Van,
    trip: Trip,
    *,
    log2_trials: int = 11,
    replicates: int = 8,
    seed: int = 0,
    threads: int = 0,
) -> dict[str, Any]:
    """Mean per trial of every amount, as Estimates with Student's interval over the replicates (needs SciPy).

    Parameters
    ----------
    log2_trials : int
        Trials of a replicate, as a power of two: 4 to 20.
    replicates : int
        Independent scramblings, 4 to 1,000.
    seed : int
        The same seed gives the same answer whatever the threads. The trials are not those of :func:`simulate`.

    Raises
    ------
    InputError
        Something is missing or out of range.
    """
    from scipy import special, stats  # type: ignore[import-untyped, unused-ignore]

    log2_trials = whole("log2_trials", log2_trials, 4, 20)
    replicates = whole("replicates", replicates, 4, 1_000)
    seed = seed_number(seed)
    require_records(van, trip)
    compiled = compiled_telling(van, trip)
    trials = 1 << log2_trials
    means: dict[str, list[float]] = {}
    for replicate, key in enumerate(np.random.SeedSequence(seed).spawn(replicates)):
        points = stats.qmc.Sobol(len(compiled.coordinates), rng=np.random.default_rng(key)).random_base2(log2_trials)
        scores = special.ndtri(np.clip(points, 2.0**-33, 1 - 2.0**-33))
        out = run(compiled, trials, seed, first_trial=replicate * trials, threads=threads, scores=scores)
        for name, values in out["columns"].items():
            if name not in _NO_AMOUNT:
                means.setdefault(name, []).append(float(values.mean(dtype=np.float64)))
    factor = float(stats.t.ppf(0.975, replicates - 1)) / np.sqrt(replicates)
    found = {}
    for name, per_replicate in means.items():
        value, half = float(np.mean(per_replicate)), factor * float(np.std(per_replicate, ddof=1))
        found[name] = _core.Estimate(
            value=value, low=value - half, high=value + half, events=None, trials=trials * replicates
        )
    return found
