"""The chance that no cut-out has come by the end of each night, of one van or of several options."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

import ridethrough._core as _core

from ...engine.risk import Risk
from .drawing import drawn
from .facts import chance_with_both, chance_with_interval, facts, facts_of, spoken
from .picture import Picture
from .sheet import Sample, Sheet, broken, label_below, ruled, text_width
from .style import BLUE_LIGHT, LINES, SOFT, Style

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_TITLE = "Fridge still on, night by night"


@drawn
def draw_survival(
    risk: Risk, others: Mapping[str, Risk], label: str, size: str, name: str, *, short: bool = False
) -> Picture:
    """From 0 to 100 %, with 95 % intervals; of one van also the range with the model's error."""
    options = {label: risk, **others} if others else {"": risk}
    vans = [f"{option}: {facts_of(one.van, None)[0]}" for option, one in options.items()]
    sheet = Sheet(size, _TITLE, [*vans, *facts(risk)[2:]] if others else facts(risk, short=short), name)
    sheet.key(_samples(options))
    ranges = [] if others else _with_model_error(risk)
    floor = _floor([*(e.low for one in options.values() for e in one.survival()), *(low for low, _ in ranges)])
    starts = "the axis starts at 0" if floor == 0 else f"the axis is cut: it starts at {floor} %"
    sheet.caption(f"Trips without a cut-out so far, %, with 95 % intervals; {starts}")
    ticks = np.linspace(floor, 100, 5)
    names = [f"{tick:g}" for tick in ticks]
    left = max(text_width(text, sheet.size.note_pt) for text in names) + 0.1
    ax = sheet.axes(2.5, left=left, right=0.08, below=0.02)
    count = max(len(one.survival()) for one in options.values())
    for i, (option, one) in enumerate(options.items()):
        _line(ax, one, i, (i - (len(options) - 1) / 2) * min(0.12, 0.6 / len(options)), option)
    if not others:
        low, high = (100 * np.array(ends) for ends in zip(*ranges, strict=True))
        nights = np.arange(1, count + 1)
        style: Style = {"color": BLUE_LIGHT, "lw": 0, "zorder": 0.8, "label": "with the model's error"}
        ax.fill_between(nights, low, high, **style)
        if count == 1:
            ax.fill_between([0.9, 1.1], [low[0]] * 2, [high[0]] * 2, **style)
    ax.set(xlim=(0.5, count + 0.5), ylim=(floor, 100 + 0.02 * (100 - floor)))
    ax.set_yticks(ticks, names)
    ruled(ax)
    if floor:
        _cut_mark(sheet, ax)
    _nights_below(sheet, ax, count, risk if not others else None)
    if not others:
        return sheet.finish(spoken(risk, _TITLE, f"This van: cut-out {chance_with_interval(risk.cutout)}."))
    shown = "; ".join(f"{option}: cut-out {chance_with_both(one)}" for option, one in options.items())
    return sheet.finish(" ".join([f"{_TITLE}. {shown}.", *vans, *facts(risk)[2:]]))


def _line(ax: Axes, risk: Risk, i: int, shift: float, label: str) -> None:
    colour, dashes, mark = LINES[i % len(LINES)]
    estimates = risk.survival()
    value, low, high = (100 * np.array([getattr(e, k) for e in estimates]) for k in ("value", "low", "high"))
    errors = [np.maximum(value - low, 0), np.maximum(high - value, 0)]
    ax.errorbar(
        np.arange(1, len(value) + 1) + shift,
        value,
        yerr=errors,
        color=colour,
        ls=dashes,
        marker=mark,
        ms=5,
        lw=1.4,
        capsize=3,
        label=label,
        zorder=3,
    )


def _floor(lowest: Sequence[float]) -> int:
    """Where the axis starts [%]: at 0, or higher up where all that is drawn lies near 100 %."""
    return next((floor for floor in (98, 90, 80) if min(lowest) >= (floor + 0.1 * (100 - floor)) / 100), 0)


def _cut_mark(sheet: Sheet, ax: Axes) -> None:
    """Two strokes through the foot of the axis, which is not at 0."""
    x = -0.06 / sheet.width(ax)
    for up in (0.02, 0.05):
        ax.plot(
            [x - 0.008, x + 0.008], [up - 0.012, up + 0.012], transform=ax.transAxes, color=SOFT, lw=1, clip_on=False
        )


def _with_model_error(risk: Risk) -> list[tuple[float, float]]:
    """Range of the chance of no cut-out by each night's end."""
    ranges = []
    for night, survival in enumerate(risk.survival(), 1):
        lost = _core.wilson(risk.trials - (survival.events or 0), risk.trials)
        a, b = risk.model_error_over(night).together(lost)
        ranges.append((1 - b, 1 - a))
    # What is lost by a night is lost by all later ones: a range never narrows on the way.
    low = np.minimum.accumulate([a for a, _ in ranges])
    high = np.maximum.accumulate([b for _, b in ranges][::-1])[::-1]
    return list(zip(low.tolist(), high.tolist(), strict=True))


def _samples(options: Mapping[str, Risk]) -> list[Sample]:
    found = []
    for i, (option, risk) in enumerate(options.items()):
        colour, dashes, mark = LINES[i % len(LINES)]
        line = {"color": colour, "ls": dashes, "marker": mark, "ms": 5, "lw": 1.4}
        text = f"{option}: cut-out {chance_with_both(risk)}" if option else "trips played, 95 % interval"
        found.append(Sample(text, line=line))
    if len(options) == 1:
        found.append(Sample("with the model's error", area={"color": BLUE_LIGHT, "lw": 0}))
    return found


def _nights_below(sheet: Sheet, ax: Axes, count: int, only: Risk | None) -> None:
    """Numbers of the nights, as many as there is room for, and of a single van the per cent below them."""
    points, inch = sheet.size.note_pt, sheet.width(ax) / count
    values = [percent_text(100 * e.value) for e in only.survival()] if only else []
    wide = max(text_width(text, points) for text in [*values, str(count)]) + 0.08
    every = int(np.ceil(wide / inch))
    shown = [night for night in range(1, count + 1) if (night - 1) % every == 0]
    ax.set_xticks(range(1, count + 1), [""] * count)
    for night in shown:
        lines = [str(night), *([values[night - 1]] if values else [])]
        label_below(ax, "\n".join(lines), night, 5, points, linespacing=1.25)
    sheet.top += 0.12 + (2 if values else 1) * sheet.line_in
    said = "Nights of 24 h, from the start" + ("; below each number the % of trips without a cut-out" if values else "")
    for line in broken(said, points, sheet.room):
        sheet.text(line, points=points, colour=SOFT)


def percent_text(percent: float) -> str:
    """One decimal, and never 0 or 100 for what is only near it."""
    if 0 < percent < 0.05:
        return "<0.1"
    if 99.95 <= percent < 100:
        return ">99.9"
    return f"{percent:.0f}" if percent in (0, 100) else f"{percent:.1f}"
