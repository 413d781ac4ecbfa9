"""The charge that an owner keeps to, as files, the command and the verdict take it."""

from __future__ import annotations

from .checks import is_number
from .errors import bad_input
from .parameter_help import CHARGE_LIMITS
from .quantities import read_quantity


def require_charge_limit(path: str, value: object) -> float:
    """A charge that the owner keeps to, as a share of full; InputError where it is none."""
    number = read_quantity(path, value, "") if isinstance(value, str) else value
    low, high = CHARGE_LIMITS
    if is_number(number) and low <= number <= high:
        return float(number)
    shown = f"{100 * low:g} % to {100 * high:g} %"
    per_cent = is_number(number) and low <= number / 100 <= high
    raise bad_input(path, value, allowed=shown, hint=f'is per cent meant? write "{number:g} %"' if per_cent else "")
