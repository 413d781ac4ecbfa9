"""The charge that an owner keeps to, as files, the command and the verdict take it."""

from __future__ import annotations

from .parameter_help import CHARGE_LIMITS
from .shares import require_share


def require_charge_limit(path: str, value: object) -> float:
    """A charge that the owner keeps to, as a share of full; InputError where it is none."""
    return require_share(path, value, CHARGE_LIMITS, 0.5)
