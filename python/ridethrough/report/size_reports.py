"""Reports of sizing: one size, and the curve of panel and battery."""

from __future__ import annotations

import ridethrough._core as _core

from ..model.cautions import CAUTION
from ..studies.iso_risk_curve import IsoRisk
from ..studies.sizing import Size
from .chance_text import format_study_chances
from .model_error_text import format_model_error, summarize_model_errors, two_digits
from .registry import format_report


@format_report.register(Size)
def format_size(result: Size) -> str:
    """The size found, its risk and its bounds."""
    unit, target = f" {result.unit}" if result.unit else "", f"{100 * result.target_risk:.3g} %"
    first, last = (f"{v:g}{unit}" for v in result.within)
    if result.value is None or result.risk is None:
        best = min(result.tried, key=lambda v: (result.tried[v].high, v))
        lines = [
            f"No {result.path} from {first} to {last} keeps the risk within {target}; the best tried is "
            f"{best:g}{unit} ({_core.estimate_text(result.tried[best])})."
        ]
    else:
        ends = [f"{v:g}" if v is not None else "beyond the range" for v in (result.low, result.high)]
        between = f"within a step of {ends[0]}" if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"
        low, high = result.model_error.around(result.risk.value) if result.model_error else (0.0, 0.0)
        error = ""
        if 0 < result.risk.value < 1 and result.model_error:
            error = f"; with the model's error {two_digits(low)} to {two_digits(high)}"
        lines = [
            f"{'Largest' if result.rises else 'Smallest'} {result.path} that keeps the risk within {target}: "
            f"{result.value:g}{unit} ({_core.estimate_text(result.risk)}{error}; to {result.step:g}{unit}).",
            f"The size whose risk is just {target}: {between}{unit}, sampling error alone.",
        ]
        if high > result.target_risk:
            lines.append(_with_the_error(result, unit, target))
        if result.model_error is not None:
            lead = f"The target leaves out the model's own error, here of the risk at {result.value:g}{unit}."
            lines.append(format_model_error(result.model_error, result.risk.value, lead))
        if result.chances:
            lines.append(f"At {result.value:g}{unit}: {format_study_chances(result.chances)}")
    if not result.monotone:
        also = ", ".join(f"{v:g}" for v in result.other_values)
        lines.append(
            f"The risk does not simply {'rise' if result.rises else 'fall'} with {result.path}: some step was shown to "
            "go the other way" + (f"; {also}{unit} meet the target too." if also else ".")
        )
    return "\n".join([*lines, CAUTION])


def _with_the_error(result: Size, unit: str, target: str) -> str:
    """Which of the sizes tried meets the target with the model's error too, taken as large as at the size found."""
    error = result.model_error
    assert error is not None
    met = [v for v, risk in result.tried.items() if risk.events and error.around(risk.value)[1] <= result.target_risk]
    size = "smaller" if result.rises else "larger"
    found = f"of those tried first at {(max if result.rises else min)(met):g}{unit}" if met else "none of those tried"
    return (
        f"For the upper end with the model's error to stay within {target} as well, it has to be {size}: {found}; "
        "ask with a lower target risk to find it more closely."
    )


@format_report.register(IsoRisk)
def format_iso_risk(result: IsoRisk) -> str:
    """A line for each panel."""
    lines = [
        f"Panel and battery that keep the risk within {100 * result.target_risk:g} % ({result.trials:,} trials each):"
    ]
    for p in result.points:
        if p.size.value is None or p.size.risk is None or p.cost is None or p.mass_kg is None:
            lines.append(f"  {p.panel_w:g} W: {p.why_not}")
            continue
        text = (
            f"  {p.panel_w:g} W with {p.size.value:g} Ah: {_core.estimate_text(p.size.risk)}; "
            f"{p.cost.value:+,.0f} {result.currency} ({p.cost.low:+,.0f} to {p.cost.high:+,.0f}), "
            f"{p.mass_kg.value:+.1f} kg"
        )
        lines.append(text + ("" if p.fits else f"; does not fit: {p.why_not}"))
    if result.cheapest and result.lightest:
        lines.append(
            f"Cheapest that fits: {result.cheapest.panel_w:g} W with {result.cheapest.size.value:g} Ah; "
            f"lightest: {result.lightest.panel_w:g} W with {result.lightest.size.value:g} Ah."
        )
    else:
        lines.append("None fits.")
    if errors := [p.size.model_error for p in result.points if p.size.model_error]:
        lines.append(summarize_model_errors(errors))
    return "\n".join([*lines, CAUTION])
