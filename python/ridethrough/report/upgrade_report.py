"""The report of a ranking of upgrades."""

from __future__ import annotations

import ridethrough._core as _core

from ..engine.model_error import model_error_of
from ..model.cautions import CAUTION
from ..studies.upgrade_result import Upgrade, Upgrades
from . import chance_text
from .comparison_report import cost_and_mass
from .layout import WIDE, fill
from .model_error_text import summarize_model_errors
from .registry import format_report
from .sentences import NONE_SHOWN, format_warnings

PAIRS_TOLD = 3


@format_report.register(Upgrades)
def format_upgrades(result: Upgrades) -> str:
    """The report of a ranking of upgrades."""
    lines = [
        *format_warnings(result.base.warnings),
        f"As it is: {_core.chance_text(result.base.cutout)} ({chance_text.risk_text(result.base.cutout)}). "
        "What a change takes off, on the same trials:",
        f"As it is: {chance_text.format_study_chances(result.base.chances)}",
    ]
    if result.first:
        lines.append("Free, or lighter than now:")
        lines += _listed(result, result.first, "risk")
    if result.paid:
        lines.append(f"To be bought, by points per 100 {result.prices.currency}:")
        lines += _listed(result, result.paid, "$100")
    enough = {e.name for e in result.all if len(e.names) == 1 and not e.risk.events}
    if pairs := [e for e in result.pairs if e.shown and not enough & set(e.names)][:PAIRS_TOLD]:
        lines.append(f"Pairs that take off most ({len(pairs)} of {len(result.pairs)}):")
        lines += _listed(result, pairs, "risk")
    if result.front:
        lines.append("Not beaten by another in risk, cost and mass together (usual values, one trip):")
        lines += [f"  {e.name}: {_removed(e)}; {describe_cost_and_mass(result, e)}" for e in result.front]
    if result.worse:
        lines.append("More risk than now:")
        lines += _listed(result, result.worse, "risk")
        lithium = [e for e in result.worse if e.name.startswith("lithium bundle")]
        lines += [f"  {e.name}: {chance_text.why_lithium_is_worse(result.base, e.risk)}" for e in lithium]
    lines += [f"Not offered: {name}, as {why}." for name, why in result.refused.items()]
    lines += [f"Note on {e.name}: {note}." for e in result.all if len(e.names) == 1 for note in e.notes]
    lines.append(
        "Cut-out settings are never ranked; they have a table of their own (cutout_settings). Prices are ranges, "
        f"{result.prices.year}, most from memory: put in your own."
    )
    base = result.base  # what is known of the error depends little on the van, and on how rare the risk is
    risks = [base.cutout.value, *(e.risk.value for e in result.all)]
    errors = [model_error_of(base.van, base.trip, base.compiled, risk) for risk in risks]
    lines += [summarize_model_errors(errors), CAUTION]
    return "\n".join(part for line in lines for part in _wrapped(line))


def _wrapped(line: str) -> list[str]:
    """A line as the terminal has room for it; an entry keeps its indent."""
    indent = "  " if line.startswith("  ") else ""
    return fill(line, WIDE, indent, indent * 2)


def _listed(result: Upgrades, entries: tuple[Upgrade, ...] | list[Upgrade], per: str) -> list[str]:
    lines = []
    for i, e in enumerate(entries):
        line = f"  {e.name}: {_removed(e)}"
        if per == "$100" and e.shown:
            line += f"; {_ratios(result, e)}"
        line += f"; {describe_cost_and_mass(result, e)}{_food(result, e)}"
        after = entries[i + 1] if i + 1 < len(entries) else None
        if after is not None and e.shown and after.shown and not result.distinguishable(e, after, per):
            line += f" [{NONE_SHOWN} to the next]"
        lines.append(line)
    return lines


def _food(result: Upgrades, e: Upgrade) -> str:
    """Where a change does something to the food, and always where it is the fridge's set point."""
    low, value, high = (100 * v for v in (e.food_change.low, e.food_change.value, e.food_change.high))
    if low <= 0 <= high and not any("set point" in name for name in e.names):
        return ""
    change = f"{value:+.1f} points ({low:+.1f} to {high:+.1f})" if not low <= 0 <= high else NONE_SHOWN
    return f"; food above 5 degC for over 4 h in a row {chance_text.format_chance(e.food_warm_4h)}, {change}"


def _removed(e: Upgrade) -> str:
    low, value, high = (100 * v for v in (e.removed.low, e.removed.value, e.removed.high))
    if low > 0:
        return f"{value:.1f} points off ({low:.1f} to {high:.1f}), leaves {chance_text.risk_text(e.risk)}"
    if high < 0:
        return f"{-value:.1f} points MORE risk ({-high:.1f} to {-low:.1f}), {chance_text.risk_text(e.risk)}"
    return f"{NONE_SHOWN} ({low:+.1f} to {high:+.1f} points off, {e.removed.trials:,} trials)"


def _ratios(result: Upgrades, e: Upgrade) -> str:
    parts = []
    if e.per_100:
        unit = result.prices.currency + (" of each trip" if e.each_trip else "")
        low, value, high = (100 * v for v in (e.per_100.low, e.per_100.value, e.per_100.high))
        parts.append(f"{value:.1f} per 100 {unit} ({low:.1f} to {high:.1f})")
    if e.per_10_kg:
        low, value, high = (100 * v for v in (e.per_10_kg.low, e.per_10_kg.value, e.per_10_kg.high))
        parts.append(f"{value:.0f} per 10 kg ({low:.0f} to {high:.0f})")
    return ", ".join(parts)


def describe_cost_and_mass(result: Upgrades, e: Upgrade) -> str:
    """What a change costs and weighs, with ranges."""
    text = cost_and_mass(e.cost, e.mass_kg, result.prices).split(";")[0].rstrip(".")
    cost, comma, mass = (text[0].lower() + text[1:]).replace("costs and weighs the same", "free").partition("), ")
    each = (" each trip" if len(e.names) == 1 else " (the drive or fee each trip)") if e.each_trip else ""
    return f"{cost}){each}, {mass}" if comma else cost + each
