"""Small probabilities by importance sampling.

Every draw that a trip's coordinates name (days of clearness and temperature, every spread) is a standard normal score.
The scores' means are moved towards the trials that fail, as the cross-entropy method finds them (Rubinstein & Kroese
2004), part of the trials are left where they were (defensive mixture, Hesterberg 1995, Technometrics 37, 185-194), and
each trial counts by its likelihood ratio, so that the estimate stays unbiased. Where a few trials carry the estimate it
is refused: a wrong figure with a plausible interval is the way this method fails.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model import clocks
from ..model.checks import validate_mapping
from ..model.classes import Trip, Van
from ..model.errors import NOT_GIVEN, bad_input, checked_call, unknown_name
from .executors import run_each
from .interruption import Interrupted, StudyFailed, attach_partial_result
from .labelled_data import make_dataset, run_attributes, to_tidy_frame
from .model_error import KnownError, model_error_of
from .named_numbers import Named
from .progress import ProgressOption, ReportDone, check_progress, track_progress
from .result import Result
from .run_options import ExecutorOption, Precision, RunOptions
from .simulation import run_core
from .validation import (
    compile_with_warnings,
    require_van_and_trip,
    validate_int,
    validate_number,
)

if TYPE_CHECKING:
    import pandas
    import xarray

Array = NDArray[np.float64]

LEAST_EFFECTIVE_FAILURES = 100.0
LARGEST_SHARE = 0.05  # of the estimate, that one trial may carry
_BLOCK = 16_384  # trials whose scores are held at once
PILOT_TRIALS = 4_000
_MOST_STAGES = 10
_ELITE = 0.05  # share of a stage's trials that leads on while too few of them fail
_STRENGTHS = (0.25, 0.5, 0.75, 1.0)


class DegenerateWeights(RuntimeError):
    """A few trials carry the estimate, so that neither it nor its interval can be trusted; nothing is reported."""


@dataclass(frozen=True, eq=False)
class RareRisk(Result):
    """A small probability, estimated by importance sampling.

    Attributes
    ----------
    cutout : Estimate
        Probability of a cut-out with its 95 % interval (on the logarithm); ``events`` is None: trials have weights.
    failures : int
        Failing trials.
    pilot_trials : int
        Trials spent on finding the shifts, over and above ``cutout.trials``.
    effective_failures : float
        Failing trials that would say as much if all had the same weight (Kong 1992), out of ``failures``.
    largest_share : float
        Share of the estimate that one trial carries.
    gain : float
        Plain trials that would give the same interval, per trial spent here, the pilot included.
    shifts : dict of (str, int) to float
        Where the failing trials lie: the shift of each coordinate's normal score, by name and day,
        counted from 1 (0: the whole trip).
    nights : int
        Length of the trip.
    first_day : str
        The date of day 1.
    model_error : KnownError
        What is known of the model's own error.
    van, trip, seed : Van, Trip, int
        What was simulated.
    warnings : tuple of str
        What is allowed in van and trip but probably not meant.

    Examples
    --------
    >>> rare = rt.rare_risk(van.replace(**{"battery.capacity_ah": 100}), trip, trials=4000, shifts={}, seed=1)
    >>> rare.nights, rare.first_day, rare.effective_failures <= rare.failures
    (3, '2026-11-06', True)
    """

    cutout: _core.Estimate
    failures: int
    pilot_trials: int
    effective_failures: float
    largest_share: float
    gain: float
    shifts: dict[tuple[str, int], float]
    nights: int
    first_day: str
    model_error: KnownError
    van: Van | None = field(default=None, repr=False)
    trip: Trip | None = field(default=None, repr=False)
    seed: int = 0
    warnings: tuple[str, ...] = ()

    def to_xarray(self) -> xarray.Dataset:
        """The risk with its interval, and the shifts along dimension ``coordinate``."""
        names = [f"{name}, day {day}" if day else name for name, day in self.shifts]
        shifts = {"shift": ("standard deviations", "shift of the coordinate's score", list(self.shifts.values()))}
        about = run_attributes(self.van, self.trip, self.seed, self.cutout.trials)
        data = make_dataset({"coordinate": names}, shifts, pilot_trials=self.pilot_trials, **about)
        for name, value in (("risk", "value"), ("risk_low", "low"), ("risk_high", "high")):
            label = "probability of a cut-out" + {"value": ""}.get(value, f", {value} end of its 95 % interval")
            data[name] = ((), getattr(self.cutout, value), {"units": "1", "long_name": label})
        return data

    @checked_call
    def to_dataframe(self, *, units: bool = False) -> pandas.DataFrame:
        """One row: the risk with its interval. The shifts stand in :meth:`to_xarray`."""
        return to_tidy_frame(self.to_xarray().drop_dims("coordinate"), units=units)


class _Sampler:
    """Trials whose scores are shifted, but for an untilted share, with their weights."""

    def __init__(self, van: Van, trip: Trip, compiled: _core.Compiled, options: RunOptions, untilted: float) -> None:
        self.van, self.trip, self.compiled = van, trip, compiled
        self.options, self.untilted = options, untilted
        self.used = 0  # trials so far: each stage draws new ones
        self.names: list[tuple[str, int]] = compiled.coordinates

    def weights(self, scores: Array, shifts: Array) -> Array:
        return _weights(scores, shifts, self.untilted)

    def run(
        self, trials: int, shifts: Array, *, keep_scores: bool, report_done: ReportDone | None = None
    ) -> dict[str, NDArray[Any]]:
        """Run new trials in blocks, each with draws of its own, here or on the executor."""
        blocks: dict[int, dict[str, NDArray[Any]]] = {}
        done = 0

        def finished(first: int, block: dict[str, NDArray[Any]]) -> None:
            nonlocal done
            blocks[first] = block
            done += len(block["failed"])
            if report_done is not None:
                report_done(done)

        elsewhere = self.options.executor is not None
        where: Any = (self.van, self.trip, self.compiled.clock) if elsewhere else (self.compiled,)
        how = {
            "seed": self.options.seed,
            "threads": 1 if elsewhere else self.options.threads,
            "precision": self.options.precision,
            "untilted": self.untilted,
            "keep_scores": keep_scores,
        }
        last = self.used + trials
        jobs = (
            (first, (*where, first, min(_BLOCK, last - first), shifts, how)) for first in range(self.used, last, _BLOCK)
        )
        with attach_partial_result("rare_risk", lambda: _joined(blocks)):
            run_each(
                _run_block_elsewhere if elsewhere else _run_block,
                jobs,
                executor=self.options.executor,
                finished=finished,
            )
        self.used += trials
        return _joined(blocks)


def _weights(scores: Array, shifts: Array, untilted: float) -> Array:
    """Likelihood ratio of each trial, under the mixture of shifted and unshifted ones."""
    log_ratio = scores @ shifts - 0.5 * float(shifts @ shifts)
    tilted: Array = (1 - untilted) * np.exp(np.minimum(log_ratio, 700.0))
    return 1.0 / (untilted + tilted)


def _run_block(
    compiled: _core.Compiled, first: int, count: int, shifts: Array, how: dict[str, Any]
) -> dict[str, NDArray[Any]]:
    """Trials [first, first + count) with shifted scores: whether each failed, its lowest charge and its weight."""
    key = np.random.SeedSequence(how["seed"], spawn_key=(_PURPOSE, first))
    draws = np.random.Generator(np.random.PCG64(key))
    moved = draws.random(count) >= how["untilted"]
    scores = draws.standard_normal((count, len(compiled.coordinates))) + np.where(moved[:, None], shifts, 0.0)
    options = {"threads": how["threads"], "precision": how["precision"], "scores": scores}
    columns = run_core(compiled, count, how["seed"], first_trial=first, **options)["columns"]
    block = {
        "failed": columns["cutout_cause"] > 0,
        "lowest": columns["min_soc"].astype(np.float64),
        "weight": _weights(scores, shifts, how["untilted"]),
    }
    return block | ({"scores": scores} if how["keep_scores"] else {})


def _run_block_elsewhere(
    van: Van, trip: Trip, clock: _core.Clock, first: int, count: int, shifts: Array, how: dict[str, Any]
) -> dict[str, NDArray[Any]]:
    """The same in another process, which compiles van and trip itself."""
    return _run_block(clocks.compile_with_clock(van, trip, clock), first, count, shifts, how)


def _joined(blocks: dict[int, dict[str, NDArray[Any]]]) -> dict[str, NDArray[Any]]:
    """The blocks in the order of their trials, whatever the order in which they were finished."""
    in_order = [blocks[first] for first in sorted(blocks)]
    return {name: np.concatenate([block[name] for block in in_order]) for name in (in_order[0] if in_order else {})}


_PURPOSE = 0x72617265  # of the shifted scores' own stream


def _mean_scores(scores: Array, weight: Array) -> Array:
    """Weighted mean score of the leading trials; what lies within twice its own error is left where it was."""
    total = weight.sum()
    mean: Array = weight @ scores / total
    spare = np.sqrt((weight**2) @ (scores - mean) ** 2) / total
    return np.where(np.abs(mean) > 2 * spare, mean, 0.0)


def _find_shifts(sampler: _Sampler, pilot: int) -> Array:
    shifts = np.zeros(len(sampler.names))
    refined = False
    for _ in range(_MOST_STAGES):
        stage = sampler.run(pilot, shifts, keep_scores=True)
        failed, weight = stage["failed"], stage["weight"]
        enough = failed.sum() / pilot >= _ELITE
        if enough and refined:
            return _strength(sampler, stage, shifts)
        lead = failed if enough else stage["lowest"] <= np.quantile(stage["lowest"], _ELITE)
        shifts = _mean_scores(stage["scores"][lead], weight[lead])
        refined = enough or refined  # once more from where the failures were found
    raise DegenerateWeights(
        f"after {_MOST_STAGES} stages of {pilot:,} trials fewer than {100 * _ELITE:.0f} % of the shifted trials fail: "
        "the probability is too small for this method, or the trip cannot fail; simulate bounds it from above"
    )


def _strength(sampler: _Sampler, stage: dict[str, NDArray[Any]], shifts: Array) -> Array:
    """The shift times the strength at which the pilot's own trials promise the smallest variance."""
    failed = stage["failed"]
    found = _mean_scores(stage["scores"][failed], stage["weight"][failed])
    choices = [(s * direction) for direction in (shifts, found) for s in _STRENGTHS]
    second = [float(stage["weight"][failed] @ sampler.weights(stage["scores"][failed], choice)) for choice in choices]
    return choices[int(np.argmin(second))]


@checked_call
def rare_risk(
    van: Van,
    trip: Trip,
    *,
    trials: int = 20_000,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    pilot_trials: int | None = None,
    untilted_share: float = 0.1,
    shifts: Mapping[str, float] | None = None,
) -> RareRisk:
    """Probability of a cut-out where it is small (below about 1 %), by importance sampling.

    Parameters
    ----------
    van, trip : Van, Trip
        What is simulated.
    trials : int
        Trials of the estimate, 1,000 to 1e8; more than elsewhere, as unequal weights make them count less.
    seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, though the trials are others. An executor gets blocks of 16,384 trials; progress counts
        the trials of the estimate, after the pilot's.
    pilot_trials : int, optional
        Trials of each stage that looks for the failing region, 500 to 1e6; 4,000 where not given.
    untilted_share : float
        Share of trials left unshifted, 0.01 to 0.9; no weight can exceed its inverse.
    shifts : mapping of str to float, optional
        Shifts of your own, by coordinate name (all days of it), instead of the pilot's.

    Returns
    -------
    RareRisk
        The probability with its interval, and how far the weights bear it.

    Raises
    ------
    DegenerateWeights
        The weights do not bear an estimate: fewer than 100 effective failures, one trial with over 5 % of it, or a
        mean weight that is not 1.
    InputError
        Something is missing or out of range.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` is the estimate from the blocks of 16,384 trials that were run with
        the final shifts; None where there are none yet, or too few to bear an estimate.

    Examples
    --------
    >>> rare = rt.rare_risk(van.replace(**{"battery.capacity_ah": 100}), trip, trials=4000, shifts={}, seed=1)
    >>> rare.cutout.low < rare.cutout.value < rare.cutout.high
    True
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    trials = validate_int("trials", options.trials, 1_000, 100_000_000)
    if shifts is not None and pilot_trials is not None:
        raise bad_input("pilot_trials", pilot_trials, reason="there is no pilot beside shifts")
    pilot = validate_int("pilot_trials", PILOT_TRIALS if pilot_trials is None else pilot_trials, 500, 1_000_000)
    check_progress(progress)
    untilted_share = validate_number("untilted_share", untilted_share, 0.01, 0.9)
    require_van_and_trip(van, trip)
    compiled = compile_with_warnings(van, trip)
    sampler = _Sampler(van, trip, compiled, options, untilted_share)
    chosen: Array | None = None
    try:
        chosen = _given_shifts(sampler, shifts) if shifts is not None else _find_shifts(sampler, pilot)
        spent = sampler.used
        with track_progress(progress, trials, 0, "trial") as report_done:
            drawn = sampler.run(trials, chosen, keep_scores=False, report_done=report_done)
    except (Interrupted, StudyFailed) as early:
        early.finished = None if chosen is None else _estimate_if_reliable(sampler, early.finished, chosen, spent)
        raise
    return _estimate(sampler, drawn, chosen, spent)


def _estimate_if_reliable(
    sampler: _Sampler, trials: dict[str, NDArray[Any]], shifts: Array, spent: int
) -> RareRisk | None:
    try:
        return _estimate(sampler, trials, shifts, spent) if trials else None
    except DegenerateWeights:
        return None


def _given_shifts(sampler: _Sampler, shifts: object) -> Array:
    shifts = validate_mapping("shifts", shifts, "a dict of names of coordinates to shifts")
    known = {name for name, _ in sampler.names}
    for name, value in shifts.items():
        if name not in known:
            raise unknown_name("shifts", NOT_GIVEN, sorted(known), f"no coordinate {name!r}", name=name)
        validate_number(f"shifts[{name!r}]", value, -6, 6)
    return np.array([float(shifts.get(name, 0.0)) for name, _ in sampler.names])


def _estimate(sampler: _Sampler, trials: dict[str, NDArray[Any]], shifts: Array, spent: int) -> RareRisk:
    weight, failed = trials["weight"], trials["failed"]
    n = len(weight)
    hits = weight[failed]
    total = float(hits.sum())
    effective = total**2 / float(hits @ hits) if len(hits) else 0.0
    largest = float(hits.max()) / total if len(hits) else 1.0
    off = abs(float(weight.mean()) - 1) / (float(weight.std(ddof=1)) / math.sqrt(n) or 1.0)
    if effective < LEAST_EFFECTIVE_FAILURES or largest > LARGEST_SHARE or off > 4.9:
        raise DegenerateWeights(
            f"the weights do not bear an estimate: {effective:.1f} effective failures (at least "
            f"{LEAST_EFFECTIVE_FAILURES:.0f} needed) out of {len(hits):,} in {n:,} trials, one trial carries "
            f"{100 * largest:.0f} % (at most {100 * LARGEST_SHARE:.0f} %), mean weight {weight.mean():.3f}; "
            "give more trials, or use simulate, whose interval bounds the probability from above"
        )
    if len(hits) == n:
        raise DegenerateWeights(f"all {n:,} trials fail: the probability is not small; use simulate")
    value = total / n
    error = math.sqrt(float((hits**2).sum()) / n - value**2) / math.sqrt(n)
    factor = math.exp(1.959963984540054 * error / value)
    cutout = _core.Estimate(
        value=value, low=value / factor, high=min(1.0, value * factor), events=None, trials=n, confidence=0.95
    )
    gain = value * (1 - value) / (error**2 * (n + spent))
    # Days count from 1 in all that users see, from 0 in the core, whose -1 is then 0.
    moved = {(name, day + 1): float(shift) for (name, day), shift in zip(sampler.names, shifts, strict=True) if shift}
    named = Named("shifts", moved)
    nights, first_day = sampler.compiled.hours // 24, sampler.trip.start[:10]
    known = model_error_of(sampler.van, sampler.trip, sampler.compiled, value)
    about = (sampler.van, sampler.trip, sampler.options.seed, tuple(sampler.compiled.warnings))
    return RareRisk(cutout, len(hits), spent, effective, largest, gain, named, nights, first_day, known, *about)
