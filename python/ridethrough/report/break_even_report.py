"""The report of whether lithium pays."""

from __future__ import annotations

from ..engine.model_error import model_error_of_risk
from ..model.van_parts import rated_ah
from ..studies.lithium_break_even import BreakEven, LithiumPays
from .model_error_text import summarize_model_errors
from .registry import format_report
from .sentences import NONE_SHOWN


@format_report.register(BreakEven)
def format_break_even(result: BreakEven) -> str:
    """A sentence on the nights a year from which lithium pays."""
    head = f"Against {result.against}, over {result.horizon_years:g} years: "
    tail = f"; it does so in {100 * result.share:.0f} of 100 draws of prices and lives"
    if result.nights is None:
        return head + f"lithium does not usually pay at any number of nights a year{tail}."
    high = f"{result.high:.0f}" if result.high is not None else "more than 365"
    return head + f"lithium pays from about {result.nights:.0f} nights a year ({result.low:.0f} to {high}){tail}."


@format_report.register(LithiumPays)
def format_lithium_pays(result: LithiumPays) -> str:
    """Risks, lives and break-even."""
    lithium, agm = (rated_ah(risk.van) for risk in (result.lithium, result.new_agm))
    lines = [f"{lithium:.0f} Ah of lithium against {agm:.0f} Ah of AGM."]
    for name, d in (("a new AGM", result.lithium_less_new_agm), ("the old AGM", result.lithium_less_old_agm)):
        word = "higher" if d.value > 0 else "lower"
        said = NONE_SHOWN if d.low <= 0 <= d.high else f"{100 * abs(d.value):.1f} points {word}"
        lines.append(
            f"Risk with new lithium against {name}: {said} ({100 * d.low:+.1f} to {100 * d.high:+.1f} points, "
            f"the same {d.trials:,} trials)."
        )
    for name, y in (("AGM", result.agm_years), ("Lithium", result.lithium_years)):
        lines.append(
            f"{name} lasts about {y.value:.1f} years ({y.low:.1f} to {y.high:.1f}) "
            f"at {result.nights_a_year:g} such nights a year."
        )
    lines += [format_break_even(result.pays_against_new), format_break_even(result.pays_against_old)]
    lines.append(summarize_model_errors(map(model_error_of_risk, (result.lithium, result.new_agm, result.old_agm))))
    lines.append("Prices and lives are ranges, mostly from memory: put in your own. Not discounted. No guarantee.")
    return "\n".join(lines)
