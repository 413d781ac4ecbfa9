"""The report of a small probability."""

from __future__ import annotations

import numpy as np

import ridethrough._core as _core

from ..engine.importance_sampling import RareRisk
from ..model.cautions import CAUTION
from .model_error_text import format_model_error
from .registry import format_report


@format_report.register(RareRisk)
def format_rare_risk(result: RareRisk) -> str:
    """The small probability, and what bears it."""
    far = sorted(result.shifts.items(), key=lambda item: -abs(item[1]))[:5]
    names = "; ".join(f"{_dated(result, *at)} {shift:+.1f}" for at, shift in far if shift)
    nights = f"{result.nights} night{'s' if result.nights > 1 else ''}"
    return (
        f"{_core.chance_text(result.cutout)}: a low-voltage cut-out drops the fridge within {nights}\n"
        f"({_core.estimate_text(result.cutout)}, weighted; as good as {result.effective_failures:,.0f} failing trials "
        f"of equal weight).\n{format_model_error(result.model_error, result.cutout.value)}\n"
        f"Trials were drawn towards failing, by standard deviations of what is drawn: {names or 'nothing'}.\n"
        f"{CAUTION}"
    )


def _dated(result: RareRisk, name: str, day: int) -> str:
    return f"{name} on {np.datetime64(result.first_day) + day - 1}" if day else name
