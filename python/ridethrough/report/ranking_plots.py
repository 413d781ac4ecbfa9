"""Pictures of rankings and comparisons, a row each. Titles say what the intervals are and how many trials they have."""

from __future__ import annotations

from typing import TYPE_CHECKING

import ridethrough._core as _core

from ..studies.sensitivity_indices import METHODS
from .comparison_report import describe_difference
from .row_plots import Row, draw_rows
from .sentences import NONE_SHOWN
from .upgrade_report import PAIRS_TOLD, describe_cost_and_mass

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ..studies.comparison_result import Comparison
    from ..studies.sensitivity_ranking import Sensitivity
    from ..studies.upgrade_result import Upgrade, Upgrades


def plot_sensitivity(result: Sensitivity, ax: Axes | None = None) -> Axes:
    """Inputs, the most important first, with what is known of each."""
    data = result.dataset
    about = data.attrs
    key, other = METHODS[str(about["method"])]
    sobol = key == "total"

    rows = [
        Row(
            name,
            result.interval(key, i),
            note=f"{data['spread'][i].item()} {data['unit'][i].item()}".strip(),
            filled=name in result.measure_first,
            second=result.interval(other if sobol else "mu_star_noise", i),
        )
        for i, name in enumerate(result.ranking)
    ]
    outcome, unit = about["outcome"], data[key].attrs["units"]
    first = "filled: measure first" if result.measure_first else "none stands out of the noise"
    if sobol:
        label = f"share of the variance of {outcome}"
        marks = "circle: with all its interactions; diamond: the input alone"
    else:
        label = f"mean size of the change of {outcome} across the input's middle 98 %"
        marks = "stroke: what noise alone makes"
    title = (
        f"What {outcome} hangs on, 95 % intervals from resampling {about['points']:,} points, each of "
        f"2 x {about['trials']:,} trials\n{first}; {marks}"
    )
    label = label if unit == "1" else f"{label}, {unit}"
    return draw_rows(ax, rows, title=title, xlabel=label, second_marker="D" if sobol else "|", zero=True)


def plot_upgrades(result: Upgrades, ax: Axes | None = None) -> Axes:
    """Changes in the order of the report, with what each costs and weighs."""
    groups = {
        "Free, or lighter than now": result.first,
        f"To be bought, by points per 100 {result.prices.currency}": result.paid,
        "Pairs that take off most": tuple(e for e in result.pairs if e.shown)[:PAIRS_TOLD],
        "More risk than now": result.worse,
    }
    rows = []
    for head, entries in groups.items():
        rows += [Row(head)] if entries else []
        rows += [_upgrade_row(result, e) for e in entries]
    title = (
        "Change of the risk of a cut-out on the same trials, 95 % intervals; now "
        f"{_core.estimate_text(result.base.cutout)}\n"
        f"open: {NONE_SHOWN}; in brackets 90 of 100 draws of prices of {result.prices.year}"
    )
    return draw_rows(ax, rows, title=title, xlabel="change of the risk, points; left: less risk", zero=True)


def _upgrade_row(result: Upgrades, e: Upgrade) -> Row:
    less = e.removed
    change = (-100 * less.value, -100 * less.high, -100 * less.low)
    return Row(e.name, change, describe_cost_and_mass(result, e), filled=not less.low <= 0 <= less.high)


def plot_comparison(result: Comparison, ax: Axes | None = None) -> Axes:
    """The risk of each van on each trip, and how it differs from the base's."""
    trips = list(dict.fromkeys(trip for _, trip in result.risks))
    rows = []
    for trip in trips:
        rows += [Row(trip)] if len(trips) > 1 else []
        rows += [_van_row(result, van, trip) for van in (result.base_name, *result.cost)]
    trials = result.risks[result.base_name, trips[0]].trials
    title = (
        f"Risk of a cut-out, 95 % intervals of sampling error alone, {trials:,} trials each\n"
        f"open: {NONE_SHOWN} from the base"
    )
    ax = draw_rows(ax, rows, title=title, xlabel="risk of a cut-out, % of trips")
    ax.set_xlim(left=min(0.0, ax.get_xlim()[0]))
    return ax


def _van_row(result: Comparison, van: str, trip: str) -> Row:
    risk = result.risks[van, trip].cutout
    interval = (100 * risk.value, 100 * risk.low, 100 * risk.high)
    if van == result.base_name:
        return Row(van, interval)
    outcome = result.differences[van, trip]["risk"]
    return Row(van, interval, describe_difference(outcome), filled=outcome.shown)
