"""Validates the form of arguments, before what is in them: texts, lists, mappings, pairs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, TypeGuard

import numpy as np

from .errors import bad_input


def is_number(value: object) -> TypeGuard[float]:
    """Whether it is a number of Python or NumPy and no yes or no."""
    return isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool)


def validate_list(name: str, value: object, allowed: str) -> list[Any]:
    """The members; InputError where it is no list, or an empty one. A text is none, nor is a mapping."""
    if isinstance(value, (str, bytes, Mapping)) or not isinstance(value, Iterable):
        raise bad_input(name, value, allowed=allowed)
    members = list(value)
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


def validate_mapping(name: str, value: object, allowed: str) -> Mapping[str, Any]:
    """A mapping of names; InputError where it is none, or a name is no text."""
    if not isinstance(value, Mapping) or not all(isinstance(key, str) for key in value):
        raise bad_input(name, value, allowed=allowed)
    return value
