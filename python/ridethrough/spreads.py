"""Spreads: how well a number is known, as a distribution. A parameter that varies takes one in place of a number."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from numbers import Real
from typing import Literal

import ridethrough._core as _core
from ridethrough._core import Spread

from .model.errors import bad_input, checked_call

__all__ = ["Spread", "discrete", "normal", "pert", "triangular", "uniform"]

Spread.__module__ = __name__  # where pickle and help() find it

Spread.__doc__ = """What is not known about a number: a distribution in place of a value.

Attributes
----------
shape : str
    "uniform", "triangular", "pert", "normal" or "discrete".
arguments : tuple of float
    As they were given, in the unit of the field.
per : str or None
    How often it is drawn anew; None: as often as the field may vary.

Examples
--------
>>> known_within = rt.spreads.triangular(90, 100, 105)
>>> known_within.shape, known_within.arguments, round(known_within.mean(), 2)
('triangular', (90.0, 100.0, 105.0), 98.33)
"""

Per = Literal["trial", "day", "hour"]


def _numbers(**given: object) -> list[float]:
    """The numbers, each of which must be one."""
    for name, value in given.items():
        if isinstance(value, bool) or not isinstance(value, Real):
            raise bad_input(name, value, allowed="a number")
    return [float(value) for value in given.values()]  # type: ignore[arg-type]


def _list(name: str, given: object) -> list[float]:
    if isinstance(given, str) or not hasattr(given, "__iter__") or getattr(given, "ndim", 1) == 0:
        raise bad_input(name, given, allowed="a list of numbers")
    return [_numbers(**{f"{name}.{i}": value})[0] for i, value in enumerate(given, 1)]


def _made(make: Callable[..., Spread], arguments: Sequence[object], per: Per | None) -> Spread:
    """The core's spread; its errors name the shape as the path and the arguments as the value."""
    if not (per is None or isinstance(per, str)):  # the core looks at a text
        raise bad_input("per", per, allowed="'trial', 'day' or 'hour'")
    try:
        return make(*arguments, per=per)
    except _core.InputError as error:
        if error.path.startswith(f"{make.__name__}("):
            error.path, error.value = make.__name__, tuple(arguments)
        raise


@checked_call
def uniform(low: float, high: float, *, per: Per | None = None) -> Spread:
    """Equally likely from low to high.

    Parameters
    ----------
    low, high : float
        In the unit of the field that it is given for.
    per : {"trial", "day", "hour"}, optional
        How often it is drawn anew. Not given: as often as the field may vary.

    Returns
    -------
    Spread
        To be given in place of a number.

    Raises
    ------
    InputError
        Not numbers, or not rising.

    Examples
    --------
    >>> rt.AgmBattery(capacity_ah=rt.spreads.uniform(90, 110))
    AgmBattery(capacity_ah=uniform(90, 110))
    """
    return _made(_core.uniform, _numbers(low=low, high=high), per)


@checked_call
def triangular(low: float, mode: float, high: float, *, per: Per | None = None) -> Spread:
    """Density rising in a straight line from low to mode and falling to high.

    Parameters
    ----------
    low, mode, high : float
        In the unit of the field that it is given for.
    per : {"trial", "day", "hour"}, optional
        How often it is drawn anew. Not given: as often as the field may vary.

    Returns
    -------
    Spread
        To be given in place of a number.

    Raises
    ------
    InputError
        Not numbers, or not in order.

    Examples
    --------
    >>> rt.spreads.triangular(0.02, 0.05, 0.12)
    triangular(0.02, 0.05, 0.12)
    """
    return _made(_core.triangular, _numbers(low=low, mode=mode, high=high), per)


@checked_call
def pert(low: float, mode: float, high: float, *, per: Per | None = None) -> Spread:
    """Beta distribution on [low, high] of mean (low + 4 mode + high) / 6; rounder than the triangular.

    Parameters
    ----------
    low, mode, high : float
        In the unit of the field that it is given for.
    per : {"trial", "day", "hour"}, optional
        How often it is drawn anew. Not given: as often as the field may vary.

    Returns
    -------
    Spread
        To be given in place of a number.

    Raises
    ------
    InputError
        Not numbers, or not in order.

    Examples
    --------
    >>> rt.spreads.pert(60, 70, 100)
    pert(60, 70, 100)
    """
    return _made(_core.pert, _numbers(low=low, mode=mode, high=high), per)


@checked_call
def normal(mean: float, sd: float, *, per: Per | None = None) -> Spread:
    """Normal, cut at the range of the field it is given for.

    Parameters
    ----------
    mean, sd : float
        Mean and standard deviation before the cut, in the unit of the field.
    per : {"trial", "day", "hour"}, optional
        How often it is drawn anew. Not given: as often as the field may vary.

    Returns
    -------
    Spread
        To be given in place of a number.

    Raises
    ------
    InputError
        Not numbers, or a standard deviation that is not above 0.

    Examples
    --------
    >>> rt.spreads.normal(0.9, 0.05, per="trial")
    normal(0.9, 0.05, per='trial')
    """
    return _made(_core.normal, _numbers(mean=mean, sd=sd), per)


@checked_call
def discrete(values: Sequence[float], weights: Sequence[float], *, per: Per | None = None) -> Spread:
    """One of the values, as often as its weight says.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        In the unit of the field that it is given for.
    weights : sequence of float, shape (n,)
        Above 0; they need not add up to 1.
    per : {"trial", "day", "hour"}, optional
        How often it is drawn anew. Not given: as often as the field may vary.

    Returns
    -------
    Spread
        To be given in place of a number.

    Raises
    ------
    InputError
        Not as many weights as values, or a weight that is not above 0.

    Examples
    --------
    >>> rt.spreads.discrete([100, 200], [3, 1])
    discrete([100, 200], [3, 1])
    """
    return _made(_core.discrete, [_list("values", values), _list("weights", weights)], per)
