"""The verdict's lines on medicine in the fridge, which has no target and no pass mark."""

from __future__ import annotations

import ridethrough._core as _core

from ..engine.risk import Risk
from ..model.cautions import MEDICINE_CAUTION
from .chance_text import format_chance


def has_medicine(risk: Risk) -> bool:
    """Whether medicine is in the fridge."""
    return risk.van.fridge.medicine is not None


def medicine_lines(risk: Risk) -> list[str]:
    """What the verdict says; nothing where no medicine is declared."""
    if not has_medicine(risk):
        return []
    names = ("medicine_out_coldest_h", "medicine_out_warmest_h", "medicine_frozen_h")
    coldest, warmest, frozen = (_hours(risk, name) for name in names)
    return [
        f"Medicine inside, with no pass mark: outside 2-8 degC at the coldest place {coldest}, at the warmest place "
        f"{warmest}; below 0 degC at the coldest place {frozen}.",
        MEDICINE_CAUTION,
    ]


def _hours(risk: Risk, name: str) -> str:
    chance = _core.wilson(risk.event_counts[name], risk.trials)
    if chance.events == 0:
        return f"at no time ({format_chance(chance)})"
    return f"for {risk.means[name]:.1f} h on average, at some time in {format_chance(chance)}"
