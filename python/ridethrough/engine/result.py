"""The base of all results."""

from __future__ import annotations


class Result:
    """Base of all results. Their reports stand in ``ridethrough.report``, which finds them by type."""

    def __str__(self) -> str:
        from ..report import format_report

        return format_report(self)
