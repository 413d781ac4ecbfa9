"""Values of a scenario file's ``[run]``: how it is simulated, and the charge that its owner keeps to."""

from __future__ import annotations

from typing import Any

from ..model.checks import is_number, validate_int
from ..model.errors import bad_input
from ..model.parameter_help import CHARGE_LIMITS, RUN
from ..model.quantities import read_quantity, read_whole


def require_run_value(path: str, key: str, value: object) -> Any:
    """A value of [run]; InputError where it is not allowed. ``path``: what it is called there."""
    low, high, _ = RUN[key]
    if key == "charge_limit":
        return require_charge_limit(path, value)
    if isinstance(value, str) and (read := read_whole(value)) is not None:
        value = read
    return validate_int(path, value, int(low), int(high))


def require_charge_limit(path: str, value: object) -> float:
    """A charge that the owner keeps to, as a share of full; InputError where it is none."""
    number = read_quantity(path, value, "") if isinstance(value, str) else value
    low, high = CHARGE_LIMITS
    if is_number(number) and low <= number <= high:
        return float(number)
    shown = f"{100 * low:g} % to {100 * high:g} %"
    per_cent = is_number(number) and low <= number / 100 <= high
    raise bad_input(path, value, allowed=shown, hint=f'is per cent meant? write "{number:g} %"' if per_cent else "")
