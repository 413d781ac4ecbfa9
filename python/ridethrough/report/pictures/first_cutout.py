"""When the first cut-out comes: night by hour of the clock, % of all trips; a sentence where there is none."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ...engine.risk import Risk
from ..cause_text import DAYS, MONTHS, short_date
from .drawing import drawn
from .facts import chance_with_interval, facts, spoken
from .picture import Picture
from .sheet import Sheet, text_width
from .style import BLUE, INK, SOFT, WHITE
from .survival import percent_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_TITLE = "When the first cut-out comes"
_HOURS = (1, 2, 3, 4, 6)  # of a column


def first_cutouts(risk: Risk) -> tuple[NDArray[np.float64], list[date | None]]:
    """Per cent of all trips by night, from noon to noon, and hour; the nights' dates, None for the last day's rest."""
    table = 100 * np.roll(risk.cutouts_by_night(), -12, axis=1) / risk.trials
    day0 = date.fromisoformat(risk.compiled.start_date)
    days: list[date | None] = [day0 + timedelta(days=n) for n in range(risk.nights)]
    if table[-1].any():
        return table, [*days, None]
    return table[:-1], days


@drawn
def draw_first_cutout(risk: Risk, size: str, name: str, *, short: bool = False) -> Picture:
    """A square for each night and hour, its number in it."""
    sheet = Sheet(size, _TITLE, facts(risk, short=short), name)
    if not risk.cutout.events:
        none = f"There is nothing to draw: the fridge had a cut-out in {chance_with_interval(risk.cutout)}."
        sheet.text(none, points=sheet.size.text_pt)
        return sheet.finish(spoken(risk, _TITLE, none))
    table, days = first_cutouts(risk)
    points = sheet.size.note_pt
    table, names = _without_quiet_start(table, _names(days, sheet.size.width_in))
    left = max(text_width(text, points) for text in names) + 0.1
    totals = [f"{percent_text(x)} %" if x else "none" for x in table.sum(axis=1)]
    right = max(text_width(text, points) for text in totals) + 0.1
    small = 0.9 * points
    widest = max(text_width(percent_text(x), small) for x in (*table.ravel(), 10.0)) + 0.05
    column = next((h for h in _HOURS if widest <= h * (sheet.room - left - right) / 24), _HOURS[-1])
    table = table.reshape(len(table), 24 // column, column).sum(axis=2)
    each = "hour" if column == 1 else f"{column} hours"
    sheet.caption(f"First cut-outs by night and each {each} of the clock, % of all {risk.trials:,} trips")
    row_in = 0.24 * max(1.0, points / 8)
    ax = sheet.axes(row_in * len(names), left=left, right=right, below=0.1 + sheet.line_in, scaled=False)
    _squares(ax, table, column, small)
    for row, total in enumerate(totals):
        ax.text(24 + 24 * 0.08 / sheet.width(ax), row + 0.5, total, va="center", fontsize=points, color=INK)
    ax.set_yticks(np.arange(len(names)) + 0.5, names)
    inch = sheet.width(ax) / 24
    every = next(h for h in (3, 6, 12) if text_width("00:00", points) + 0.08 <= h * inch)
    at = np.arange(0, 25, every)[: -1 if right < 0.3 else None]
    ax.set_xticks(at, [f"{(12 + h) % 24:02d}:00" for h in at])
    if left < text_width("00:00", points) / 2:
        ax.get_xticklabels()[0].set_horizontalalignment("left")
    ax.set(xlim=(0, 24), ylim=(len(names), 0))
    ax.tick_params(left=False, length=4, colors=SOFT)
    ax.spines[:].set_visible(False)
    sure = _core.wilson(round(float(table.sum(axis=1).max()) * risk.trials / 100), risk.trials)
    note = (
        "To the right: all of the night, which runs from noon to noon. The 95 % interval of a number reaches no "
        f"more than {50 * (sure.high - sure.low):.1f} points to either side ({risk.trials:,} trips)."
    )
    sheet.text(note, colour=SOFT)
    return sheet.finish(spoken(risk, _TITLE, _most(risk, table, len(days) - len(names), column)))


def _most(risk: Risk, table: NDArray[np.float64], left_out: int, column: int) -> str:
    """The time that has most; the hours before noon of a night's row are those of the next day."""
    row, place = map(int, np.unravel_index(table.argmax(), table.shape))
    hours, night = 12 + column * place, row + left_out
    day = short_date(date.fromisoformat(risk.compiled.start_date) + timedelta(days=night + hours // 24))
    which = f"night {night + 1}" if night < risk.nights else "the last day"
    share = _core.wilson(round(float(table.max()) * risk.trials / 100), risk.trials)
    period = "hour of the trip has" if column == 1 else f"{column} hours of the trip have"
    return (
        f"No {period} more first cut-outs than {'that' if column == 1 else 'those'} from {hours % 24}:00 on {day} "
        f"({which}), which {'has' if column == 1 else 'have'} the first cut-out of {chance_with_interval(share)}."
    )


def _names(days: list[date | None], width_in: float) -> list[str]:
    def named(night: int, day: date | None) -> str:
        if day is None:
            return "last day"
        dated = f"{DAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"
        return f"{night}, {dated}" if width_in < 5 else f"night {night}, {dated}"

    return [named(night, day) for night, day in enumerate(days, 1)]


def _without_quiet_start(table: NDArray[np.float64], names: list[str]) -> tuple[NDArray[np.float64], list[str]]:
    """Nights at the start in which nothing failed, in one row where they are many."""
    quiet = int(np.argmax(table.any(axis=1)))
    if quiet < 3:
        return table, names
    return table[quiet - 1 :], [f"nights 1 to {quiet}", *names[quiet:]]


def _squares(ax: Axes, table: NDArray[np.float64], column: int, points: float) -> None:
    from matplotlib.colors import LinearSegmentedColormap

    shades = LinearSegmentedColormap.from_list("ridethrough", [WHITE, BLUE])
    top = float(table.max())
    edges = np.arange(0, 25, column), np.arange(len(table) + 1)
    ax.pcolormesh(*edges, table, cmap=shades, vmin=0, vmax=top, edgecolors="#e4e4e4", lw=0.6)
    for (night, part), percent in np.ndenumerate(table):
        if percent > 0:
            ax.text(
                column * (part + 0.5),
                night + 0.5,
                percent_text(float(percent)),
                ha="center",
                va="center",
                fontsize=points,
                color=WHITE if percent > 0.5 * top else INK,
            )
