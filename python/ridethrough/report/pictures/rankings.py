"""Pictures of rankings and comparisons, a row each. They say what the intervals are and how many trials they have."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...studies.sensitivity_indices import METHODS
from ..comparison_report import describe_difference
from ..sentences import NONE_SHOWN
from ..upgrade_report import describe_cost_and_mass
from .drawing import drawn
from .facts import NO_MODEL_ERROR, SAMPLING, chance_with_interval, facts, facts_of
from .picture import Picture
from .rows import Row, draw_rows
from .sheet import Sheet

if TYPE_CHECKING:
    from ...studies.comparison_result import Comparison
    from ...studies.sensitivity_ranking import Sensitivity
    from ...studies.upgrade_result import Upgrade, Upgrades

_PAIRS = 3  # of those that take off most
_DESCRIBED = 4  # vans of a comparison that are told with their parts; more of them go by their names


@drawn
def plot_sensitivity(result: Sensitivity, size: str, name: str) -> Picture:
    """Inputs, the most important first, with what is known of each."""
    data = result.dataset
    about = data.attrs
    key, other = METHODS[str(about["method"])]
    sobol = key == "total"
    rows = [
        Row(
            input_name,
            result.interval(key, i),
            note=f"{data['spread'][i].item()} {data['unit'][i].item()}".strip(),
            filled=input_name in result.measure_first,
            second=result.interval(other if sobol else "mu_star_noise", i),
        )
        for i, input_name in enumerate(result.ranking)
    ]
    outcome, unit = about["outcome"], data[key].attrs["units"]
    first = "Filled: measure first" if result.measure_first else "None stands out of the noise"
    if sobol:
        label = f"share of the variance of {outcome}"
        marks = "circle: with all its interactions; diamond: the input alone"
    else:
        label = f"mean size of the change of {outcome} across the input's middle 98 %"
        marks = "stroke: what noise alone makes"
    label = label if unit == "1" else f"{label}, {unit}"
    title = f"What {outcome} hangs on"
    known = facts_of(result.van, result.trip, but_for=["the inputs below"])
    sheet = Sheet(size, title, known, name)
    said = (
        f"95 % intervals from resampling {about['points']:,} points, each of 2 x {about['trials']:,} trials. "
        f"{NO_MODEL_ERROR}"
    )
    sheet.text(said)
    sheet.text(f"{first}; {marks}.")
    draw_rows(sheet, rows, xlabel=label[:1].upper() + label[1:], second_marker="D" if sobol else "|", zero=True)
    return sheet.finish(f"{title}. {said} {result.advice} {' '.join(known)}")


@drawn
def plot_upgrades(result: Upgrades, size: str, name: str) -> Picture:
    """Changes in the order of the report, with what each costs and weighs."""
    groups = {
        "Free, or lighter than now": result.first,
        f"To be bought, by points per 100 {result.prices.currency}": result.paid,
        "Pairs that take off most": tuple(e for e in result.pairs if e.shown)[:_PAIRS],
        "More risk than now": result.worse,
    }
    rows = []
    for head, entries in groups.items():
        rows += [Row(head)] if entries else []
        rows += [_upgrade_row(result, e) for e in entries]
    title = "Changes ranked by the risk they take off"
    sheet = Sheet(size, title, facts(result.base), name)
    trials = result.base.trials
    said = f"On the same {trials:,} trials, {SAMPLING}. {NO_MODEL_ERROR}"
    sheet.text(f"{said} Open: {NONE_SHOWN}. In brackets 90 of 100 draws of prices of {result.prices.year}.")
    draw_rows(sheet, rows, xlabel="Change of the risk of a cut-out, points; left of 0: less risk", zero=True)
    best = next((e for e in result.all if e.shown), None)
    shown = f"Most is taken off by {best.name}." if best else f"No change is shown to help: {NONE_SHOWN}."
    return sheet.finish(" ".join([f"{title}.", shown, said, *facts(result.base)]))


def _upgrade_row(result: Upgrades, e: Upgrade) -> Row:
    less = e.removed
    change = (-100 * less.value, -100 * less.high, -100 * less.low)
    return Row(e.name, change, describe_cost_and_mass(result, e), filled=not less.low <= 0 <= less.high)


@drawn
def plot_comparison(result: Comparison, size: str, name: str) -> Picture:
    """The risk of each van on each trip, and how it differs from the base's."""
    trips, vans = result.trips, result.vans
    where = {trip: " ".join(facts_of(None, result.risks[result.base_name, trip].trip)) for trip in trips}
    rows = []
    for trip in trips:
        rows += [Row(trip, note=where[trip])] if len(trips) > 1 else []
        rows += [_van_row(result, van, trip) for van in vans]
    title = "Vans on the same trips"
    known = [f"{van}: {facts_of(result.risks[van, trips[0]].van, None)[0]}" for van in vans[:_DESCRIBED]]
    sheet = Sheet(size, title, [*known, *(where.values() if len(trips) == 1 else [])], name)
    base = result.risks[result.base_name, trips[0]]
    said = f"{SAMPLING}, {base.trials:,} trials each. {NO_MODEL_ERROR} Open: {NONE_SHOWN} from the base."
    sheet.text(said)
    draw_rows(sheet, rows, xlabel="Risk of a cut-out, % of trips", least=0.0)
    risks = "; ".join(
        f"{van}, {trip}: {chance_with_interval(risk.cutout)}" for (van, trip), risk in result.risks.items()
    )
    return sheet.finish(f"{title}. {risks}. {said} {' '.join([*known, *where.values()])}")


def _van_row(result: Comparison, van: str, trip: str) -> Row:
    risk = result.risks[van, trip].cutout
    interval = (100 * risk.value, 100 * risk.low, 100 * risk.high)
    if van == result.base_name:
        return Row(van, interval, chance_with_interval(risk))
    outcome = result.differences[van, trip]["risk"]
    return Row(van, interval, f"{chance_with_interval(risk)}; {describe_difference(outcome)}", filled=outcome.shown)
