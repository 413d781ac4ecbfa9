"""Pictures of a risk. Every title carries the probability with its interval and trials; needs matplotlib."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.clocks import clock_hours, since_start
from ..model.errors import missing_package, unknown_name
from ..model.van_parts import is_lithium

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ..engine.risk import Risk
    from ..studies.iso_risk_curve import IsoRisk

BLUE = "#1f5a94"
_NIGHT = "0.90"
_SUNRISE_COS_ZENITH = -0.0145  # the Sun's upper edge on the horizon: 50' below it (34' refraction, 16' radius)


class RiskPlots:
    """What ``risk.plot`` offers. Each takes an optional matplotlib ``ax`` and returns the one it drew on.

    ``risk.plot()`` is ``risk.plot.charge()``; ``risk.plot("survival")`` is ``risk.plot.survival()``.
    """

    def __init__(self, risk: Risk) -> None:
        self._risk = risk

    def __call__(self, kind: str = "charge", ax: Axes | None = None) -> Axes:
        """The picture of this kind."""
        kinds = [name for name in vars(RiskPlots) if not name.startswith("_")]
        if kind not in kinds:
            raise unknown_name("kind", kind, kinds, "there is no such picture")
        drawn: Axes = getattr(self, kind)(ax)
        return drawn

    def charge(self, ax: Axes | None = None) -> Axes:
        """Fan chart: state of charge [% of full] by clock time, median with the middle 50 % and 90 % of trips."""
        risk, ax = self._risk, axes_or_new(ax, (9, 4.5))
        hours = np.arange(1, risk.hours + 1)  # the quantiles are those at the end of each hour
        q05, q25, q50, q75, q95 = 100 * risk.soc_quantiles([0.05, 0.25, 0.5, 0.75, 0.95])
        for low, high in _nights(risk):
            ax.axvspan(low, high, color=_NIGHT, lw=0, zorder=0)
        ax.fill_between(hours, q05, q95, color=BLUE, alpha=0.20, lw=0, label="90 % of trips")
        ax.fill_between(hours, q25, q75, color=BLUE, alpha=0.35, lw=0, label="50 % of trips")
        ax.plot(hours, q50, color=BLUE, lw=1.8, label="median trip")
        if not is_lithium(risk.van):
            ax.axhline(50, color="0.35", lw=1, ls="--", label="half charge (below it, lead-acid wears faster)")
        for label, colour, spans in (("driving", "#c55a11", _drives(risk)), ("plugged in", "#2e7d32", _plugged(risk))):
            for i, (low, high) in enumerate(spans):
                ax.plot(
                    [low, high],
                    [101.5, 101.5],
                    color=colour,
                    lw=4,
                    solid_capstyle="butt",
                    label=label if i == 0 else None,
                )
        ax.set(xlim=(0, risk.hours), ylim=(0, 104), ylabel="charge, % of full", xlabel=_clock_ticks(ax, risk))
        ax.legend(loc="lower left", fontsize="small", framealpha=0.9)
        return _titled(ax, risk, "State of charge (grey: night)")

    def survival(self, ax: Axes | None = None, label: str = "") -> Axes:
        """Chance that the fridge has had no cut-out by each night's end, with 95 % intervals.

        Give the same ``ax`` again, and a ``label`` each time, to lay several vans over one another.
        """
        risk, ax = self._risk, axes_or_new(ax, (6.5, 4.2))
        others = len(ax.containers)
        estimates = risk.survival()
        nights = np.arange(1, len(estimates) + 1)
        value, low, high = (100 * np.array([getattr(e, k) for e in estimates]) for k in ("value", "low", "high"))
        floor = max(0.0, 10 * np.floor(low.min() / 10) - 10)
        floor = min(floor, ax.get_ylim()[0]) if others else floor
        line = ax.errorbar(
            nights, value, yerr=[value - low, high - value], fmt="o-", ms=5, lw=1.5, capsize=4, label=label or None
        )
        colour = line[0].get_color()
        if label:
            ax.annotate(
                _percent(value[-1]),
                (nights[-1], value[-1]),
                (8, 0),
                va="center",
                textcoords="offset points",
                fontsize="small",
                color=colour,
            )
        elif len(nights) <= 14:
            for night, percent, under in zip(nights, value, low, strict=True):
                ax.annotate(
                    _percent(percent),
                    (night, under),
                    (0, -14),
                    ha="center",
                    textcoords="offset points",
                    fontsize="small",
                    color=colour,
                )
        ax.set(
            xlim=(0.5, len(nights) + 0.5),
            ylim=(floor, 102),
            xlabel="nights (24 h each, from the start)",
            ylabel="no cut-out so far, % of trips",
        )
        ax.set_xticks(nights[:: -(-len(nights) // 15)])
        ax.grid(axis="y", color="0.9")
        if label:
            ax.legend(loc="lower left", fontsize="small")
        return _titled(ax, risk, "Still running", label)

    def clock(self, ax: Axes | None = None) -> Axes:
        """Heat map of the first cut-out: night by clock hour [% of all trips]; a night runs from noon to noon."""
        risk = self._risk
        table = 100 * np.roll(risk.cutouts_by_night(), -12, axis=1) / risk.trials
        names = [f"night {n + 1}" for n in range(risk.nights)] + ["last day"]
        if not table[-1].any():
            table, names = table[:-1], names[:-1]
        ax = axes_or_new(ax, (10, 1.6 + (0.42 if len(names) <= 15 else 0.24) * len(names)))
        top = max(float(table.max()), 1e-9)
        ax.pcolormesh(
            np.arange(25), np.arange(len(names) + 1), table, cmap="Blues", vmin=0, vmax=top, edgecolors="white", lw=1
        )
        for (night, hour), percent in np.ndenumerate(table):
            if percent > 0:
                ax.text(
                    hour + 0.5,
                    night + 0.5,
                    _percent(percent),
                    ha="center",
                    va="center",
                    fontsize=7,
                    color="white" if percent > 0.6 * top else "0.15",
                )
        for night, percent in enumerate(table.sum(axis=1)):
            ax.text(24.3, night + 0.5, f"{_percent(percent)} %", va="center", fontsize="small")
        ax.set_yticks(np.arange(len(names)) + 0.5, names)
        ax.set_xticks(np.arange(25)[::3], [f"{(12 + h) % 24:02d}:00" for h in range(25)[::3]])
        ax.set(xlim=(0, 24), ylim=(len(names), 0), xlabel="clock time of the first cut-out; numbers are % of all trips")
        ax.tick_params(left=False)
        ax.spines[:].set_visible(False)
        return _titled(ax, risk, "When the fridge first drops out")


def plot_iso_risk(result: IsoRisk, ax: Axes | None = None) -> Axes:
    """The curve of panel and battery, what fits filled, what does not open."""
    ax = axes_or_new(ax, (6.5, 4.4))
    held = [p for p in result.points if p.size.value is not None]
    ax.plot([p.panel_w for p in held], [float(p.size.value or 0) for p in held], color=BLUE, lw=1.2, zorder=1)
    for p in held:
        value, low = float(p.size.value or 0), p.size.low
        if low is not None:
            ax.plot([p.panel_w, p.panel_w], [low, value], color=BLUE, lw=4, alpha=0.3)
        ax.plot(p.panel_w, value, "o", ms=6, color=BLUE, mfc=BLUE if p.fits else "white", zorder=2)
        if p.cost:
            ax.annotate(
                f"{p.cost.value:+,.0f} {result.currency}\n{p.mass_kg.value if p.mass_kg else 0:+.0f} kg",
                (p.panel_w, value),
                (6, 6),
                textcoords="offset points",
                fontsize="x-small",
            )
    ax.set(xlabel="panel, W", ylabel="battery, Ah")
    ax.margins(x=0.18, y=0.15)
    ax.grid(color="0.92")
    ax.set_title(
        f"Risk within {100 * result.target_risk:g} % (upper end of the 95 % interval, {result.trials:,} trials each)\n"
        "filled: fits roof and payload; open: does not",
        loc="left",
        fontsize="medium",
    )
    return ax


def axes_or_new(ax: Axes | None, size: tuple[float, float]) -> Axes:
    """The axes given, or those of a new figure [in]."""
    if ax is not None:
        return ax
    try:
        import matplotlib.pyplot as plt
    except ImportError:
        raise missing_package("pictures need matplotlib", "pip install '.[plot]' in a checkout") from None
    return plt.subplots(figsize=size, layout="constrained")[1]


def _titled(ax: Axes, risk: Risk, what: str, label: str = "") -> Axes:
    """A title for one risk; with labels, a line for each of those on the same picture."""
    line = f"{label + ': ' if label else ''}cut-out {_core.estimate_text(risk.cutout)}"
    before = ax.get_title(loc="left")
    ax.set_title(f"{before}\n{line}" if label and before else f"{what}\n{line}", loc="left", fontsize="medium")
    return ax


def _percent(percent: float) -> str:
    """One decimal, and never 0 or 100 for what is only near it."""
    if 0 < percent < 0.05:
        return "<0.1"
    return ">99.9" if 99.95 <= percent < 100 else f"{percent:.1f}"


def _nights(risk: Risk) -> list[tuple[float, float]]:
    """Spans of hours since the start with the Sun below the horizon, to 5 minutes."""
    steps = np.arange(12 * risk.hours + 1) / 12
    day0 = date.fromisoformat(risk.compiled.start_date)
    start = 24 * _core.day_number(day0.year, day0.month, day0.day) + risk.start_hour
    utc = start - risk.clock.utc_offset_h + steps
    night = clock_hours(risk.compiled, steps) // 24 + 1
    dark = np.zeros(len(steps), dtype=bool)
    for place in risk.places:  # a later place takes the days from its first on
        cos_zenith = _core.sun_position(utc, place.site.latitude, place.site.longitude)[0]
        dark = np.where(night >= place.first_night, cos_zenith < _SUNRISE_COS_ZENITH, dark)
    return _spans(steps, dark)


def _spans(steps: NDArray[np.float64], holds: NDArray[np.bool_]) -> list[tuple[float, float]]:
    edges = np.diff(np.concatenate([[False], holds, [False]]).astype(int))
    starts = np.flatnonzero(edges == 1)
    ends = np.minimum(np.flatnonzero(edges == -1), len(steps) - 1)
    return list(zip(steps[starts].tolist(), steps[ends].tolist(), strict=True))


def _drives(risk: Risk) -> list[tuple[float, float]]:
    """Drives that charge."""
    if not risk.van.dc_dc:
        return []
    return _planned(risk, "drive") if risk.van.towed else _planned(risk, "drive", "day_trip")  # in the car alone


def _plugged(risk: Risk) -> list[tuple[float, float]]:
    return _planned(risk, "shore_power") if risk.van.mains else []


def _planned(risk: Risk, *kinds: str) -> list[tuple[float, float]]:
    return [(i.begin_h, i.end_h) for i in risk.compiled.schedule if i.kind in kinds]


def _clock_ticks(ax: Axes, risk: Risk) -> str:
    """Dates at midnight, fine ticks every six hours; returns the axis label."""
    end = float(clock_hours(risk.compiled, risk.hours))
    midnights = since_start(risk.compiled, np.arange(24, end + 1, 24))
    every = max(1, -(-len(midnights) // 12))
    day0 = date.fromisoformat(risk.compiled.start_date)
    dates = [day0 + timedelta(days=1 + i) for i in range(len(midnights))]
    ax.set_xticks(midnights[::every], [f"{d:%a} {d.day} {d:%b}" for d in dates[::every]])
    if risk.hours <= 24 * 14:
        clock = np.arange(6 * np.ceil(risk.start_hour / 6), end + 1, 6)
        clock = clock[(clock % 24 != 0) | (clock < 24)]
        labels = [f"{h % 24:02.0f}:00" if risk.hours <= 24 * 4 else "" for h in clock]
        ax.set_xticks(since_start(risk.compiled, clock), labels, minor=True, fontsize="x-small")
    return f"local clock; a date stands at its midnight; start {day0:%Y-%m-%d} {risk.start_hour:02.0f}:00"
