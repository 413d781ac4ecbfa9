"""Rows of a ranking: each name stands above its interval, so that long names fit a narrow picture too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .sheet import Sheet, text_width
from .style import BLUE, RULE, SOFT, WHITE

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Interval = tuple[float, float, float]  # value, lower and upper end

_MARK_IN = 0.17


@dataclass(frozen=True)
class Row:
    """A name, what else is known, and an interval; a heading where there is none."""

    label: str
    interval: Interval | None = None
    note: str = ""
    filled: bool = True
    second: Interval | None = None  # a lesser one, below the first


def draw_rows(
    sheet: Sheet,
    rows: Sequence[Row],
    *,
    xlabel: str,
    second_marker: str = "D",
    zero: bool = False,
    least: float = np.inf,
) -> None:
    """The rows from top to bottom, of very many as many as there is room for; ``zero`` marks where nothing changes."""
    axes: list[Axes] = []
    shown = list(rows)
    sheet.skip(0.3)
    sheet.caption(xlabel)
    for i, row in enumerate(rows):
        if i and sheet.top > sheet.size.tall_in:
            left = sum(one.interval is not None for one in rows[i:])
            sheet.text(f"{left} more left out", colour=SOFT)
            shown = list(rows[:i])
            break
        if row.interval is None:
            sheet.skip(0.4)
        sheet.text(row.label, points=sheet.size.text_pt, weight="bold" if row.interval is None else "normal")
        if row.note:
            sheet.text(row.note, colour=SOFT)
        for interval, marker, filled in ((row.interval, "o", row.filled), (row.second, second_marker, False)):
            if interval is not None:
                axes.append(_mark(sheet, interval, marker, filled, zero))
        sheet.skip(0.2)
    _scale(sheet, axes, shown, least, zero)


def _mark(sheet: Sheet, interval: Interval, marker: str, filled: bool, zero: bool) -> Axes:
    ax = sheet.axes(_MARK_IN, left=0.06, right=0.06, below=0.0, scaled=False)
    ax.set(xticks=[], yticks=[], ylim=(0, 1))
    ax.spines[:].set_visible(False)
    ax.axhline(0.5, color=RULE, lw=0.6, zorder=0)
    if zero:
        ax.axvline(0, ymax=0.9, color=SOFT, lw=1, zorder=1)  # clear of the words above
    value, low, high = interval
    ax.errorbar(
        value,
        0.5,
        xerr=[[max(value - low, 0.0)], [max(high - value, 0.0)]],
        fmt=marker,
        ms=6 if marker == "o" else 5,
        color=BLUE,
        mfc=BLUE if filled else WHITE,
        lw=1.5,
        capsize=3,
        clip_on=False,
    )
    return ax


def _scale(sheet: Sheet, axes: Sequence[Axes], rows: Sequence[Row], least: float, zero: bool) -> None:
    """One scale for all rows, with its numbers below the last."""
    from matplotlib.ticker import MaxNLocator

    ends = [end for row in rows for one in (row.interval, row.second) if one for end in one]
    low, high = (min([*ends, least, *[0.0] * zero]), max([*ends, *[0.0] * zero])) if ends else (0.0, 1.0)
    room = 0.05 * (high - low or 1.0)
    low, high = (low - room if low < 0 or low != least else low), high + room
    for ax in axes:
        ax.set_xlim(low, high)
    foot = sheet.axes(0.02, left=0.06, right=0.06, below=0.08 + sheet.line_in, scaled=False)
    foot.set(xlim=(low, high), yticks=[])
    wide = 2.2 * text_width("-00.00", sheet.size.note_pt)
    ticks = [
        t
        for t in MaxNLocator(max(2, min(8, int(sheet.room / wide))), steps=[1, 2, 5, 10]).tick_values(low, high)
        if low <= t <= high
    ]
    half = 0.5 * text_width("-00.0", sheet.size.note_pt) * (high - low) / sheet.room
    ticks = [t for t in ticks if low + half - room <= t <= high - half + room]
    foot.set_xticks(ticks, [f"{t:g}".replace("-", "−") for t in np.round(ticks, 10)])
    foot.set_gid("scale")
