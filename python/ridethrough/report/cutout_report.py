"""The report of the cut-out settings that were tried."""

from __future__ import annotations

import ridethrough._core as _core

from ..model.cautions import CAUTION
from ..studies.comparison_result import OutcomeDifference
from ..studies.cutout_table import CutoutTable
from ..studies.outcomes_compared import OUTCOMES, SHARES
from .chance_text import format_chance
from .registry import format_report
from .sentences import NONE_SHOWN


@format_report.register(CutoutTable)
def format_cutout_table(result: CutoutTable) -> str:
    """A line for each setting."""
    lines = [f"Fridge cut-out, now at {result.present_v:g} V (dedicated house battery, maker's range):"]
    for s in result.settings:
        lines.append(
            f"  {s.cutout_v:g} V, on again at {s.restart_v:g} V: {_core.estimate_text(s.risk)}, "
            f"{_change(s.risk_change)}; off for over 1 h in a row {format_chance(s.fridge_off_over_1h)}; below 20 % "
            f"charge {s.hours_below_20:.1f} h a trip, "
            f"{_change(s.hours_below_20_change)}; food above 5 degC for over 4 h in a row "
            f"{format_chance(s.food_warm_4h)}"
        )
    if result.lead_acid:
        lines.append(
            "Every hour below 20 % charge wears a lead-acid battery for good: fewer trips now, a new one sooner."
        )
    lines.append("Never bypass a cut-out. On a starter battery none of this holds.")
    return "\n".join([*lines, CAUTION])


def _change(difference: OutcomeDifference) -> str:
    unit, _, digits = OUTCOMES[difference.outcome]
    scale = 100 if difference.outcome in SHARES else 1
    d = difference.difference
    if d is None or not difference.shown:
        return NONE_SHOWN
    return f"{scale * d.value:+.{digits}f} {unit} ({scale * d.low:+.{digits}f} to {scale * d.high:+.{digits}f})"
