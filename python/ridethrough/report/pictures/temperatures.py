"""Temperature in the fridge and in the cabin, hour by hour, with the 5 degC of food."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ...engine.risk import Risk
from ...model.values import mean_value
from .dates import dates_below, dates_room, nights, shade_nights
from .drawing import drawn
from .facts import facts, spoken
from .picture import Picture
from .sheet import Sample, Sheet, ruled, text_width
from .style import BLUE, BLUE_LIGHT, BLUE_MIDDLE, INK, NIGHT, RUST, SOFT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SAMPLE = 512  # trials looked at
FOOD_C, COLD_C = 5.0, 10.0  # of the verdict's outcomes: food, and people in the cabin
_TITLE = "Fridge and cabin temperature"
_SHARES = [0.05, 0.25, 0.5, 0.75, 0.95]


def temperature_quantiles(risk: Risk) -> dict[str, NDArray[np.float64]]:
    """Quantiles of the first trials by hour [degC]; shape (5, hours) each."""
    trials = list(range(min(SAMPLE, risk.trials)))
    names = ["fridge_c", "cabin_c", "air_c"]
    traced = _core.trace(risk.compiled, trials, risk.seed, risk.precision, names)
    return {name: np.quantile(traced[name], _SHARES, axis=0) for name in names}


@drawn
def draw_temperatures(risk: Risk, size: str, name: str) -> Picture:
    """Two drawings over one axis of time."""
    from matplotlib.ticker import MaxNLocator

    found = temperature_quantiles(risk)
    sheet = Sheet(size, _TITLE, facts(risk), name)
    samples = [
        Sample("middling (median of the trips)", line={"color": BLUE, "lw": 1.6}),
        Sample("middle half", area={"color": BLUE_MIDDLE, "lw": 0}),
        Sample("middle 9 in 10", area={"color": BLUE_LIGHT, "lw": 0}),
        Sample("5 degC: food keeps below it", line={"color": RUST, "lw": 1.2, "ls": "--"}),
        Sample("outdoors, middling", line={"color": INK, "lw": 1.2, "ls": ":"}),
    ]
    sheet.key([*samples, *([Sample("night", area={"color": NIGHT, "lw": 0})] if nights(risk) else [])])
    left = max(text_width(text, sheet.size.note_pt) for text in ("-20", "40")) + 0.1
    set_point = mean_value(risk.van.fridge.set_point_c)
    sheet.caption(f"Inside the fridge, degC; set to {set_point:.3g} degC")
    fridge = sheet.axes(1.7, left=left, right=0.08, below=0.12)
    sheet.caption("In the cabin, degC")
    cabin = sheet.axes(1.7, left=left, right=0.08, below=dates_room(sheet, risk))
    for ax, series in ((fridge, "fridge_c"), (cabin, "cabin_c")):
        shade_nights(ax, risk)
        _fan(ax, found[series], risk.hours)
        ruled(ax)
    fridge.axhline(FOOD_C, color=RUST, lw=1.2, ls="--", label="5 degC")
    hours = np.arange(1, risk.hours + 1)
    cabin.plot(hours - 0.5, found["air_c"][2], color=INK, lw=1.2, ls=":", label="outdoors")
    for ax in (fridge, cabin):
        ax.yaxis.set_major_locator(MaxNLocator(5, integer=True))
    low, high = fridge.get_ylim()
    fridge.set_ylim(min(low, 0.0), max(high, FOOD_C + 2))
    dates_below(sheet, cabin, risk)
    fridge.set(xlim=(0, risk.hours))
    fridge.set_xticks(cabin.get_xticks(), [""] * len(cabin.get_xticks()))
    sheet.text(
        f"Of the first {min(SAMPLE, risk.trials):,} trips. What each hour shows is not one trip's course.", colour=SOFT
    )
    return sheet.finish(spoken(risk, _TITLE, _shown(found)))


def _fan(ax: Axes, quantiles: NDArray[np.float64], hours: int) -> None:
    q05, q25, q50, q75, q95 = quantiles
    at = np.arange(1, hours + 1)
    ax.fill_between(at, q05, q95, color=BLUE_LIGHT, lw=0, label="90 % of trips")
    ax.fill_between(at, q25, q75, color=BLUE_MIDDLE, lw=0, label="50 % of trips")
    ax.plot(at, q50, color=BLUE, lw=1.6, label="median trip")


def _shown(found: dict[str, NDArray[np.float64]]) -> str:
    fridge, cabin = found["fridge_c"], found["cabin_c"]
    return (
        f"The middling trip (median) has the fridge at {_degrees(fridge[2])}; one trip in twenty is at "
        f"{fridge[4].max():.0f} degC or warmer at some hour. The cabin is at {_degrees(cabin[2])}."
    )


def _degrees(hours: NDArray[np.float64]) -> str:
    """Lowest and highest of a course, which are one figure where it hardly moves."""
    return f"{' to '.join(dict.fromkeys((f'{hours.min():.0f}', f'{hours.max():.0f}')))} degC"
