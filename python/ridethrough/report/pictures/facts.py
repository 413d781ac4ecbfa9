"""What every picture of a risk says of itself: the chance with its interval, the van, the place, the dates."""

from __future__ import annotations

import ridethrough._core as _core

from ...engine.risk import Risk
from ..chance_text import format_chance
from ..sentences import in_range
from ..verdict import heading


def chance_with_interval(estimate: _core.Estimate) -> str:
    """A chance, its 95 % interval, and how many trips are behind it."""
    text = format_chance(estimate).replace("trials", "trips")
    return text.replace(" %, ", " % at 95 % confidence, ", 1) if estimate.events else text


def facts(risk: Risk, *, short: bool = False) -> list[str]:
    """Chance, van, place and dates, a line each; in short the chance alone, on a page that names the others."""
    if short:
        return [chance_line(risk)]
    dates, place, van = heading(risk, "")[:3]
    return [chance_line(risk), van, f"{place}.", f"{dates}."]


def chance_line(risk: Risk) -> str:
    """The chance of a cut-out with both its ranges."""
    reach = in_range(*risk.likely_range)
    return f"Chance of a cut-out: {chance_with_interval(risk.cutout)}; with the model's error {reach}."


def spoken(risk: Risk, title: str, shown: str) -> str:
    """The text alternative: what the picture is, what it shows, and what it is of."""
    return " ".join([f"{title}.", shown, *facts(risk)])
