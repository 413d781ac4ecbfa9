"""What a risk says with the model's own error: its range, the nights that hold, and what plays the model-error run."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import Any

import ridethrough._core as _core

from ..model.classes import Trip, Van
from ..model.errors import checked_call
from .error_run import ErrorRun, run_model_error
from .model_error import KnownError, model_error_of, sized_error
from .risk_dict import risk_to_dict
from .trial_estimates import TrialEstimates
from .validation import validate_int, validate_risk_level


class ErrorEstimates(TrialEstimates):
    """Of a run whose van and trip are known, so that all known causes of an error can be drawn."""

    van: Van
    trip: Trip
    compiled: _core.Compiled
    cutout: _core.Estimate
    clock: _core.Clock
    seed: int
    _threads = 0  # of the model-error run, and whether it has a bar
    _show_progress: bool | None = False

    @checked_call
    def nights_at(self, level: float, *, model_error: bool = False) -> int:
        """Count the nights for which the upper end of the risk's range stays within a risk.

        Parameters
        ----------
        level : float
            The risk, above 0 and below 1.
        model_error : bool
            Whether the range counts the known errors of the model too, which makes it fewer nights, if anything, and
            is what the verdict says; not given: the 95 % interval, sampling error alone.

        Returns
        -------
        int
            Nights of 24 h each, from the start; at most the trip's. Where it is all of them, a longer trip may hold.
        """
        validate_risk_level(level)
        if not model_error:
            return sum(1 - e.low <= level for e in self.survival())
        lost = (_core.wilson(self.trials - (night.events or 0), self.trials) for night in self.survival())
        return nights_within(self, lost, level)

    @cached_property
    def model_error(self) -> KnownError:
        """What is known of the model's own error in this van on this trip; no interval of an Estimate has it.

        The first use plays the model-error run, in which all known causes are drawn at once: at most half as many
        trials as this run had, in single precision. Where too few of them would fail, or hold, nothing is played, and
        the figures are those of vans in general.
        """
        return self.model_error_over(self.nights)

    @checked_call
    def model_error_over(self, nights: int) -> KnownError:
        """Tell the same of the chance of a cut-out over the first nights.

        Parameters
        ----------
        nights : int
            1 to those of the trip.

        Returns
        -------
        KnownError
            From the same model-error run.
        """
        nights = validate_int("nights", nights, 1, self.nights)
        return error_at(self, 1 - self.survival()[nights - 1].value, nights)

    @cached_property
    def _error_run(self) -> ErrorRun | None:
        return run_model_error(self, threads=self._threads, progress=self._show_progress)

    @cached_property
    def likely_range(self) -> tuple[float, float]:
        """The range of the risk with sampling error and the known errors of the model together."""
        return self.model_error.together(self.cutout)

    def _one_of_many(self) -> dict[str, Any]:
        """As it stands within a study's result: the model's error is that of vans in general, if no run was played."""
        if "_error_run" in vars(self):
            return self.to_dict()
        without: Any = object.__new__(type(self))
        vars(without).update(vars(self) | {"_error_run": None})
        return risk_to_dict(without)


def error_at(risk: ErrorEstimates, chance: float, nights: int) -> KnownError:
    """The error of a chance over the first nights; what the causes do is what they do to that of a cut-out."""
    general = model_error_of(risk.van, risk.trip, risk.compiled, chance, nights)
    run = risk._error_run
    effects = run.effects(nights) if run is not None else None
    return general if run is None or effects is None else sized_error(general, effects, run.cabin_c)


def nights_within(risk: ErrorEstimates, lost: Iterable[_core.Estimate], level: float) -> int:
    """First nights over which the chance lost stays within a level, the model's error for this van included."""
    nights = 0
    for chance in lost:
        if error_at(risk, chance.value, nights + 1).together(chance)[1] > level:
            break
        nights += 1
    return nights
