"""The model-error run: all known causes of an error drawn at once, one value a trial, and what each does to the chance.

The trials are the first of the main run, with the same days and habits, in single precision. Whether the fridge dropped
is regressed on the scores of the causes, night by night, so an effect is the change of the log odds of the chance, all
else being as uncertain as it is: that of a van whose figure has another middle. What the trials spread anyway is no
cause.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model import clocks
from ..model.places import with_climates
from .error_causes import CAUSES, Column, columns_of, correlation_matrix, move_all, places_of_causes
from .executors import run_all
from .logistic_regression import Array, fit_logistic
from .progress import ReportDone, report_nothing, track_progress

if TYPE_CHECKING:
    from .error_estimates import ErrorEstimates

FEWEST = 100  # failing trials, or trials without a failure, from which effects are worked out
LEAST_TRIALS, MOST_TRIALS = 10_000, 50_000  # at most half of the main run's
WANTED = 800  # trials with the rarer outcome, where so many trials have them
_CHUNK = 512  # trials of a part


@dataclass(frozen=True)
class CauseEffect:
    """What one cause does to the chance.

    Attributes
    ----------
    cause : str
        Its name in the table of causes.
    log_odds : float
        Change of the log odds where the cause is one standard deviation off.
    standard_error : float
        Of that change.

    Examples
    --------
    >>> error = rt.simulate(van.replace(**{"battery.capacity_ah": 50}), trip, trials=2000, seed=1).model_error
    >>> {effect.cause for effect in error.effects} >= {"fridge_cop", "panel_yield"}
    True
    """

    cause: str
    log_odds: float
    standard_error: float


@dataclass(frozen=True)
class Effects:
    """Those of all causes on the chance of a cut-out by the end of a night."""

    causes: tuple[CauseEffect, ...]
    by_group: dict[str, float]  # standard deviations of the log odds, without what their errors put into them
    bend: float  # log odds rise by this times the square of what the causes do together
    failures: int
    trials: int


@dataclass(frozen=True, eq=False)
class ErrorRun:
    """The trials of a model-error run."""

    names: tuple[str, ...]  # of the causes, one a column
    scores: NDArray[np.float32]
    first_night: NDArray[np.int32]  # night of the first cut-out from 0; the trip's nights where there is none
    cabin_c: float
    _found: dict[int, Effects | None] = field(default_factory=dict, repr=False)

    def effects(self, nights: int) -> Effects | None:
        """On the chance over the first nights; None where failures, or trips without, are too rare to tell."""
        if nights not in self._found:
            self._found[nights] = self._work_out(self.first_night < nights)
        return self._found[nights]

    def _work_out(self, failed: NDArray[np.bool_]) -> Effects | None:
        failures, trials = int(failed.sum()), len(failed)
        if min(failures, trials - failures) < FEWEST:
            return None
        scores = self.scores.astype(np.float64)
        fit = fit_logistic(scores, failed)
        names = list(dict.fromkeys(self.names))
        belongs = np.array([[name == one for one in self.names] for name in names], dtype=float)
        effects, covariance = belongs @ fit.effects, belongs @ fit.covariance @ belongs.T
        causes = tuple(
            CauseEffect(name, float(effect), float(error))
            for name, effect, error in zip(names, effects, np.sqrt(np.diag(covariance)), strict=True)
        )
        return Effects(
            causes, _by_group(names, effects, covariance), _bend(scores @ fit.effects, failed), failures, trials
        )


def _by_group(names: Sequence[str], effects: Array, covariance: Array) -> dict[str, float]:
    """Standard deviation of what the causes of a group do together, correlated as the table says."""
    found = {}
    for group in dict.fromkeys(CAUSES[name].group for name in names):
        of = [i for i, name in enumerate(names) if CAUSES[name].group == group]
        together = correlation_matrix([names[i] for i in of])
        square = effects[of] @ together @ effects[of] - np.trace(together @ covariance[np.ix_(of, of)])
        found[group] = float(np.sqrt(max(square, 0.0)))
    return found


def _bend(index: Array, failed: NDArray[np.bool_]) -> float:
    """How the log odds bend along what all causes do together; drawn to 0 as far as it is not known."""
    sd = float(index.std())
    if sd == 0:
        return 0.0
    t = (index - index.mean()) / sd
    fit = fit_logistic(np.column_stack([t, t**2 - 1]), failed)
    square, noise = fit.effects[1] ** 2, fit.covariance[1, 1]
    return float(fit.effects[1] * max(1 - noise / square, 0.0) / sd**2) if square > 0 else 0.0


def trials_of_run(risk: ErrorEstimates) -> int:
    """At most half of the main run's; none where that would be too few failures to tell anything."""
    rarer = min(risk.cutout.value, 1 - risk.cutout.value)
    if rarer == 0:
        return 0
    trials = min(risk.trials // 2, int(min(max(WANTED / rarer, LEAST_TRIALS), MOST_TRIALS)))
    return trials if trials * rarer > FEWEST / 2 else 0  # causes make failures more frequent, seldom twice as frequent


def run_model_error(risk: ErrorEstimates, *, threads: int = 0, progress: bool | None = False) -> ErrorRun | None:
    """Play the model-error run of a risk; None where it would tell nothing."""
    trials = trials_of_run(risk)
    if not trials:
        return None
    trip = with_climates(risk.trip)
    places = places_of_causes(risk.van, trip)
    van, moved_trip, tables = move_all(risk.van, trip, places)
    compiled = clocks.compile_with_clock(van, moved_trip, risk.clock)
    columns = columns_of(compiled, moved_trip, places, tables)
    if not columns:
        return None
    with track_progress(progress, trials, 0, "model-error trial") as report_done:
        parts = _play(compiled, columns, trials, risk.seed, threads, report_done)
    scores, nights, cabin = zip(*(parts[first] for first in sorted(parts)), strict=True)
    names = tuple(column.place.cause.name for column in columns)
    return ErrorRun(names, np.concatenate(scores), np.concatenate(nights), float(np.mean(cabin)))


def _play(
    compiled: _core.Compiled,
    columns: Sequence[Column],
    trials: int,
    seed: int,
    threads: int,
    report_done: ReportDone = report_nothing,
) -> dict[int, tuple[Any, Any, float]]:
    parts: dict[int, tuple[Any, Any, float]] = {}
    done = 0

    def finished(first: int, part: tuple[Any, Any, float]) -> None:
        nonlocal done
        parts[first] = part
        done += len(part[1])
        report_done(done)

    jobs = ((first, (first, min(_CHUNK, trials - first))) for first in range(0, trials, _CHUNK))
    run_all(partial(_play_part, compiled, columns, seed), jobs, executor=None, threads=threads, finished=finished)
    return parts


def _play_part(
    compiled: _core.Compiled, columns: Sequence[Column], seed: int, first: int, count: int
) -> tuple[NDArray[np.float32], NDArray[np.int32], float]:
    """Scores, night of the first cut-out and mean warmth of the cabin in trials [first, first + count)."""
    traced = _core.trace(compiled, list(range(first, first + count)), seed, "single", ["fridge_off", "cabin_c"])
    off = traced["fridge_off"] > 0
    night = np.where(off.any(axis=1), off.argmax(axis=1) // 24, compiled.hours // 24)
    scores = np.column_stack([column.scores_of(traced["drawn"][:, column.parameter]) for column in columns])
    return scores.astype(np.float32), night.astype(np.int32), float(traced["cabin_c"].mean())
