"""The words of a verdict, whatever the lines they stand in."""

from __future__ import annotations

import ridethrough as rt
from ridethrough.report.verdict_details import detail_lines


def one_line(text: str) -> str:
    """The same words in one line."""
    return " ".join(text.split())


def verdict(risk: rt.Risk) -> str:
    """What printing a risk says."""
    return one_line(str(risk))


def details(risk: rt.Risk) -> str:
    """The details of its verdict, a fact in each line."""
    return "\n".join(detail_lines(risk))
