"""Lines with 95 % intervals over numbers, names or months, with a key above them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .sheet import Sample, Sheet, ruled, text_width
from .style import LINES, SOFT, Style

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_LINES = len(LINES)


@dataclass(frozen=True)
class Line:
    """Shares at places, with the ends of their intervals; NaN where there is none."""

    name: str
    x: NDArray[np.float64]
    value: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]


def draw_lines(
    sheet: Sheet, lines: Sequence[Line], *, what: str, places: Sequence[str] | None, xlabel: str, joined: bool = True
) -> Axes:
    """The first few lines over an axis from 0; the others are counted.

    `places` are the names of 0, 1, ... along the axis, which are `joined` where they have an order;
    numbers name themselves.
    """
    shown = lines[:MOST_LINES]
    sheet.skip(0.3)
    if len(lines) > 1:
        sheet.key(
            [Sample(line.name, line=_style(i) | ({} if joined else {"ls": "none"})) for i, line in enumerate(shown)]
        )
    if len(lines) > len(shown):
        sheet.text(f"{len(lines) - len(shown)} more lines are left out.", colour=SOFT)
    sheet.caption(f"{what}; the axis starts at 0")
    points = sheet.size.note_pt
    left = text_width("100", points) + 0.1
    ax = sheet.axes(2.6, left=left, right=0.1, below=0.1)
    spread = [i - (len(shown) - 1) / 2 for i in range(len(shown))]
    step = 0.0 if places is None else min(0.09, 0.5 / len(shown))
    for i, line in enumerate(shown):
        value, low, high = (100 * np.asarray(part, dtype=float) for part in (line.value, line.low, line.high))
        style: Style = _style(i) | ({} if joined else {"ls": "none"})
        errors = [np.fmax(value - low, 0), np.fmax(high - value, 0)]
        at, named = line.x + spread[i] * step, line.name or None
        ax.errorbar(at, value, yerr=errors, capsize=3, label=named, clip_on=False, **style)  # whole marks at 0 too
    ax.set_ylim(0, max(2.0, ax.get_ylim()[1]))
    _heights(ax)
    ruled(ax)
    if places is None:
        _numbers_below(sheet, ax, xlabel)
    else:
        names_below(sheet, ax, places, xlabel)
    return ax


def _style(i: int) -> Style:
    colour, dashes, mark = LINES[i % len(LINES)]
    return {"color": colour, "ls": dashes, "marker": mark, "ms": 5, "lw": 1.4}


def _heights(ax: Axes) -> None:
    from matplotlib.ticker import MaxNLocator

    top = ax.get_ylim()[1]
    ticks = [t for t in MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]).tick_values(0, top) if 0 <= t <= top]
    ax.set_yticks(ticks, [f"{t:g}" for t in ticks])


def _numbers_below(sheet: Sheet, ax: Axes, xlabel: str) -> None:
    from matplotlib.ticker import MaxNLocator

    low, high = ax.get_xlim()
    points = sheet.size.note_pt
    wide = 1.8 * text_width("0,000", points)
    values = MaxNLocator(max(2, int(sheet.width(ax) / wide)), steps=[1, 2, 5, 10]).tick_values(low, high)
    room = 0.6 * text_width("0,000", points) * (high - low) / sheet.width(ax)
    ticks = [t for t in values if low + room / 2 <= t <= high - room / 2]
    ax.set_xticks(ticks, [f"{t:,.6g}" for t in ticks])
    ax.set_xlim(low, high)
    sheet.top += sheet.line_in
    sheet.text(xlabel, colour=SOFT)


def names_below(sheet: Sheet, ax: Axes, places: Sequence[str], xlabel: str) -> None:
    """Names under 0, 1, ...; where they don't fit their numbers, which are told below."""
    points, inch = sheet.size.note_pt, sheet.width(ax) / max(len(places), 1)
    ax.set_xlim(-0.5, len(places) - 0.5)
    fit = max(text_width(name, points) for name in places) + 0.06 <= inch
    if not fit and all(len(name) <= 3 for name in places):  # months: their first letters
        ax.set_xticks(range(len(places)), [name[:1] for name in places])
    else:
        ax.set_xticks(range(len(places)), places if fit else [str(i) for i in range(1, len(places) + 1)])
    sheet.top += sheet.line_in
    if not fit and any(len(name) > 3 for name in places):
        xlabel += ": " + "; ".join(f"{i} {name}" for i, name in enumerate(places, 1))
    sheet.text(xlabel, colour=SOFT)
