"""Pictures of named rows: each name stands above its interval, so that long names fit a narrow picture too."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .plots import BLUE, axes_or_new

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Interval = tuple[float, float, float]  # value, lower and upper end

_LINE_IN = 0.16  # height of a line of text; heights are counted in these
_POINTS = {"label": 8.5, "note": 7.5, "title": 9.5}  # sizes of texts
_LETTER = 0.55  # mean width of a letter, in its size
_MARK, _GAP = 1.1, 0.5  # lines that a mark takes, and that part rows
_MOST_ROWS = 16  # of a picture of our own


@dataclass(frozen=True)
class Row:
    """A name, what else is known, and an interval; a heading where there is none."""

    label: str
    interval: Interval | None = None
    note: str = ""
    filled: bool = True
    second: Interval | None = None  # a lesser one, below the first


def draw_rows(
    ax: Axes | None, rows: Sequence[Row], *, title: str, xlabel: str, second_marker: str = "D", zero: bool = False
) -> Axes:
    """The rows from top to bottom, as many as there is room for; ``zero`` marks where nothing changes.

    A picture of our own is as high as its rows need, and has the first of very many.
    """
    own = ax is None
    ax = axes_or_new(ax, (6.5, 4.0))
    ax.set(yticks=[])
    ax.spines[["left", "right", "top"]].set_visible(False)
    ax.figure.figure.draw_without_rendering()  # the layout gives the axes their width, then room for title and label
    ax.set_title(_wrapped(title, ax, "title"), loc="left", fontsize=_POINTS["title"], pad=8)
    ax.set_xlabel(_wrapped(xlabel, ax, "title"), fontsize=_POINTS["title"])
    ax.figure.figure.draw_without_rendering()
    blocks = [_block(ax, row) for row in rows]
    if own:
        need = sum(height for *_, height in blocks[:_MOST_ROWS]) + _MARK * (len(rows) > _MOST_ROWS)
        _grow(ax, max(need, 1.0))
    room = _size(ax)[1] / _LINE_IN
    top = 0.0
    for i, (row, (label, note, height)) in enumerate(zip(rows, blocks, strict=True)):
        rest = _MARK if i + 1 < len(rows) else 0.0  # in which it says that more are left out
        if i and top + height + rest > room + 0.1:
            left = sum(row.interval is not None for row in rows[i:])
            _text(ax, top, f"{left} more left out", "note")
            break
        if i and rows[i - 1].interval:
            ax.axhline(top - _GAP / 2, color="0.9", lw=0.8, zorder=0)
        _draw(ax, top, row, label, note, second_marker, zero)
        top += height
    ax.set_ylim(room, 0)
    ax.margins(x=0.04)
    return ax


def _block(ax: Axes, row: Row) -> tuple[str, str, float]:
    """Label and note in lines that fit, and the height of all."""
    label, note = _wrapped(row.label, ax, "label"), _wrapped(row.note, ax, "note")
    lines = len(label.splitlines()) + len(note.splitlines())
    return label, note, lines + _GAP + _MARK * ((row.interval is not None) + (row.second is not None))


def _draw(ax: Axes, top: float, row: Row, label: str, note: str, second_marker: str, zero: bool) -> None:
    _text(ax, top, label, "label", "bold" if row.interval is None else "normal")
    middle = top + len(label.splitlines())
    _text(ax, middle, note, "note")
    middle += len(note.splitlines()) + _MARK / 2
    for interval, marker, filled in ((row.interval, "o", row.filled), (row.second, second_marker, False)):
        if interval is None:
            continue
        if zero:
            ax.plot([0, 0], [middle - _MARK / 2, middle + _MARK / 2], color="0.35", lw=1, zorder=1)
        value, low, high = interval
        ax.errorbar(
            value,
            middle,
            xerr=[[value - low], [high - value]],
            fmt=marker,
            ms=6 if marker == "o" else 5,
            color=BLUE,
            mfc=BLUE if filled else "white",
            lw=1.5,
            capsize=3,
        )
        middle += _MARK


def _text(ax: Axes, top: float, text: str, kind: str, weight: str = "normal") -> None:
    if not text:
        return
    place = ax.get_yaxis_transform()  # from the left edge of the axes
    ax.text(0, top, text, transform=place, va="top", fontsize=_POINTS[kind], weight=weight, linespacing=1.1)


def _wrapped(text: str, ax: Axes, kind: str) -> str:
    letters = int(72 * _size(ax)[0] / (_LETTER * _POINTS[kind]))
    return "\n".join(line for part in text.splitlines() for line in textwrap.wrap(part, max(letters, 12)))


def _size(ax: Axes) -> tuple[float, float]:
    """Width and height of the axes [in]."""
    box = ax.get_window_extent().transformed(ax.figure.dpi_scale_trans.inverted())
    return box.width, box.height


def _grow(ax: Axes, lines: float) -> None:
    """Makes the figure so high that the axes have room for so many lines."""
    figure = ax.figure.figure
    figure.set_figheight(figure.get_figheight() + lines * _LINE_IN - _size(ax)[1])
    figure.draw_without_rendering()
