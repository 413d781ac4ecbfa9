"""The risk of other panels and batteries, with what each pair costs and weighs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ...engine.risk import Risk
from ..sentences import in_range, percent
from .drawing import drawn
from .facts import NO_MODEL_ERROR, facts, spoken
from .picture import Picture
from .sheet import Sheet, text_width
from .style import BLUE, INK, RUST, SOFT, WHITE

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ...studies.size_map import SizeCell, SizeMap

_TITLE = "Risk by panel and battery"


@drawn
def draw_sizes(risk: Risk, found: SizeMap, size: str, name: str) -> Picture:
    """A square for each pair: risk, its interval, cost and mass."""
    sheet = Sheet(size, _TITLE, facts(risk), name)
    trials = found.cells[0].risk.trials
    money = found.prices.currency
    said = (
        f"In each square: the chance of a cut-out in the first {trials:,} trips, its 95 % interval, cost ({money}) "
        f"and mass (kg) beyond the van as it is. {NO_MODEL_ERROR} Framed: as it is."
    )
    sheet.text(said)
    sheet.skip(0.4)
    points = sheet.size.note_pt
    names = [f"{ah:g} Ah" for ah in found.batteries_ah]
    left = max(text_width(text, points) for text in names) + 0.1
    columns = len(found.panels_w)
    texts = [_lines(cell, wide=True) for cell in found.cells]
    room = (sheet.room - left) / columns - 0.06
    if max(text_width(line, 0.92 * points) for lines in texts for line in lines) > room:
        texts = [_lines(cell, wide=False) for cell in found.cells]
    small = 0.92 * points * min(1.0, room / max(text_width(line, 0.92 * points) for lines in texts for line in lines))
    high = 1.25 * 4 * points / 72 + 0.1
    several = len(risk.van.batteries) > 1 or len(risk.van.arrays) > 1
    sheet.caption("Battery, Ah, by panel, W" + ("; of several the first is changed" if several else ""))
    ax = sheet.axes(high * len(names), left=left, below=0.06 + sheet.line_in, scaled=False)
    _squares(ax, found, texts, small)
    ax.set_yticks(np.arange(len(names)) + 0.5, names)
    ax.set_xticks(np.arange(columns) + 0.5, [f"{watts:g} W" for watts in found.panels_w])
    ax.set(xlim=(0, columns), ylim=(len(names), 0))
    ax.tick_params(left=False, bottom=False, labelcolor=INK)
    ax.spines[:].set_visible(False)
    sheet.text(
        f"Usual prices of {found.prices.year}, most from memory; in ranges: 90 of 100 draws. The same trips for "
        "all pairs.",
        colour=SOFT,
    )
    best = min(found.cells, key=lambda cell: (cell.risk.high, cell.cost.value))
    shown = (
        f"The least risk drawn is {_risk(best)} ({in_range(best.risk.low, best.risk.high)}, {trials:,} trips) with "
        f"{best.panel_w:g} W and {best.battery_ah:g} Ah."
    )
    return sheet.finish(spoken(risk, _TITLE, shown))


def _risk(cell: SizeCell) -> str:
    if not cell.risk.events:
        return "none"
    share = cell.risk.value
    return percent(share) if 0.095 <= share <= 0.99 else f"{100 * share:.2g} %"


def _lines(cell: SizeCell, *, wide: bool) -> list[str]:
    reach = in_range(cell.risk.low, cell.risk.high) if cell.risk.events else f"at most {100 * cell.risk.high:.2g} %"
    if cell.present:
        return [_risk(cell), reach, "as it is"]
    cost, mass = f"{cell.cost.value:+,.0f}", f"{cell.mass_kg.value:+.0f} kg"
    if wide:
        cost += f" ({cell.cost.low:+,.0f} to {cell.cost.high:+,.0f})"
    return [_risk(cell), reach, cost, mass]


def _squares(ax: Axes, found: SizeMap, texts: list[list[str]], points: float) -> None:
    from matplotlib.colors import LinearSegmentedColormap

    columns = len(found.panels_w)
    values = np.array([100 * cell.risk.value for cell in found.cells]).reshape(-1, columns)
    shades = LinearSegmentedColormap.from_list("ridethrough", [WHITE, BLUE])
    ax.pcolormesh(values, cmap=shades, vmin=0, vmax=100, edgecolors="#d4d4d4", lw=0.6)
    for i, (cell, lines) in enumerate(zip(found.cells, texts, strict=True)):
        row, column = divmod(i, columns)
        colour = WHITE if cell.risk.value > 0.5 else INK
        ax.text(
            column + 0.5,
            row + 0.5,
            "\n".join(lines),
            ha="center",
            va="center",
            fontsize=points,
            color=colour,
            linespacing=1.25,
        )
        if cell.present:
            ax.plot(
                [column + 0.02, column + 0.98, column + 0.98, column + 0.02, column + 0.02],
                [row + 0.03, row + 0.03, row + 0.97, row + 0.97, row + 0.03],
                color=RUST,
                lw=2,
            )
