"""Pictures of studies. Each says what its intervals are and how many trials are behind them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from ..cause_text import MONTHS
from ..sentences import in_range
from .drawing import drawn
from .facts import NO_MODEL_ERROR, SAMPLING, chance_with_interval, facts_of
from .lines import Line, draw_lines
from .picture import Picture
from .sheet import Sample, Sheet, ruled, text_width
from .style import BLUE, BLUE_LIGHT, RUST, SOFT, WHITE, Style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from pandas import DataFrame

    from ...studies.hindcast_results import Hindcast, MonthlyRisk
    from ...studies.hindcast_scores import HindcastScores
    from ...studies.iso_risk_curve import IsoRisk, IsoRiskPoint
    from ...studies.range_result import VanRange
    from ...studies.sizing import Size
    from ...studies.sweep_result import Sweep

_RISK = "Risk of a cut-out, % of trips"


@drawn
def plot_sweep(result: Sweep, size: str, name: str) -> Picture:
    """The risk along the longest axis, a line for each combination of the others."""
    data, names = result.dataset, list(result.axes)
    along = max(names, key=lambda one: data.sizes[one], default=None)
    if along is None:
        data, along, names = data.expand_dims({"cell": ["as given"]}), "cell", ["cell"]
    others = [one for one in names if one != along]
    labels = data[along].values
    numbers = bool(np.issubdtype(labels.dtype, np.number))
    x = np.asarray(labels, dtype=float) if numbers else np.arange(len(labels), dtype=float)
    lines = []
    for place in np.ndindex(*(data.sizes[one] for one in others)):
        cell = data.isel(dict(zip(others, place, strict=True)))
        label = ", ".join(f"{one} {cell[one].item()}" for one in others)
        lines.append(Line(label, x, *(cell[key].values for key in ("risk", "risk_low", "risk_high"))))
    title = f"Risk by {along}"
    known = facts_of(*result.changed, but_for=result.axes)
    sheet = Sheet(size, title, known, name)
    said = f"{SAMPLING}, {data.attrs['trials']:,} trials each. {NO_MODEL_ERROR}"
    sheet.text(said)
    unit = data[along].attrs.get("units", "1")
    places = None if numbers else [str(one) for one in (result.labels(along) if result.axes else labels)]
    xlabel = along if unit == "1" else f"{along}, {unit}"
    draw_lines(sheet, lines, what=_RISK, places=places, xlabel=xlabel, joined=numbers)
    return sheet.finish(f"{title}. {_ends(lines)} {said} {' '.join(known)}")


def _ends(lines: list[Line]) -> str:
    """Lowest and highest of all points."""
    values = np.concatenate([line.value for line in lines])
    if not np.isfinite(values).any():
        return "Nothing was run."
    return f"From {in_range(float(np.nanmin(values)), float(np.nanmax(values)))} over all that is drawn."


@drawn
def plot_size(result: Size, size: str, name: str) -> Picture:
    """The risk of each size that was tried, and what it was to stay within."""
    tried = sorted(result.tried.items())
    ends = ([getattr(risk, end) for _, risk in tried] for end in ("value", "low", "high"))
    line = Line("", np.array([at for at, _ in tried], dtype=float), *(np.array(end) for end in ends))
    title = f"Risk by {result.path}"
    known = facts_of(result.van, result.trip, but_for=[result.path])
    sheet = Sheet(size, title, known, name)
    said = f"{SAMPLING}, {tried[0][1].trials:,} trials each. {NO_MODEL_ERROR} Found: {_found(result)}."
    sheet.text(said)
    sheet.skip(0.3)
    target: Style = {"color": RUST, "lw": 1.2, "ls": "--"}
    sheet.key([Sample(f"to stay within: {100 * result.target_risk:g} %", line=target)])
    ax = draw_lines(sheet, [line], what=_RISK, places=None, xlabel=f"{result.path}, {result.unit}".rstrip(", "))
    ax.axhline(100 * result.target_risk, label="to stay within", **target)
    return sheet.finish(f"{title}. {said} {' '.join(known)}")


def _found(result: Size) -> str:
    """The size found, and its risk with both ranges."""
    if result.value is None or result.risk is None:
        return "none"
    said = f"{result.value:g} {result.unit}".rstrip() + f", with a risk of {chance_with_interval(result.risk)}"
    if result.model_error is None:
        return said
    return f"{said}; with the model's error {in_range(*result.model_error.together(result.risk))}"


@drawn
def plot_seasons(risks: Mapping[str, MonthlyRisk], size: str, name: str) -> Picture:
    """The model's risk by month, a line for each place."""
    lines = [_by_month(place, risk.frame, ("risk", "risk_low", "risk_high")) for place, risk in risks.items()]
    first = next(iter(risks.values()))
    title = "Risk through the year" + (" by place" if len(risks) > 1 else "")
    van = first.van if all(risk.van == first.van for risk in risks.values()) else None
    known = facts_of(van, first.trip, anywhere=len(risks) > 1, any_time=True)
    sheet = Sheet(size, title, known, name)
    trials = min(int(risk.frame["trials"].min()) for risk in risks.values())
    said = f"{SAMPLING}, {first.trials:,} trials a day, {trials:,} or more a month. {NO_MODEL_ERROR}"
    sheet.text(said)
    draw_lines(sheet, lines, what=_RISK, places=list(MONTHS), xlabel="Month of the start")
    return sheet.finish(f"{title}. {_ends(lines)} {said} {' '.join(known)}")


def _by_month(place: str, frame: DataFrame, ends: tuple[str, str, str]) -> Line:
    x = np.asarray(frame.index, dtype=float) - 1
    return Line(place, x, *(frame[name].to_numpy() for name in ends))


@drawn
def plot_hindcast(result: Hindcast, size: str, name: str) -> Picture:
    """The frequency of a cut-out on measured days, by month of the start day."""
    frame = result.by_month()
    title, known = "Cut-outs on measured days", facts_of(result.van, result.trip, any_time=True)
    sheet = Sheet(size, title, known, name)
    days, trials = int(frame["start_days"].sum()), f"{result.trials} trial{'s' if result.trials > 1 else ''}"
    said = f"95 % intervals from whole years, {days:,} start days, {trials} each. {NO_MODEL_ERROR}"
    sheet.text(said)
    line = _by_month("", frame, ("frequency", "low", "high"))
    draw_lines(sheet, [line], what="Frequency of a cut-out, %", places=list(MONTHS), xlabel="Month of the start day")
    return sheet.finish(f"{title}. {_ends([line])} {said} {' '.join(known)}")


@drawn
def plot_range(result: VanRange, model: str, size: str, name: str) -> Picture:
    """The risk of the mix of customers by month, a line for each place; months that are not sold are left out."""
    mix = result.mix.sel(model=model)
    months = [str(month) for month in mix["month"].values]
    lines = []
    for site in map(str, mix["site"].values):
        cell = mix.sel(site=site).where(mix.sel(site=site)["sold"])
        lines.append(Line(site, np.arange(len(months), dtype=float), *(cell[k].values for k in _ENDS)))
    title = f"{model}: risk by month and place"
    trip = result.trip
    known = facts_of(result.models[model], trip, anywhere=True, any_time=True)
    sheet = Sheet(size, title, known, name)
    said = (
        f"All customers together, {SAMPLING}, {result.by_customer.attrs['trials']:,} trials of each kind of customer. "
        f"{NO_MODEL_ERROR}"
    )
    sheet.text(said)
    draw_lines(sheet, lines, what=_RISK, places=months, xlabel="Month of the start, where sold")
    return sheet.finish(f"{title}. {_ends(lines)} {said} {' '.join(known)}")


_ENDS = ("risk", "risk_low", "risk_high")


@drawn
def plot_iso_risk(result: IsoRisk, size: str, name: str) -> Picture:
    """The curve of panel and battery, what fits filled, what does not open; price and mass in a table below it."""
    title = f"Panel and battery for a risk within {100 * result.target_risk:g} %"
    known = facts_of(result.van, result.trip, but_for=["panel", "battery"])
    sheet = Sheet(size, title, known, name)
    said = f"Upper ends of 95 % intervals, sampling error alone, {result.trials:,} trials each. {NO_MODEL_ERROR}"
    sheet.text(said)
    sheet.skip(0.3)
    mark: Style = {"color": BLUE, "marker": "o", "ms": 6, "lw": 1.2}
    sheet.key(
        [
            Sample("fits roof and payload", line=mark),
            Sample("does not", line=mark | {"mfc": WHITE}),
            Sample("sampling error of the size", area={"color": BLUE_LIGHT, "lw": 0}),
        ]
    )
    sheet.caption("Smallest battery, Ah")
    ax = sheet.axes(2.4, left=text_width("1,000", sheet.size.note_pt) + 0.1, right=0.1, below=0.1)
    held = [p for p in result.points if p.size.value is not None]
    ax.plot([p.panel_w for p in held], [float(p.size.value or 0) for p in held], color=BLUE, lw=1.2, zorder=2)
    for p in held:
        value, low = float(p.size.value or 0), p.size.low
        if low is not None:
            ax.plot([p.panel_w] * 2, [low, value], color=BLUE_LIGHT, lw=5, solid_capstyle="butt", zorder=1)
        ax.plot(p.panel_w, value, "o", ms=6, color=BLUE, mfc=BLUE if p.fits else WHITE, zorder=3)
    ax.margins(x=0.12, y=0.15)
    ruled(ax)
    panels = [p.panel_w for p in result.points]
    low, high = min(panels), max(panels)
    room = 0.12 * (high - low or 100)
    ax.set_xlim(low - room, high + room)
    _panels_below(sheet, ax, panels)
    for p in result.points:
        sheet.text(_pair(result, p))
    return sheet.finish(f"{title}. {said} {' '.join(_pair(result, p) for p in result.points)} {' '.join(known)}")


def _pair(result: IsoRisk, p: IsoRiskPoint) -> str:
    if p.size.value is None:
        return f"{p.panel_w:g} W: {p.why_not}."
    text = f"{p.panel_w:g} W and {p.size.value:g} Ah"
    if p.cost is not None and p.mass_kg is not None:
        text += f": {p.cost.value:+,.0f} {result.currency} ({p.cost.low:+,.0f} to {p.cost.high:+,.0f})"
        text += f", {p.mass_kg.value:+.0f} kg ({p.mass_kg.low:+.0f} to {p.mass_kg.high:+.0f})"
    return f"{text}{'' if p.fits else f'; does not fit: {p.why_not}'}."


def _panels_below(sheet: Sheet, ax: Axes, panels: list[float]) -> None:
    points = sheet.size.note_pt
    low, high = ax.get_xlim()
    shown, last = [], -np.inf
    for watts in panels:
        x = (watts - low) / (high - low) * sheet.width(ax)
        wide = text_width(f"{watts:g}", points)
        if x - wide / 2 > last + 0.05:
            shown.append(watts)
            last = x + wide / 2
    ax.set_xticks(shown, [f"{watts:g}" for watts in shown])
    sheet.top += sheet.line_in
    sheet.text("Panel, W", colour=SOFT)
    sheet.skip(0.4)


@drawn
def plot_reliability(result: HindcastScores, size: str, name: str) -> Picture:
    """What happened on measured days beside the risk that was given; on the diagonal both agree."""
    table = result.reliability
    title = "Risk given and what happened"
    vans = ", ".join(map(str, dict.fromkeys(result.months["van"])))
    known = [f"Vans: {vans}.", "By month of the start day, all measured years."]
    sheet = Sheet(size, title, known, name)
    days, years = int(result.months["start_days"].sum()), int(table["years"].max())
    said = (
        f"95 % intervals from whole years; {days:,} start days of {years} years; van-months grouped by the risk given."
    )
    sheet.text(said)
    sheet.skip(0.3)
    agree: Style = {"color": SOFT, "lw": 1, "ls": "--"}
    mark: Style = {"color": BLUE, "marker": "o", "ms": 5, "lw": 1.4}
    sheet.key([Sample("a group of van-months", line=mark), Sample("as often as said", line=agree)])
    sheet.caption("Frequency of a cut-out, %")
    left = text_width("100", sheet.size.note_pt) + 0.1
    side = min(sheet.room - left - 0.1, 4.2)
    ax = sheet.axes(side, left=left, right=sheet.room - left - side, below=0.1 + sheet.line_in, scaled=False)
    ax.plot([0, 100], [0, 100], label="agree", **agree)
    x, y, low, high = (
        100 * table[k].to_numpy() for k in ("probability", "frequency", "frequency_low", "frequency_high")
    )
    errors = [np.fmax(y - low, 0), np.fmax(high - y, 0)]
    ax.errorbar(x, y, yerr=errors, capsize=3, label="groups", clip_on=False, **mark)
    ax.set(xlim=(0, 102), ylim=(0, 102), xticks=range(0, 101, 25), yticks=range(0, 101, 25))
    ruled(ax)
    sheet.text("Risk given by the model, %", colour=SOFT)
    gap = float(np.average(np.abs(x - y), weights=table["van_months"]))
    return sheet.finish(f"{title}. They lie {gap:.1f} points apart on average. {said} {' '.join(known)}")
