"""State of charge through the trip, with the charge at which cut-outs came."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ...engine.risk import Risk
from ...model.van_parts import is_lithium
from .dates import DRIVING, PLUGGED, dates_below, dates_room, drives, nights, plan_lane, plugged, shade_nights
from .drawing import drawn
from .facts import chance_with_interval, facts, spoken
from .picture import Picture
from .sheet import Sample, Sheet, ruled, text_width
from .style import BLUE, BLUE_LIGHT, BLUE_MIDDLE, HATCH, INK, NIGHT, RUST, Style

SAMPLE, FEW = 400, 20  # failing trials looked at, at most; and those too few for quantiles
_TITLE = "State of charge, hour by hour"
_LIMIT: Style = {"color": INK, "lw": 1, "ls": "--"}


@dataclass(frozen=True)
class CutoutLevel:
    """Charge [share of full] at the end of the hour of the first cut-out.

    The middle nine tenths of the failing trips, of few all.
    """

    low: float
    high: float
    trips: int


def cutout_level(risk: Risk) -> CutoutLevel | None:
    """The charge at which first cut-outs came; None where the trials looked at have none."""
    if "cutout_cause" in risk.columns:
        trials = np.flatnonzero(risk.columns["cutout_cause"] > 0)[:SAMPLE]
    else:
        trials = np.arange(min(SAMPLE, risk.trials))
    if not len(trials):
        return None
    traced = _core.trace(risk.compiled, trials.tolist(), risk.seed, risk.precision, ["soc", "fridge_off"])
    off = traced["fridge_off"] > 0
    failed = np.flatnonzero(off.any(axis=1))
    if not len(failed):
        return None
    charge = traced["soc"][failed, off[failed].argmax(axis=1)]
    low, high = np.quantile(charge, [0.05, 0.95] if len(charge) >= FEW else [0.0, 1.0])
    return CutoutLevel(float(low), float(high), len(failed))


@drawn
def draw_charge(risk: Risk, size: str, name: str, *, short: bool = False, charge_limit: float | None = None) -> Picture:
    """The fan: median, middle half and nine tenths of the trips; with a limit of the owner's, how many go below it."""
    level = cutout_level(risk)
    sheet = Sheet(size, _TITLE, facts(risk, short=short), name)
    kept = _kept_to(risk, charge_limit)
    sheet.key(_samples(risk, level, kept))
    sheet.caption("Charge, % of full")
    left = text_width("100", sheet.size.note_pt) + 0.1
    plan_lane(sheet, risk, left)
    ax = sheet.axes(2.7, left=left, right=0.08, below=dates_room(sheet, risk))
    shade_nights(ax, risk)
    hours = np.arange(1, risk.hours + 1)  # the quantiles are those at the end of each hour
    q05, q25, q50, q75, q95 = 100 * risk.soc_quantiles([0.05, 0.25, 0.5, 0.75, 0.95])
    ax.fill_between(hours, q05, q95, color=BLUE_LIGHT, lw=0, label="90 % of trips")
    ax.fill_between(hours, q25, q75, color=BLUE_MIDDLE, lw=0, label="50 % of trips")
    ax.plot(hours, q50, color=BLUE, lw=1.8, label="median trip")
    if charge_limit is not None:
        ax.axhline(100 * charge_limit, label="charge limit", **_LIMIT)
    elif not is_lithium(risk.van):
        ax.axhline(50, label="half charge", **_LIMIT)
    if level is not None:
        style: Style = {"facecolor": "none", "edgecolor": RUST, "hatch": HATCH, "lw": 0.8}
        ax.axhspan(100 * level.low, 100 * level.high, zorder=2.5, label="cut-outs", **style)
    ax.set(ylim=(0, 102), yticks=range(0, 101, 25))
    ruled(ax)
    dates_below(sheet, ax, risk)
    shown = _shown(risk, q05, q50, level)
    return sheet.finish(spoken(risk, _TITLE, f"{shown} {kept[:1].upper()}{kept[1:]}." if kept else shown))


def _kept_to(risk: Risk, charge_limit: float | None) -> str:
    """How many trips go below the owner's limit."""
    if charge_limit is None:
        return ""
    below = chance_with_interval(risk.below_soc(charge_limit))
    return f"the {100 * charge_limit:g} % that you keep to; below it at some time: {below}"


def _samples(risk: Risk, level: CutoutLevel | None, kept: str) -> list[Sample]:
    found = [
        Sample("middling charge (median of the trips)", line={"color": BLUE, "lw": 1.8}),
        Sample("middle half", area={"color": BLUE_MIDDLE, "lw": 0}),
        Sample("middle 9 in 10", area={"color": BLUE_LIGHT, "lw": 0}),
    ]
    if nights(risk):
        found.append(Sample("night", area={"color": NIGHT, "lw": 0}))
    if drives(risk):
        found.append(Sample("driving", area=DRIVING))
    if plugged(risk):
        found.append(Sample("plugged in", area=PLUGGED))
    if kept:
        found.append(Sample(kept, line=_LIMIT))
    elif not is_lithium(risk.van):
        found.append(Sample("half charge: below it lead-acid wears faster", line=_LIMIT))
    style = {"facecolor": "none", "edgecolor": RUST, "hatch": HATCH, "linewidth": 0.8}
    return [*found, Sample(_level_text(risk, level), area=style if level else None)]


def _level_text(risk: Risk, level: CutoutLevel | None) -> str:
    volts = f"{_volts(risk)} V at the fridge"
    if level is None:
        return f"cut-out at {volts}: reached in none of the trips looked at"
    low, high = round(100 * level.low), round(100 * level.high)
    at = f"{high} %" if low == high else f"{low} to {high} %"
    of = f"9 in 10 of {level.trips} failing trips"
    if level.trips < FEW:
        of = "the one failing trip" if level.trips == 1 else f"all {level.trips} failing trips"
    return f"where the first cut-out came ({volts} or the battery's own): at {at} charge in {of}"


def _volts(risk: Risk) -> str:
    cutout = risk.van.fridge.cutout_v
    return f"{cutout:g}" if isinstance(cutout, (int, float)) else f"about {cutout.mean():.3g}"


def _shown(risk: Risk, q05: NDArray[np.float64], q50: NDArray[np.float64], level: CutoutLevel | None) -> str:
    said = _level_text(risk, level)
    return (
        f"The middling charge (median of the trips) falls to {q50.min():.0f} % at the lowest and ends at "
        f"{q50[-1]:.0f} %; one trip in twenty is at or below {q05.min():.0f} % at some hour. "
        f"{said[:1].upper()}{said[1:]}."
    )
