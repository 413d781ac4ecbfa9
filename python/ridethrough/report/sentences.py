"""Sentences and figures that several reports share."""

from __future__ import annotations

import math
from collections.abc import Iterable

from .plain_paths import in_prose

NONE_SHOWN = "no difference shown"


def percent(share: float) -> str:
    """A share in whole percent."""
    return f"{100 * share:.0f} %"


def in_range(low: float, high: float) -> str:
    """A range of shares in percent, two digits each, of the rarer side near 100 %."""
    return f"{_digits(low)} to {_digits(high)} %"


def _digits(share: float) -> str:
    rarer = 100 * min(share, 1 - share)
    if rarer >= 1 or not 0 < share < 1:
        return f"{100 * share:.{0 if 9.95 <= 100 * share <= 99 or share in (0, 1) else 1}f}"
    return f"{100 * share:.{min(1 - math.floor(math.log10(rarer)), 8)}f}" if rarer > 1e-8 else f"{100 * share:.0f}"


def format_warnings(texts: Iterable[str]) -> list[str]:
    """Warnings, which stand before any number: what is allowed but probably not meant."""
    return [f"Warning: {in_prose(text)}" for text in dict.fromkeys(texts)]
