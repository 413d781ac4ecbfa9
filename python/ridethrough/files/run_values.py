"""Values of a scenario file's ``[run]``: how it is simulated, and the charge that its owner keeps to."""

from __future__ import annotations

from typing import Any

from ..model.charge_limit import require_charge_limit
from ..model.checks import validate_int
from ..model.parameter_help import RUN
from ..model.quantities import read_whole


def require_run_value(path: str, key: str, value: object) -> Any:
    """A value of [run]; InputError where it is not allowed. ``path``: what it is called there."""
    low, high, _ = RUN[key]
    if key == "charge_limit":
        return require_charge_limit(path, value)
    if isinstance(value, str) and (read := read_whole(value)) is not None:
        value = read
    return validate_int(path, value, int(low), int(high))
