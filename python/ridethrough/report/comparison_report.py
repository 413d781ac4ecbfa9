"""The report of a comparison of vans."""

from __future__ import annotations

from ..engine.error_difference import difference_range
from ..engine.model_error import model_error_of_risk
from ..engine.risk import Risk
from ..model.cautions import CAUTION
from ..model.van_parts import is_lithium
from ..money.prices import AmountRange, Prices
from ..studies.comparison_result import Comparison, OutcomeDifference, VanDifference
from ..studies.outcomes_compared import OUTCOMES, SHARES
from .chance_text import risk_text, why_lithium_is_worse
from .comparison_table import comparison_table
from .layout import WIDE, fill
from .model_error_text import summarize_model_errors
from .registry import format_report
from .sentences import NONE_SHOWN, format_warnings

LEAST_RATIO = 1.05  # of variances, of which a report tells
OFTEN_NOTHING = ("failed_starts", "food_frozen", "cold_cabin", "cabin_frozen")


@format_report.register(Comparison)
def format_comparison(comparison: Comparison) -> str:
    """The report of vans compared with a base."""
    lines = format_warnings(_warnings(comparison, comparison.base_name))
    table, note = comparison_table(comparison)
    head = [part for line in lines for part in _wrapped(line)] + table
    lines = [note, ""]
    lines += [text for name in comparison.cost for text in _van(comparison, name)]
    lines += [summarize_model_errors(map(model_error_of_risk, comparison.risks.values())), CAUTION]
    return "\n".join([*head, *(part for line in lines for part in _wrapped(line))])


def _wrapped(line: str) -> list[str]:
    """A line as the terminal has room for it; what belongs to a van keeps its indent."""
    indent = line[: len(line) - len(line.lstrip(" "))]
    return fill(line, WIDE, indent, indent + "  " * bool(indent)) or [""]


def _warnings(comparison: Comparison, name: str) -> list[str]:
    return [text for (van, _), risk in comparison.risks.items() if van == name for text in risk.warnings]


def _van(comparison: Comparison, name: str) -> list[str]:
    base = _warnings(comparison, comparison.base_name)
    own = format_warnings(text for text in _warnings(comparison, name) if text not in base)
    lines = [f"{name} against {name_of_base(comparison)}", *(f"  {text}" for text in own)]
    for difference in comparison.differences.values():
        if difference.van == name:
            lines += _difference_lines(comparison, difference)
    assumed = "all that is bought and fitted, " if name in comparison.bundles else "both vans bought new, "
    price = cost_and_mass(comparison.cost[name], comparison.mass_kg[name], comparison.prices, assumed)
    lines.append(f"  {price}")
    if name in comparison.same_risk_for_less():
        lines.append("  The same risk for less: no higher risk shown, and it costs and weighs no more.")
    return [*lines, *(f"  Note: {note}" for note in comparison.notes.get(name, ())), ""]


def name_of_base(comparison: Comparison) -> str:
    """As sentences say it."""
    return "the base" if comparison.base_name == "base" else comparison.base_name


def cost_and_mass(cost: AmountRange, mass: AmountRange, prices: Prices, assumed: str = "") -> str:
    """The change of price and mass, with the range of the table's draws and with what they take for granted."""

    def change(r: AmountRange, unit: str, more: str, less: str) -> str:
        if max(abs(r.low), abs(r.high)) < 0.05:
            return "of the same mass" if unit else "Costs the same"
        sign, digits = (1 if r.value >= 0 else -1), (1 if unit else 0)
        low, value, high = (f"{sign * v:,.{digits}f}" for v in (r.low, r.value, r.high)[::sign])
        return f"{more if sign > 0 else less} {value} {unit or prices.currency} ({low} to {high})"

    if max(abs(v) for v in (cost.low, cost.high, mass.low, mass.high)) < 0.05:
        return "Costs and weighs the same, by what the price table has."
    return (
        f"{change(cost, '', 'Costs', 'Saves')}, {change(mass, 'kg', 'heavier by', 'lighter by')}; "
        f"{assumed}90 of 100 draws of prices of {prices.year}."
    )


def _difference_lines(comparison: Comparison, difference: VanDifference) -> list[str]:
    run = comparison.risks.get((difference.van, difference.trip))
    lines = [f"  {difference.trip}, the mean over the trips:"]
    if run is not None:
        base = comparison.risks[comparison.base_name, difference.trip]
        risks = f"{risk_text(run.cutout)}; {comparison.base_name} {risk_text(base.cutout)}"
        lines = [f"  {difference.trip}: {risks}."]
        if run.van == base.van and run.trip == base.trip:
            return [*lines, f"    The same van as {name_of_base(comparison)}: {NONE_SHOWN}."]
    for name, line in difference.outcomes.items():
        _, label, _ = OUTCOMES[name]
        if name in OFTEN_NOTHING and not line.base and not line.other:
            continue  # neither van has it in any trial
        if line.difference is None:
            both = "1 trial" if line.trials_with_both == 1 else f"{line.trials_with_both} trials"
            lines.append(f"    {label}: nothing to compare, {both} in which both cut out")
            continue
        lines.append(f"    {label}: {describe_difference(line)}")
        if name == "risk" and run is not None:
            lines += _with_model_error(base, run, line)
        if name == "risk" and run is not None and _lithium_is_worse(line, base, run):
            lines.append(f"    {why_lithium_is_worse(base, run.cutout)}")
    if LEAST_RATIO <= difference.variance_ratio < float("inf"):
        lines.append(
            "    The same weather and habits for both show this as sharply as "
            f"{difference.variance_ratio:.1f} times the trips would otherwise."
        )
    return lines


def _with_model_error(base: Risk, run: Risk, line: OutcomeDifference) -> list[str]:
    """The range of the difference with the model's error: its causes are mostly common to both."""
    found = difference_range(base, run, line.difference) if line.difference is not None else None
    if found is None:
        return []
    low, high = (100 * end for end in found)
    return [f"    with the model's error {low:+.1f} to {high:+.1f} points, as causes common to both cancel in part"]


def _lithium_is_worse(line: OutcomeDifference, base: Risk, run: Risk) -> bool:
    assert line.difference is not None
    return line.shown and line.difference.value > 0 and is_lithium(run.van) and not is_lithium(base.van)


def describe_difference(line: OutcomeDifference) -> str:
    """How far an outcome lies from the base's, with its interval and trials."""
    assert line.difference is not None
    unit, _, digits = OUTCOMES[line.outcome]
    scale = 100 if line.outcome in SHARES else 1
    low, value, high = (scale * v for v in (line.difference.low, line.difference.value, line.difference.high))
    trials = f"the same {line.trials_with_both:,} trials" + (
        " in which both cut out" if line.outcome == "warning_h" else ""
    )
    if not line.shown:
        return f"{NONE_SHOWN} ({low:+.{digits}f} to {high:+.{digits}f} {unit}; {trials})"
    ends = sorted((abs(low), abs(high)))
    digits = next((more for more in range(digits, 6) if round(ends[0], more)), digits)  # never "0.00 less"
    return (
        f"{abs(value):.{digits}f} {unit} {'more' if value > 0 else 'less'} "
        f"({ends[0]:.{digits}f} to {ends[1]:.{digits}f}; {trials})"
    )
