"""What is said in words, of tanks and chargers, against the van and the trip: no observation, but worth a sentence."""

from __future__ import annotations

import math

from ..model.classes import Van
from ..model.errors import bad_input
from ..model.van_parts import is_lithium
from .reading import Reading
from .reading_times import TripClock

_SUN = ("sun present", "sun absent")
_FEED = ("vehicle feed present", "vehicle feed absent")


def require_device(reading: Reading, van: Van) -> None:
    """InputError of a reading of something that the van has not."""
    text = reading.text
    missing = ""
    if reading.quantity in ("yield_wh", "yield_ah") or text in _SUN:
        missing = "" if van.arrays else "a solar array, Van.arrays"
    elif reading.quantity.startswith("water") or text.startswith("grey valve"):
        missing = "" if van.water is not None else "water tanks, Van.water"
    elif text in _FEED:
        missing = "" if van.dc_dc is not None else "a charger or cable from the vehicle, Van.dc_dc"
    elif text.startswith("charger"):
        missing = "" if van.arrays or van.mains is not None or van.dc_dc is not None else "any charger"
    if missing:
        raise bad_input("Reading.text", text, reason=f"this van has not {missing}")
    if reading.quantity == "water_l" and van.water is not None and reading.low > van.water.fresh_l:
        raise bad_input(
            "Reading.text", text, reason=f"more than the fresh tank holds, {van.water.fresh_l:g} l (WaterTanks.fresh_l)"
        )


def stated_notes(reading: Reading, clock: TripClock) -> list[str]:
    """Sentences of a tank's gauge or a charger's words."""
    text, van = reading.text, clock.van
    if reading.quantity == "water_nights":
        return _water(reading.value, clock)
    if reading.quantity == "water_l":
        assert van.water is not None  # require_device
        share = reading.value / van.water.fresh_l
        return [
            f"Fresh water: {reading.value:g} l, {100 * share:.0f} % of the tank; no part of the battery's forecast."
        ]
    if text.startswith("charger set to"):
        return _charge_type(text.rpartition(" ")[2], is_lithium(van))
    return [_SAID[text]] if text in _SAID else []


_SAID = {
    "vehicle feed present": "The charger sees the vehicle's feed: its fuse, breaker and plug carry.",
    "vehicle feed absent": (
        "The charger sees no feed from the vehicle. With the engine running, that is an open fuse, breaker or plug, "
        "and drives charge nothing: say so with line_closed = false on Van.dc_dc, else the forecast counts on them."
    ),
    "sun present": "The charge controller sees the panel.",
    "sun absent": (
        "The charge controller sees no panel. By day that is an open fuse, a plug or a deep shadow, and the forecast "
        "still counts on the Sun: take the array away (Van.arrays) if it stays so."
    ),
    "charger in float": "In float the battery is nearly full, unless a time limit ended absorption.",
    "charger in absorption": "In absorption the battery is well charged, and not full yet.",
    "charger in bulk": "In bulk the battery takes all there is; of its charge that tells little.",
    "grey valve open": "The grey valve is open: the grey tank does not fill, and what is told of it does not hold.",
    "grey valve shut": "The grey valve is shut: the grey tank fills as the trip says.",
}


def _water(nights: float, clock: TripClock) -> list[str]:
    left = max(0, math.ceil((clock.compiled.hours - clock.now_h) / 24))
    if nights >= left:
        return [f"Water: {nights:g} nights are left in the tank, and the trip has {left} to go."]
    return [
        f"Water: {nights:g} nights are left in the tank and the trip has {left} to go: it runs dry before the end "
        "unless it is filled on the way. It takes no part in the battery's forecast."
    ]


def _charge_type(kind: str, lithium: bool) -> list[str]:
    if lithium and kind != "lithium":
        return [
            f"The charger is set to {kind} and the battery is lithium iron phosphate: it may be charged at the wrong "
            "voltages or not fully; equalisation, if there is any, harms it. Look into both manuals and set it right."
        ]
    if not lithium and kind == "lithium":
        return [
            "The charger is set to lithium and the battery is AGM: many such settings end absorption early, and the "
            "battery is never quite full. Look into both manuals and set it right."
        ]
    if not lithium and kind in ("gel", "wet"):
        return [
            f"The charger is set to {kind} and the battery is AGM: the voltages differ by some 0.2 V (from memory)."
        ]
    return [f"The charger is set to {kind}, as the battery is."]
