"""Validates the form of arguments, before what is in them: texts, numbers, lists, mappings, pairs."""

from __future__ import annotations

import operator
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeGuard

import numpy as np

import ridethrough._core as _core

from .errors import bad_input

TRIALS = 10_000  # of each van on each trip, unless a study says why it takes others
MOST_TRIALS, MOST_SEED = 1_000_000_000, 2**64 - 1


def is_number(value: object) -> TypeGuard[float]:
    """Whether it is a number of Python or NumPy and no yes or no."""
    return isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool)


def validate_int(name: str, value: object, low: int, high: int) -> int:
    """The whole number; InputError where it is none or out of range."""
    if isinstance(value, (float, np.floating)) and float(value).is_integer() and abs(float(value)) <= 2**53:
        value = int(value)  # 1e4
    try:
        number = None if isinstance(value, bool) else operator.index(value)  # type: ignore[arg-type]
    except TypeError:  # no whole number, or an array of them
        number = None
    if number is None or not low <= number <= high:
        raise bad_input(name, value, allowed=f"whole numbers {low:,} to {high:,}")
    return number


def validate_number(name: str, value: object, low: float, high: float) -> float:
    """The number as a float; InputError where it is none or out of range."""
    if not is_number(value) or not low <= value <= high:
        ends = (f"{end:,.6f}".rstrip("0").rstrip(".") for end in (low, high))
        hint = ""
        if is_number(value) and high <= 1 < value <= 100 and low <= value / 100 <= high:
            hint = f"is per cent meant? write {value / 100:g}"
        raise bad_input(name, value, allowed=" to ".join(ends), hint=hint)
    return float(value)


def validate_trials(trials: object, name: str = "trials") -> int:
    """The number of trials; InputError where it is out of range."""
    return validate_int(name, trials, 1, MOST_TRIALS)


def validate_seed(seed: object, name: str = "seed") -> int:
    """The seed; InputError where it is out of range."""
    return validate_int(name, seed, 0, MOST_SEED)


def validate_list(name: str, value: object, allowed: str) -> list[Any]:
    """The members; InputError where it is no list, or an empty one. A text is none, nor is a mapping."""
    if isinstance(value, (str, bytes, Mapping)) or not isinstance(value, Iterable):
        raise bad_input(name, value, allowed=allowed)
    members = [] if getattr(value, "ndim", 1) == 0 else list(value)  # NumPy has arrays without dimensions
    if not members:
        raise bad_input(name, members, allowed=allowed)
    return members


def validate_numbers(name: str, value: object, allowed: str) -> list[float]:
    """The numbers of a list, as they are given; InputError where it is none of numbers."""
    members = validate_list(name, value, allowed)
    if not all(map(is_number, members)):
        raise bad_input(name, value, allowed=allowed)
    return members


def validate_pair(name: str, value: object) -> tuple[float, float]:
    """Two numbers, the lower one first; InputError where it is anything else."""
    ends = validate_numbers(name, value, "(low, high), two numbers")
    if len(ends) != 2 or not ends[0] <= ends[1]:
        raise bad_input(name, value, allowed="(low, high), two numbers, the lower one first")
    return float(ends[0]), float(ends[1])


def validate_choice(name: str, value: object, choices: Sequence[str]) -> str:
    """The text; InputError where it is none of the choices, with the nearest one."""
    if isinstance(value, str) and value in choices:
        return value
    near = _core.nearest_name(value, list(choices)) if isinstance(value, str) else ""
    raise bad_input(name, value, allowed=", ".join(map(repr, choices)), suggestion=near, quoted=True)


def validate_text(name: str, value: object) -> str:
    """The text; InputError where it is none."""
    if not isinstance(value, str):
        raise bad_input(name, value, allowed="a text")
    return value


def validate_mapping(name: str, value: object, allowed: str) -> Mapping[str, Any]:
    """A mapping of names; InputError where it is none, or a name is no text."""
    if not isinstance(value, Mapping) or not all(isinstance(key, str) for key in value):
        raise bad_input(name, value, allowed=allowed)
    return value
