"""What every picture of a risk says of itself: the chance with its interval, the van, the place, the dates."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import ridethrough._core as _core

from ...engine.risk import Risk
from ...model.classes import Trip, Van
from ...model.coordinates import coordinates_text
from ...model.places import places_of
from ..chance_text import format_chance
from ..sentences import in_range
from ..trip_description import place_text, van_in_short
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


def facts_of(van: Van | None, trip: Trip | None, *, anywhere: bool = False, any_time: bool = False) -> list[str]:
    """Van, places and dates of what was simulated, where there is one of each."""
    lines = [f"{van_in_short(van)}."] if van is not None else []
    if trip is None:
        return lines
    places = places_of(trip)
    nights = sum(int(place.nights) for place in places)
    if not anywhere:
        lines.append(f"{', then '.join(map(place_text, places))}.")
    start = "" if any_time else f" from {trip.start}"
    return [*lines, f"{nights} night{'s' if nights > 1 else ''}{start}."]


def facts_of_data(about: Mapping[str, Any]) -> list[str]:
    """What the attributes of labelled data tell of place and dates."""
    lines = []
    if "place" in about:
        latitude, longitude = about["latitude"], about["longitude"]
        where = f" ({coordinates_text(latitude, longitude)})" if isinstance(latitude, float) else ""
        lines.append(f"{about['place']}{where}.")
    return [*lines, *([f"From {about['start']}."] if "start" in about else [])]


def chance_line(risk: Risk) -> str:
    """The chance of a cut-out with both its ranges."""
    reach = in_range(*risk.likely_range)
    return f"Chance of a cut-out: {chance_with_interval(risk.cutout)}; with the model's error {reach}."


def spoken(risk: Risk, title: str, shown: str) -> str:
    """The text alternative: what the picture is, what it shows, and what it is of."""
    return " ".join([f"{title}.", shown, *facts(risk)])
