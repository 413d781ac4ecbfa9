"""Validates arguments of runs and studies before any trial runs; errors name field, value and allowed range."""

from __future__ import annotations

import operator
import sys
import warnings
from collections.abc import Iterable

import numpy as np

import ridethrough._core as _core

from ..model import clocks
from ..model.classes import Trip, Van
from ..model.errors import bad_input

REAL_NUMBERS = (int, float, np.integer, np.floating)  # NumPy's are as good as Python's


def validate_int(name: str, value: object, low: int, high: int) -> int:
    """The whole number; InputError where it is none or out of range."""
    number = None if isinstance(value, bool) or not hasattr(value, "__index__") else operator.index(value)
    if number is None or not low <= number <= high:
        raise bad_input(name, value, allowed=f"whole numbers {low:,} to {high:,}")
    return number


def validate_number(name: str, value: object, low: float, high: float) -> float:
    """The number as a float; InputError where it is none or out of range."""
    if isinstance(value, bool) or not isinstance(value, REAL_NUMBERS) or not low <= value <= high:
        ends = (f"{end:,.6f}".rstrip("0").rstrip(".") for end in (low, high))
        raise bad_input(name, value, allowed=" to ".join(ends))
    return float(value)


def validate_risk_level(level: object) -> None:
    """InputError where a risk that is looked at is none."""
    if isinstance(level, bool) or not isinstance(level, REAL_NUMBERS) or not 0 < level < 1:
        raise bad_input("level", level, allowed="above 0 and below 1")


def require_van_and_trip(van: Van, trip: Trip) -> None:
    """InputError where something else is given in their place."""
    kinds = [type(value).__name__ for value in (van, trip)]
    if kinds == ["Trip", "Van"]:
        raise bad_input("van is a Trip and trip a Van", reason="the van comes first, then the trip")
    for name, value in (("van", van), ("trip", trip)):
        if not isinstance(value, _core.Configuration) or type(value).__name__.lower() != name:
            raise bad_input(name, value, reason=f"must be a {name.capitalize()}")


def validate_seed(seed: object) -> int:
    """The seed; InputError where it is out of range."""
    return validate_int("seed", seed, 0, 2**64 - 1)


def validate_trials(trials: object) -> int:
    """The number of trials; InputError where it is out of range."""
    return validate_int("trials", trials, 1, 1_000_000_000)


def validate_threads(threads: object) -> int:
    """0: one per processor."""
    return validate_int("threads", threads, 0, _core.MOST_THREADS)


def compile_trip(van: Van, trip: Trip, clock: _core.Clock | None = None) -> _core.Compiled:
    """Compile van and trip, which validates them; refuses loads that keep somebody alive."""
    compiled = clocks.compile_with_clock(van, trip, clock)
    _core.refuse_life_support(compiled.load_names)
    return compiled


def compile_with_warnings(van: Van, trip: Trip) -> _core.Compiled:
    """Compile van and trip, and warn of what is allowed but probably not meant."""
    compiled = compile_trip(van, trip)
    warn_once(compiled.warnings)
    return compiled


def warn_once(texts: Iterable[str]) -> tuple[str, ...]:
    """Warn of each of these once: a study does so before its runs, which then warn of nothing."""
    said = tuple(dict.fromkeys(texts))
    for text in said:
        warn_caller(text)
    return said


def warn_caller(text: str) -> None:
    """Warn at the line outside this package that called into it."""
    frame, level = sys._getframe(1), 2
    while frame.f_back is not None and frame.f_globals.get("__name__", "").partition(".")[0] == "ridethrough":
        frame, level = frame.f_back, level + 1
    warnings.warn(text, UserWarning, stacklevel=level)
