"""Estimates with intervals: of one share, and of the difference between two runs on the same trials."""

from __future__ import annotations

from collections.abc import Mapping

from numpy.typing import ArrayLike

import ridethrough._core as _core
from ridethrough._core import Estimate

from .engine.validation import validate_int, validate_number
from .model.errors import bad_input, checked_call

__all__ = ["Estimate", "clopper_pearson", "paired_difference", "wilson"]

_MOST = 2**63 - 1

Estimate.__doc__ = """A number estimated from trials, with its interval: sampling error alone.

Attributes
----------
value, low, high : float
    The estimate and the ends of its interval; a share of 1, unless what it is of has a unit.
confidence : float
    Of the interval: 0.95 unless another was asked for.
events : int or None
    Trials with the event; None where it is no share of trials.
trials : int
    How many there were.
half_width : float
    Half of the interval's length.

Examples
--------
>>> share = rt.stats.wilson(5, 100)
>>> share.low < share.value < share.high, share.events, share.trials, share.confidence
(True, 5, 100, 0.95)
"""


@checked_call
def wilson(events: int, trials: int, confidence: float = 0.95) -> Estimate:
    """Share of trials with an event and its score interval (Wilson 1927).

    Parameters
    ----------
    events, trials : int
        Trials with the event, and all of them.
    confidence : float
        Of the interval, above 0 up to 0.999999999.

    Returns
    -------
    Estimate
        ``.value``, ``.low``, ``.high``, ``.events``, ``.trials``, ``.confidence``.

    Raises
    ------
    InputError
        A count that is not a whole number, or more events than trials.

    Examples
    --------
    >>> share = rt.stats.wilson(5, 100)
    >>> print(f"{share.value:.2f} ({share.low:.3f} to {share.high:.3f}, {share.trials} trials)")
    0.05 (0.022 to 0.112, 100 trials)
    """
    return _core.wilson(*_counts(events, trials), validate_number("confidence", confidence, 0, 1))


@checked_call
def clopper_pearson(events: int, trials: int, confidence: float = 0.95) -> Estimate:
    """Share of trials with an event and its exact tail interval (Clopper and Pearson 1934): never too short.

    Parameters
    ----------
    events, trials : int
        Trials with the event, and all of them.
    confidence : float
        Of the interval, above 0 up to 0.999999999.

    Returns
    -------
    Estimate
        ``.value``, ``.low``, ``.high``, ``.events``, ``.trials``, ``.confidence``.

    Raises
    ------
    InputError
        A count that is not a whole number, or more events than trials.

    Examples
    --------
    >>> none = rt.stats.clopper_pearson(0, 100)
    >>> print(f"at most {100 * none.high:.1f} % ({none.trials} trials)")
    at most 3.6 % (100 trials)
    """
    return _core.clopper_pearson(*_counts(events, trials), validate_number("confidence", confidence, 0, 1))


@checked_call
def paired_difference(first: ArrayLike, second: ArrayLike, confidence: float = 0.95) -> Estimate:
    """First less second over the same trials.

    Columns of bool: difference of risks, method 10 of Newcombe 1998 for pairs. Columns of numbers: difference of means
    with Student's interval.

    Parameters
    ----------
    first, second : array of bool or float, shape (trials,)
        Results of the same trials, in the same order, in the same unit.
    confidence : float
        Of the interval, above 0 up to 0.999999999.

    Returns
    -------
    Estimate
        In the columns' unit, a share of 1 where they are of bool; ``.events`` is None.

    Raises
    ------
    InputError
        Columns of different lengths or kinds, or fewer than two trials.

    Examples
    --------
    >>> gap = rt.stats.paired_difference([True, True, False, False], [False, True, False, False])
    >>> gap.value, gap.trials
    (0.25, 4)
    """
    for name, column in (("first", first), ("second", second)):
        if not hasattr(column, "__iter__") or isinstance(column, (str, Mapping)):
            raise bad_input(name, column, allowed="a column of the trials' results")
    return _core.paired_difference(first, second, validate_number("confidence", confidence, 0, 1))


def _counts(events: object, trials: object) -> tuple[int, int]:
    trials_run = validate_int("trials", trials, 1, _MOST)
    return validate_int("events", events, 0, trials_run), trials_run
