"""The report of a sweep."""

from __future__ import annotations

from itertools import islice

import ridethrough._core as _core

from ..model.cautions import CAUTION
from ..studies.sweep_result import Sweep
from .registry import format_report

MOST_CELLS = 40  # that a report shows


def sweep_rows(result: Sweep, most: int) -> list[tuple[str, ...]]:
    """The labels of the first cells and their risks."""
    return [
        (*map(str, labels), "not run" if risk is None else _core.estimate_text(risk))
        for labels, risk in islice(result.cells(), most)
    ]


def sweep_notes(result: Sweep) -> list[str]:
    """What the intervals leave out."""
    attributes = result.dataset.attrs
    return [f"Interval: {attributes['interval']}."]


@format_report.register(Sweep)
def format_sweep(result: Sweep) -> str:
    """The risk of each cell, of the first ones where there are many."""
    rows, cells = sweep_rows(result, MOST_CELLS), result.dataset["risk"].size
    table = [(*result.axes, "risk of a cut-out"), *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(table[0]))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in table]
    left_out = [f"{cells - len(rows):,} more cells: take to_dataframe()."] if cells > len(rows) else []
    *before, note = sweep_notes(result)
    return "\n".join([*before, *lines, *left_out, note, CAUTION])
