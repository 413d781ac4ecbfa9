"""What every picture of a risk says of itself: the chance with its interval, the van, the place, the dates."""

from __future__ import annotations

from collections.abc import Sequence

import ridethrough._core as _core

from ...engine.risk import Risk
from ...model.classes import Trip, Van
from ...model.places import places_of
from ..chance_text import format_chance
from ..sentences import in_range
from ..trip_description import place_text, van_in_short
from ..verdict import heading

SAMPLING = "95 % intervals, sampling error alone"
NO_MODEL_ERROR = "The model's own error is not in the intervals."


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


def facts_of(
    van: Van | None,
    trip: Trip | None,
    *,
    anywhere: bool = False,
    any_time: bool = False,
    but_for: Sequence[str] = (),
) -> list[str]:
    """Van, places and dates of what was simulated, where there is one of each; what the study changes is named."""
    lines = []
    if van is not None:
        of_van = [path for path in but_for if not path.startswith("trip.")]
        lines = [f"{f'But for {_and(of_van)}: ' if of_van else ''}{van_in_short(van)}."]
    if trip is None:
        return lines
    places = places_of(trip)
    if not anywhere and "trip.site" not in but_for:
        lines.append(f"{', then '.join(map(place_text, places))}.")
    nights = sum(int(place.nights) for place in places)
    length = "" if "trip.nights" in but_for else f"{nights} night{'s' if nights > 1 else ''}"
    start = "" if any_time or "trip.start" in but_for else f"from {trip.start}"
    when = " ".join(filter(None, (length, start)))
    return [*lines, *([f"{when[:1].upper()}{when[1:]}."] if when else [])]


def _and(names: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def chance_line(risk: Risk) -> str:
    """The chance of a cut-out with both its ranges."""
    return f"Chance of a cut-out: {chance_with_both(risk)}."


def chance_with_both(risk: Risk) -> str:
    """The chance, its interval and trips, and the range with the model's error."""
    return f"{chance_with_interval(risk.cutout)}; with the model's error {in_range(*risk.likely_range)}"


def spoken(risk: Risk, title: str, shown: str) -> str:
    """The text alternative: what the picture is, what it shows, and what it is of."""
    return " ".join([f"{title}.", shown, *facts(risk)])
