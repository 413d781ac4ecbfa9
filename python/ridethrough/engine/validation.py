"""Validates arguments of runs and studies before any trial runs; errors name field, value and allowed range."""

from __future__ import annotations

import operator
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

import ridethrough._core as _core

from ..model import clocks
from ..model.classes import Trip, Van
from ..model.errors import bad_input

REAL_NUMBERS = (int, float, np.integer, np.floating)  # NumPy's are as good as Python's


def validate_int(name: str, value: Any, low: int, high: int) -> int:
    number = None if isinstance(value, bool) or not hasattr(value, "__index__") else operator.index(value)
    if number is None or not low <= number <= high:
        raise bad_input(name, value, allowed=f"whole numbers {low:,} to {high:,}")
    return number


def validate_number(name: str, value: Any, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, REAL_NUMBERS) or not low <= value <= high:
        ends = (f"{end:,.6f}".rstrip("0").rstrip(".") for end in (low, high))
        raise bad_input(name, value, allowed=" to ".join(ends))
    return float(value)


def require_van_and_trip(van: Van, trip: Trip) -> None:
    kinds = [type(value).__name__ for value in (van, trip)]
    if kinds == ["Trip", "Van"]:
        raise _core.InputError("van is a Trip and trip a Van: the van comes first, then the trip")
    for name, value in (("van", van), ("trip", trip)):
        if not isinstance(value, _core.Configuration) or type(value).__name__.lower() != name:
            raise bad_input(name, value, reason=f"must be a {name.capitalize()}")


def validate_seed(seed: Any) -> int:
    return validate_int("seed", seed, 0, 2**64 - 1)


def validate_trials(trials: Any) -> int:
    return validate_int("trials", trials, 1, 1_000_000_000)


def validate_threads(threads: Any) -> int:
    """0: one per processor."""
    return validate_int("threads", threads, 0, _core.MOST_THREADS)


def compile_trip(van: Van, trip: Trip, clock: _core.Clock | None = None) -> _core.Compiled:
    """Compile van and trip, which validates them; refuses loads that keep somebody alive."""
    compiled = clocks.compile_with_clock(van, trip, clock)
    _core.refuse_life_support(compiled.load_names)
    return compiled


@contextmanager
def without_warnings() -> Iterator[None]:
    """Run vans that a study makes up, without the warnings about them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        yield


def compile_with_warnings(van: Van, trip: Trip) -> _core.Compiled:
    """Compile van and trip; warnings point at the line that called the public function."""
    compiled = compile_trip(van, trip)
    for text in compiled.warnings:
        warnings.warn(text, UserWarning, stacklevel=3)
    return compiled
