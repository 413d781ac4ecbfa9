"""The report of a sweep."""

from __future__ import annotations

from itertools import islice

import ridethrough._core as _core

from ..model.cautions import CAUTION
from ..studies.sweep_result import Sweep
from .registry import format_report
from .sentences import NONE_SHOWN

MOST_CELLS = 40  # that a report shows


def sweep_header(result: Sweep) -> tuple[str, ...]:
    """What the columns of the rows are."""
    compared = ("difference from the base",) if "risk_difference" in result.dataset else ()
    return (*result.axes, "risk of a cut-out", *compared)


def sweep_rows(result: Sweep, most: int) -> list[tuple[str, ...]]:
    """The labels of the first cells, their risks and, where there is a base, how they differ from it."""
    rows = [
        (*map(str, labels), "not run" if risk is None else _core.estimate_text(risk))
        for labels, risk in islice(result.cells(), most)
    ]
    if "risk_difference" not in result.dataset:
        return rows
    ends = (result.dataset[f"risk_difference{end}"].values.ravel() for end in ("_low", "", "_high"))
    return [(*row, _difference(*map(float, gap))) for row, *gap in zip(rows, *ends, strict=False)]


def _difference(low: float, value: float, high: float) -> str:
    if value != value:
        return ""
    if low == value == high == 0:
        return "the base itself"
    interval = f"({100 * low:+.1f} to {100 * high:+.1f} points, the same trials)"
    return f"{NONE_SHOWN} {interval}" if low <= 0 <= high else f"{100 * value:+.1f} {interval}"


def sweep_notes(result: Sweep) -> list[str]:
    """What the intervals leave out."""
    attributes = result.dataset.attrs
    return [f"Interval: {attributes['interval']}."]


@format_report.register(Sweep)
def format_sweep(result: Sweep) -> str:
    """The risk of each cell, of the first ones where there are many."""
    rows, cells = sweep_rows(result, MOST_CELLS), result.dataset["risk"].size
    table = [sweep_header(result), *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(table[0]))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in table]
    left_out = [f"{cells - len(rows):,} more cells: take to_dataframe()."] if cells > len(rows) else []
    *before, note = sweep_notes(result)
    return "\n".join([*before, *lines, *left_out, note, CAUTION])
