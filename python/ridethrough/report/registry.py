"""The report of each type of result: modules of this package register theirs here."""

from __future__ import annotations

from functools import singledispatch

from ..engine.result import Result
from ..model.cautions import CAUTION, IN_SHORT
from .plain_paths import in_prose
from .sentences import format_warnings


@singledispatch
def format_report(result: object) -> str:
    """The report of a result as text."""
    raise TypeError(f"{type(result).__name__} has no report")


def write_report(result: Result) -> str:
    """The whole report: warnings that it does not tell in their own place come first, the caution is in each."""
    body = format_report(result)
    words = " ".join(body.split())
    said = format_warnings(text for text in result.warnings if " ".join(in_prose(text).split()) not in words)
    return "\n".join([*said, body, *([] if CAUTION in words or IN_SHORT in words else [CAUTION])])
