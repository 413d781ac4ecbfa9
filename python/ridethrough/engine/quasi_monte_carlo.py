"""Means of a trip's outcomes from scrambled Sobol' points: narrower than plain trials give them.

Owen's scrambling (SciPy) keeps every point uniform, so each replicate is unbiased; the spread between independent
replicates is the error. It helps means, and barely probabilities: for these use :func:`simulate` or :func:`rare_risk`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model import clocks
from ..model.classes import Trip, Van
from ..model.errors import checked_call, missing_package
from ..model.outputs import AVERAGED, FLAGS, RESULTS
from .executors import run_each
from .interruption import attach_partial_result
from .labelled_data import make_dataset, run_attributes
from .named_numbers import Named
from .progress import ProgressOption, track_progress
from .result import Result
from .run_options import TRIALS, ExecutorOption, Precision, RunOptions
from .simulation import run_core
from .validation import compile_with_warnings, require_van_and_trip, validate_int

if TYPE_CHECKING:
    import xarray

AMOUNTS = tuple(name for name in AVERAGED if name not in FLAGS)  # chances take other intervals than Student's
_FEWEST = 4  # replicates that bear an interval
_LEAST_LOG2, _MOST_LOG2 = 4, 20  # points of a replicate


@dataclass(frozen=True, eq=False)
class TripMeans(Result, Mapping[str, _core.Estimate]):
    """What :func:`quasi_means` returns: a mapping of each amount to its mean per trial, an Estimate.

    Attributes
    ----------
    means : dict of str to Estimate
        Named as the columns of a :class:`Risk`; intervals are Student's over the replicates, 95 %.
    replicates, trials : int
        Independent scramblings, and trials of all of them.
    van, trip, seed
        What was simulated.
    warnings : tuple of str
        What is allowed in van and trip but probably not meant.

    Examples
    --------
    >>> means = rt.quasi_means(van, trip, trials=64, replicates=4)
    >>> means.replicates, "solar_wh" in means, means["solar_wh"].trials
    (4, True, 64)
    """

    van: Van
    trip: Trip
    seed: int
    replicates: int
    trials: int
    means: Mapping[str, _core.Estimate]
    warnings: tuple[str, ...] = ()

    __hash__ = None  # type: ignore[assignment]

    def __getitem__(self, name: str) -> _core.Estimate:
        return self.means[name]

    def __contains__(self, name: object) -> bool:
        return name in self.means

    def __iter__(self) -> Iterator[str]:
        return iter(self.means)

    def __len__(self) -> int:
        return len(self.means)

    def __eq__(self, other: object) -> bool:
        return Result.__eq__(self, other)

    def to_xarray(self) -> xarray.Dataset:
        """Each mean with its interval, without dimensions (needs xarray)."""
        cells = {
            name: (RESULTS[name].unit, f"{RESULTS[name].label}, mean of a trip", [mean])
            for name, mean in self.means.items()
        }
        about = run_attributes(self.van, self.trip, self.seed, self.trials)
        return make_dataset({"trip": ["trip"]}, cells, replicates=self.replicates, **about).isel(trip=0, drop=True)


@checked_call
def quasi_means(
    van: Van,
    trip: Trip,
    *,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    replicates: int = 8,
) -> TripMeans:
    """Mean per trial of every amount, with Student's interval over independent replicates (needs SciPy).

    Parameters
    ----------
    van, trip : Van, Trip
        What is simulated.
    trials : int
        Of all replicates together. Sobol' points come in powers of two: each replicate has the power of two at or
        above its share, 16 to 1,048,576; ``found.trials`` says how many were run.
    seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, though the trials are others. A replicate goes to the executor as a whole; progress
        counts replicates.
    replicates : int
        Independent scramblings, 4 to 1,000.

    Returns
    -------
    TripMeans
        A mapping of names of columns to Estimates, in the columns' units.

    Raises
    ------
    InputError
        Something is missing or out of range.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` has the means over the replicates that were run, None where these are
        fewer than 4.

    Examples
    --------
    >>> means = rt.quasi_means(van, trip, trials=64, replicates=4)
    >>> means["solar_wh"].low < means["solar_wh"].value < means["solar_wh"].high
    True
    """
    _require_scipy()
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    replicates = validate_int("replicates", replicates, _FEWEST, 1_000)
    log2 = max(_LEAST_LOG2, (-(-options.trials // replicates) - 1).bit_length())
    validate_int("trials", options.trials, 1, replicates << _MOST_LOG2)
    require_van_and_trip(van, trip)
    compiled = compile_with_warnings(van, trip)
    found: dict[int, dict[str, float]] = {}  # means of each replicate

    def means() -> TripMeans | None:
        done = [found[i] for i in sorted(found)]
        if len(done) < _FEWEST:
            return None
        return replace(_trip_means(van, trip, options.seed, done, 1 << log2), warnings=tuple(compiled.warnings))

    with (
        attach_partial_result("quasi_means", means),
        track_progress(progress, replicates, 0, "replicate") as report_done,
    ):

        def finished(replicate: int, part: dict[str, float]) -> None:
            found[replicate] = part
            report_done(len(found))

        workers = options.threads if executor is None else 1
        keys = enumerate(np.random.SeedSequence(options.seed).spawn(replicates))
        jobs = ((i, (van, trip, compiled.clock, i, key, log2, options.seed, workers, precision)) for i, key in keys)
        run_each(_one_replicate, jobs, executor=options.executor, finished=finished)
    result = means()
    assert result is not None
    return result


def _require_scipy() -> None:
    try:
        import scipy  # type: ignore[import-untyped, unused-ignore]  # noqa: F401
    except ImportError:
        raise missing_package("quasi_means needs SciPy", "pip install scipy") from None


def _one_replicate(
    van: Van,
    trip: Trip,
    clock: _core.Clock,
    replicate: int,
    key: np.random.SeedSequence,
    log2_trials: int,
    seed: int,
    threads: int,
    precision: Precision,
) -> dict[str, float]:
    """Means of one replicate, in whatever process."""
    from scipy import special, stats

    compiled = clocks.compile_with_clock(van, trip, clock)
    trials = 1 << log2_trials
    sobol = stats.qmc.Sobol(len(compiled.coordinates), rng=np.random.default_rng(key))
    scores = special.ndtri(np.clip(sobol.random_base2(log2_trials), 2.0**-33, 1 - 2.0**-33))
    how: dict[str, Any] = {"threads": threads, "precision": precision, "scores": scores}
    out = run_core(compiled, trials, seed, first_trial=replicate * trials, **how)
    amounts = {name: values for name, values in out["columns"].items() if name in AMOUNTS}
    return {name: float(values.mean(dtype=np.float64)) for name, values in amounts.items()}


def _trip_means(van: Van, trip: Trip, seed: int, means: list[dict[str, float]], trials: int) -> TripMeans:
    from scipy import stats

    n, found = len(means), {}
    factor = float(stats.t.ppf(0.975, n - 1)) / np.sqrt(n)
    for name in means[0]:
        per_replicate = [of[name] for of in means]
        value, half = float(np.mean(per_replicate)), factor * float(np.std(per_replicate, ddof=1))
        found[name] = _core.Estimate(value=value, low=value - half, high=value + half, events=None, trials=trials * n)
    return TripMeans(van, trip, seed, n, trials * n, Named("means", found))
