"""Sentences and figures that several reports share."""

from __future__ import annotations

from collections.abc import Iterable

NONE_SHOWN = "no difference shown"


def percent(share: float) -> str:
    """A share in whole percent."""
    return f"{100 * share:.0f} %"


def format_warnings(texts: Iterable[str]) -> list[str]:
    """Warnings, which stand before any number: what is allowed but probably not meant."""
    return [f"Warning: {text}" for text in dict.fromkeys(texts)]
