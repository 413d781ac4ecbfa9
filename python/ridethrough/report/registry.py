"""The report of each type of result: modules of this package register theirs here."""

from __future__ import annotations

from functools import singledispatch


@singledispatch
def format_report(result: object) -> str:
    """The report of a result as text, cautions included."""
    raise TypeError(f"{type(result).__name__} has no report")
