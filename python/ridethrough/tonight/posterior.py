"""Trips that agree with what meters have shown: weighted where enough of them do, else moved until they do."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.errors import bad_input
from .meter_readings import Observation

ROUND = 65_536  # trips that are drawn at a time
MOST_TRIALS = 1_048_576
ENOUGH = 10_000  # effective trips with which weighing ends; own choice
LEAST, LARGEST_SHARE = 2_500, 0.01  # fewer effective trips, or more of the weight on one: copies are moved; own choice
FIRST_ROUNDS = 4  # after which it is judged whether weighing will do
_NEGLIGIBLE = 25.0  # below the best log likelihood by this, a trip has no weight worth playing it: exp(-25) = 1e-11
# A best trip so much less likely than one that meets every reading: nothing that the model does looks like it. Own
# choice; with r readings a chance of some exp(-12), were their errors as stated.
UNLIKE = 12.0
PARTICLES, REPLICATES, MOVES, FUTURES = 1024, 8, 36, 4
AGREED = 0.4  # largest standard deviation of the log evidence between sound replicates; measured sound .25, unsound .7

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Posterior:
    """Trips in agreement with the readings, with their weights.

    Attributes
    ----------
    method : str
        "weights", of trips as they are drawn, or "moves", of copies that were moved.
    weights : ndarray of float, shape (copies,)
        Their sum is 1.
    replicate : ndarray of int, shape (copies,), optional
        Of moved copies: which of the independent runs each is of.
    effective : float
        Trips of equal weight that would say as much of the charge now.
    drawn : int
        Trips that were drawn in all.
    log_evidence : float
        Log of the readings' probability, up to the steps of the displays.
    rows : dict
        What :func:`ridethrough._core.simulate` takes to play them.
    """

    method: str
    weights: Array
    replicate: NDArray[np.int64] | None
    effective: float
    drawn: int
    log_evidence: float
    rows: dict[str, Any]

    @property
    def copies(self) -> int:
        """How many there are."""
        return len(self.weights)

    def play(self, compiled: _core.Compiled, seed: int, time_series: Sequence[str] = (), threads: int = 0) -> Any:
        """Results and hourly series of all copies on a trip that draws the same things."""
        part = _core.simulate(compiled, self.copies, seed, threads=threads, time_series=list(time_series), **self.rows)
        if part["raised"] is not None:
            raise part["raised"]
        return part

    def share(self, event: NDArray[np.bool_]) -> _core.Estimate:
        """Chance of an event, with its interval."""
        if self.replicate is None:
            return _core.weighted_share(self.weights, event.astype(np.uint8))
        between = self.mean(event.astype(np.float64))
        low, high = max(between.low, 0.0), min(between.high, 1.0)
        if not event.any() or event.all():  # replicates that agree entirely say nothing of their spread
            rest = 1 - 0.025 ** (1 / max(self.effective, 1.0))
            low, high = (0.0, rest) if not event.any() else (1 - rest, 1.0)
        value = min(max(between.value, low), high)
        return _estimate(between, value, low, high, between.trials)

    def mean(self, values: Array) -> _core.Estimate:
        """Mean of a number of each copy, with its interval: of moved copies Student's, over the replicates."""
        if self.replicate is None:
            return _core.weighted_mean(self.weights, values)
        share, means = self.by_replicate(values)
        runs, mean = len(share), float(share @ means)
        t = _core.paired_difference(mean + runs * share * (means - mean), np.zeros(runs))
        return _estimate(t, t.value, t.low, t.high, max(int(self.effective), 1))

    def by_replicate(self, values: Array) -> tuple[Array, Array]:
        """Of moved copies: each replicate's share of the weight, and its mean of a number of each copy."""
        assert self.replicate is not None
        share: Array = np.bincount(self.replicate, self.weights).astype(np.float64)
        return share, np.bincount(self.replicate, self.weights * values) / share

    def quantiles(self, values: Array, shares: Sequence[float]) -> Array:
        """Quantiles of a number of each copy."""
        order = np.argsort(values, kind="stable")
        reached = np.cumsum(self.weights[order])
        places = np.searchsorted(reached, np.asarray(shares) * reached[-1])
        return np.asarray(values[order][np.minimum(places, len(order) - 1)], dtype=np.float64)


def _estimate(like: _core.Estimate, value: float, low: float, high: float, trials: int) -> _core.Estimate:
    return _core.Estimate(value=value, low=low, high=high, events=None, trials=trials, confidence=like.confidence)


def meter_reading(one: Observation) -> _core.MeterReading:
    """What the core takes."""
    return _core.MeterReading(**vars(one))


def weigh(
    compiled: _core.Compiled,
    observations: Sequence[Observation],
    now_h: float,
    first: int,
    trials: int,
    seed: int,
    *,
    threads: int = 0,
    kept_on: bool = True,
) -> Array:
    """Log likelihood of the readings for each of the trips; minus infinity where one had dropped the fridge."""
    readings = [meter_reading(one) for one in observations]
    part = _core.weigh(compiled, readings, now_h, trials, seed, first_trial=first, threads=threads, kept_on=kept_on)
    if part["raised"] is not None:
        raise part["raised"]
    found: Array = part["log_likelihood"]
    return found


def condition(
    compiled: _core.Compiled,
    observations: Sequence[Observation],
    now_h: float,
    seed: int,
    *,
    trials: int = MOST_TRIALS,
    threads: int = 0,
    kept_on: bool = True,
    report_done: Callable[[int, int], None] = lambda done, wanted: None,
) -> Posterior:
    """Trips given readings.

    Weights first, in rounds; copies are moved where these would not do.
    """
    logs: list[Array] = []
    drawn = 0
    weights: dict[str, Any] = {"effective": 0.0, "largest": 1.0}
    while drawn < trials:
        count = min(ROUND, trials - drawn)
        logs.append(weigh(compiled, observations, now_h, drawn, count, seed, threads=threads, kept_on=kept_on))
        drawn += count
        report_done(drawn, trials)
        weights = _core.weights(np.concatenate(logs))
        if weights["effective"] >= ENOUGH:
            break
        if len(logs) >= FIRST_ROUNDS and weights["effective"] * trials / drawn < LEAST:
            break
    every = np.concatenate(logs)
    _require_likeness(every, observations, drawn)
    if weights["effective"] >= LEAST and weights["largest"] <= LARGEST_SHARE:
        return _weighted(every, drawn)
    return _moved(compiled, observations, now_h, seed, drawn, threads, kept_on)


def _weighted(every: Array, drawn: int) -> Posterior:
    kept = np.flatnonzero(every >= every.max() - _NEGLIGIBLE)
    weights = _core.weights(every[kept])
    evidence = weights["log_mean"] + math.log(len(kept) / drawn)
    return Posterior(
        "weights", weights["share"], None, weights["effective"], drawn, evidence, {"listed": kept.tolist()}
    )


def _require_likeness(every: Array, observations: Sequence[Observation], drawn: int) -> None:
    best = float(every.max())
    if best == -math.inf:
        raise bad_input(
            "kept_on",
            reason=f"none of {drawn:,} trips of this model still had its fridge on now",
            hint="is the van as it is? or has the fridge been off on the way (kept_on=False, --cut-out-before)?",
        )
    if not observations:
        return
    met = [0.5 * (one.low + min(one.high, 1.0 if one.quantity == "soc" else one.high)) for one in observations]
    perfect = _core.log_likelihood([meter_reading(one) for one in observations], met)
    if perfect - best > UNLIKE + len(observations):
        raise bad_input(
            "readings",
            reason=f"none of {drawn:,} trips of this model comes near them",
            hint="is one mistyped or of another time? is the battery's capacity, its charge at the start, the panel or "
            "the plan another one?",
        )


def _moved(
    compiled: _core.Compiled,
    observations: Sequence[Observation],
    now_h: float,
    seed: int,
    drawn: int,
    threads: int,
    kept_on: bool,
) -> Posterior:
    """Copies moved until they agree; twice as long where the replicates do not, and then a refusal."""
    readings = [meter_reading(one) for one in observations]
    spread = math.inf
    for moves in (MOVES, 2 * MOVES):
        part = _core.sample_posterior(
            compiled,
            readings,
            now_h,
            seed=seed,
            particles=PARTICLES,
            replicates=REPLICATES,
            moves=moves,
            threads=threads,
            kept_on=kept_on,
        )
        if part["raised"] is not None:
            raise part["raised"]
        evidence: Array = part["log_evidence"]
        drawn += PARTICLES * REPLICATES
        spread = float(evidence.std(ddof=1)) if np.isfinite(evidence).all() else math.inf
        if spread <= AGREED:
            return _copies(compiled, part, now_h, seed, drawn)
    raise bad_input(
        "readings",
        reason=f"too few trips of this model look like them for an answer: independent runs differ by {spread:.1f} in "
        f"the log of the readings' probability, where {AGREED} is the most that is sound",
        hint="leave out the oldest readings",
    )


def _copies(compiled: _core.Compiled, part: dict[str, Any], now_h: float, seed: int, drawn: int) -> Posterior:
    of_replicates = _core.weights(part["log_evidence"])
    replicate = np.repeat(np.arange(REPLICATES), PARTICLES * FUTURES)
    weights = of_replicates["share"][replicate] / (PARTICLES * FUTURES)
    rows = {
        "scores": _core.future_scores(compiled, part["scores"], now_h, seed, FUTURES),
        "numbers": np.repeat(part["numbers"], FUTURES, axis=0),
        "later": _core.future_numbers(part["numbers"], FUTURES),
        "from_day": _core.split_days(compiled, now_h),
    }
    return Posterior("moves", weights, replicate, math.nan, drawn, of_replicates["log_mean"], rows)


def with_effective(posterior: Posterior, charge: Array) -> Posterior:
    """Of moved copies: as many trips of equal weight as would tell the charge now as well as the replicates do."""
    if posterior.replicate is None:
        return posterior
    share, means = posterior.by_replicate(charge)
    runs, mean = len(share), float(posterior.weights @ charge)
    within = float(posterior.weights @ (charge - mean) ** 2)
    between = float(((share * (means - mean)) ** 2).sum()) * runs / (runs - 1)
    copies = PARTICLES * REPLICATES
    effective = min(within / between, copies) if between > 0 else float(copies)
    return replace(posterior, effective=effective)
