"""Shares as people give them: a number such as 0.05, or a text such as "5 %"."""

from __future__ import annotations

import re

from .checks import is_number
from .errors import bad_input
from .quantities import read_quantity

_BARE = re.compile(r"[\s\d.,eE+-]*")  # a number without a unit


def require_share(path: str, value: object, limits: tuple[float, float], usual: float) -> float:
    """The share; InputError where it is none, with the allowed range in the unit that was given."""
    low, high = limits
    text = isinstance(value, str)
    in_per_cent = isinstance(value, str) and not _BARE.fullmatch(value)
    number = read_quantity(path, value, "") if isinstance(value, str) else value
    if is_number(number) and low <= number <= high:
        return float(number)
    shares, per_cent = f"{low:g} to {high:g}", f"{100 * low:g} % to {100 * high:g} %"
    allowed = per_cent if in_per_cent else f"{shares}, or {per_cent}" if text else shares
    such = f"{100 * usual:g} %" if in_per_cent else f"{usual:g}"
    hint = ""
    if is_number(number) and not in_per_cent and low <= number / 100 <= high:
        hint = "is per cent meant? write " + (f'"{number:g} %"' if text else f"{number / 100:g}")
    raise bad_input(path, value, allowed=f"{allowed}, such as {such}", hint=hint)
