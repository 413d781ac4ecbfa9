"""What the model's error does to the difference of two vans on the same trip: causes common to both mostly cancel.

How far they cancel is worked out from the effects that each cause has on each van, not assumed. The same scores of the
causes move the chances of both; a cause that only one of the vans has moves that one alone.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

import ridethrough._core as _core

from .error_causes import correlation_matrix
from .logistic_regression import Array
from .model_error import KnownError

if TYPE_CHECKING:
    from .risk import Risk

_DRAWS = 20_000  # of all causes together
_SEED = 0x6D6F64656C  # of their own: they are no trials
ENDS = (0.0228, 0.9772)  # two standard deviations


def difference_range(base: Risk, other: Risk, difference: _core.Estimate) -> tuple[float, float] | None:
    """The range of a paired difference of chances with sampling and the model's error together.

    Parameters
    ----------
    base, other : Risk
        Runs of two vans on the same trip.
    difference : Estimate
        Other less base, with its 95 % interval.

    Returns
    -------
    (float, float) or None
        Low and high; None where the causes could not be sized for both vans.
    """
    errors = base.model_error, other.model_error
    if not all(error.effects for error in errors):
        return None
    names = list(dict.fromkeys(effect.cause for error in errors for effect in error.effects))
    draws = np.random.default_rng(_SEED)
    scores = draws.standard_normal((_DRAWS, len(names))) @ np.linalg.cholesky(correlation_matrix(names)).T
    weather = draws.standard_normal(_DRAWS)  # dull days are dull for both
    first, second = (
        _chances(run.cutout.value, error, names, scores, weather)
        for run, error in zip((base, other), errors, strict=True)
    )
    low, high = np.quantile(second - first, ENDS)
    value = difference.value
    down = math.hypot(min(low - value, 0.0), value - difference.low)
    up = math.hypot(max(high - value, 0.0), difference.high - value)
    return max(value - down, -1.0), min(value + up, 1.0)


def _chances(chance: float, error: KnownError, names: list[str], scores: Array, weather: Array) -> Array:
    """The chance of one van under each draw of the causes."""
    effects = np.zeros(len(names))
    for effect in error.effects:
        kept = max(1 - (effect.standard_error / effect.log_odds) ** 2, 0.0) if effect.log_odds else 0.0
        effects[names.index(effect.cause)] = kept * effect.log_odds
    odds = math.log(chance / (1 - chance)) + scores @ effects + weather * error.undrawn_sd
    found: Array = 1 / (1 + np.exp(-odds))
    return found
