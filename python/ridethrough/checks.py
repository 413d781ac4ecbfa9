"""Arguments of runs and studies: found valid before any work, with the field, the value and what is allowed."""

from __future__ import annotations

import operator
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

import ridethrough._core as _core

from . import clocks

NUMBERS = (int, float, np.integer, np.floating)  # NumPy's are as good as Python's


def whole(name: str, value: Any, low: int, high: int) -> int:
    number = None if isinstance(value, bool) or not hasattr(value, "__index__") else operator.index(value)
    if number is None or not low <= number <= high:
        raise _core.InputError(f"{name} = {value!r}: allowed whole numbers {low:,} to {high:,}")
    return number


def number(name: str, value: Any, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, NUMBERS) or not low <= value <= high:
        ends = (f"{end:,.6f}".rstrip("0").rstrip(".") for end in (low, high))
        raise _core.InputError(f"{name} = {value!r}: allowed {' to '.join(ends)}")
    return float(value)


def require_records(van: Any, trip: Any) -> None:
    kinds = [type(value).__name__ for value in (van, trip)]
    if kinds == ["Trip", "Van"]:
        raise _core.InputError("van is a Trip and trip a Van: the van comes first, then the trip")
    for name, value in (("van", van), ("trip", trip)):
        if not isinstance(value, _core.Record) or type(value).__name__.lower() != name:
            raise _core.InputError(f"{name} = {value!r}: must be a {name.capitalize()}")


def seed_number(seed: Any) -> int:
    return whole("seed", seed, 0, 2**64 - 1)


def trials_of(trials: Any) -> int:
    return whole("trials", trials, 1, 1_000_000_000)


def thread_count(threads: Any) -> int:
    """0: one per processor."""
    return whole("threads", threads, 0, _core.MOST_THREADS)


def checked(van: Any, trip: Any, trials: Any, seed: Any, threads: Any) -> tuple[int, int, int]:
    """Trials, seed and threads as whole numbers, and a van and a trip that are what they should be."""
    counts = (
        trials_of(trials),
        seed_number(seed),
        thread_count(threads),
    )
    require_records(van, trip)
    return counts


def require_pairs(trials: Any) -> None:
    if trials_of(trials) < 2:
        raise _core.InputError(f"trials = {trials!r}: allowed 2 or more for a difference with an interval")


def compiled_of(van: Any, trip: Any, clock: _core.Clock | None = None) -> _core.Compiled:
    """Van and trip compiled, which finds them valid; refused with a load that no probability is told of."""
    compiled = clocks.compiled(van, trip, clock)
    _core.refuse_life_support(compiled.load_names)
    return compiled


@contextmanager
def untold() -> Iterator[None]:
    """Runs of vans that nobody has: their warnings are not given."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        yield


def compiled_telling(van: Any, trip: Any) -> _core.Compiled:
    """The same, with warnings given to whoever called our caller."""
    compiled = compiled_of(van, trip)
    for text in compiled.warnings:
        warnings.warn(text, UserWarning, stacklevel=3)
    return compiled
