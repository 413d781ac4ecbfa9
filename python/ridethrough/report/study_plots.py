"""Pictures of studies. Every title says what the intervals are and how many trials are behind them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .plots import axes_or_new

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import ArrayLike

    from ..studies.hindcast_results import Hindcast, MonthlyRisk
    from ..studies.sizing import Size
    from ..studies.sweep_result import Sweep

_MOST_LINES = 12
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def plot_sweep(result: Sweep, ax: Axes | None = None) -> Axes:
    """The risk along the longest axis, a line for each combination of the others."""
    ax = axes_or_new(ax, (7, 4.4))
    data, names = result.dataset, list(result.axes)
    along = max(names, key=lambda name: data.sizes[name], default=None)
    if along is None:
        data, along = data.expand_dims({"cell": ["as given"]}), "cell"
        names = ["cell"]
    others = [name for name in names if name != along]
    labels = data[along].values
    numbers = np.issubdtype(labels.dtype, np.number)
    x = labels if numbers else np.arange(len(labels))
    places = list(np.ndindex(*(data.sizes[name] for name in others)))
    for place in places[:_MOST_LINES]:
        cell = data.isel(dict(zip(others, place, strict=True)))
        label = ", ".join(f"{name} {cell[name].item()}" for name in others)
        _interval_line(ax, x, cell["risk"].values, cell["risk_low"].values, cell["risk_high"].values, label)
    if not numbers:
        ax.set_xticks(x, [str(label) for label in (result.labels(along) if result.axes else labels)])
    left_out = f"; {len(places) - _MOST_LINES} more lines are left out" if len(places) > _MOST_LINES else ""
    unit = data[along].attrs.get("units", "1")
    ax.set(xlabel=along if unit == "1" else f"{along}, {unit}", ylabel="risk of a cut-out, %")
    if others:
        ax.legend(fontsize="small")
    return _titled(ax, f"Risk, 95 % intervals of sampling error alone, {data.attrs['trials']:,} trials each{left_out}")


def plot_size(result: Size, ax: Axes | None = None) -> Axes:
    """The risk of each size that was tried, and what it was to stay within."""
    ax = axes_or_new(ax, (6.5, 4.2))
    tried = sorted(result.tried.items())
    value, low, high = ([getattr(risk, end) for _, risk in tried] for end in ("value", "low", "high"))
    _interval_line(ax, [size for size, _ in tried], value, low, high, "")
    ax.axhline(100 * result.target_risk, color="0.35", lw=1, ls="--", label="to stay within")
    ax.legend(fontsize="small")
    ax.set(xlabel=f"{result.path}, {result.unit}", ylabel="risk of a cut-out, %")
    return _titled(ax, f"Risk, 95 % intervals of sampling error alone, {tried[0][1].trials:,} trials each")


def plot_monthly_risk(result: MonthlyRisk, ax: Axes | None = None) -> Axes:
    """The model's risk by month."""
    ax, frame = axes_or_new(ax, (6.5, 4.2)), result.frame
    _interval_line(ax, frame.index, frame["risk"], frame["risk_low"], frame["risk_high"], "model")
    _months(ax, "risk of a cut-out, %")
    return _titled(ax, f"Risk, 95 % intervals of sampling error alone, {int(frame['trials'].min()):,} trials a month")


def plot_hindcast(result: Hindcast, ax: Axes | None = None) -> Axes:
    """The frequency of a cut-out on measured days, by month of the start day."""
    ax, frame = axes_or_new(ax, (6.5, 4.2)), result.by_month()
    _interval_line(ax, frame.index, frame["frequency"], frame["low"], frame["high"], "measured days")
    _months(ax, "frequency of a cut-out, %")
    return _titled(ax, f"Frequency, 95 % intervals from whole years, {int(frame['start_days'].sum()):,} start days")


def _interval_line(ax: Axes, x: ArrayLike, value: ArrayLike, low: ArrayLike, high: ArrayLike, label: str) -> None:
    centre, bottom, top = (100 * np.asarray(part, dtype=float) for part in (value, low, high))
    ax.errorbar(
        np.asarray(x),
        centre,
        yerr=[centre - bottom, top - centre],
        fmt="o-",
        ms=4,
        lw=1.2,
        capsize=3,
        label=label or None,
    )
    ax.grid(axis="y", color="0.9")


def _months(ax: Axes, what: str) -> None:
    ax.set_xticks(range(1, 13), _MONTHS)
    ax.set(xlim=(0.5, 12.5), ylabel=what)


def _titled(ax: Axes, text: str) -> Axes:
    ax.set_ylim(bottom=min(0.0, ax.get_ylim()[0]))
    ax.set_title(text, loc="left", fontsize="medium")
    return ax
