"""Sentences beside a reading: how it was taken, and how wide that is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..model.van_parts import is_lithium, rated_ah
from .hours_left import hours_left_notes
from .meter_errors import TERMS
from .reading import Reading
from .reading_times import TripClock
from .stated_checks import stated_notes

if TYPE_CHECKING:
    from .meter_readings import Observation


def notes_of(reading: Reading, hour: float, made: Observation | None, clock: TripClock) -> list[str]:
    """Sentences of one reading, taken at this hour since the start."""
    if reading.quantity in ("yield_wh", "yield_ah"):
        return [] if made else [_first_day(reading, clock)]
    if reading.quantity == "hours_left":
        return hours_left_notes(reading, hour, clock)
    if made is None or reading.quantity == "charger":
        return stated_notes(reading, clock)
    if reading.quantity in ("soc", "ah_used", "ah_left"):
        return [_charge(reading, made, clock)]
    if reading.quantity == "volts":
        return _volts(reading, hour, made, clock)
    return []


def _first_day(reading: Reading, clock: TripClock) -> str:
    return (
        f"{reading.text}: not used, for the trip begins at {clock.start[11:]} of that day and the controller has "
        "counted what came before."
    )


def _charge(reading: Reading, made: Observation, clock: TripClock) -> str:
    unit = 1.0 if reading.quantity == "soc" else rated_ah(clock.van)
    points = 100 * made.total_sd / unit
    if reading.meter == "app":
        high = 100 * TERMS["app_reads_high"].value
        return (
            f"{reading.text} by the battery's own meter: taken as {high:.0f} points too high in the middle, standard "
            f"deviation {points:.0f} points ({TERMS['app_shared'].source})."
        )
    if reading.meter == "controller":
        return (
            f"{reading.text} by a controller is a guess from volts: standard deviation {points:.0f} points "
            f"({TERMS['controller_noise'].source})."
        )
    assert made.since_full_h is not None
    told = "" if reading.meter else ', taken as a counter\'s at a shunt (else say meter="app" or meter="controller")'
    full = (
        f"{made.since_full_h / 24:.1f} days after a true full charge" if made.since_full_h >= 24 else "soon after full"
    )
    said = "as said" if made.bias != "counter" else "as nothing was said of the last one"
    return f"{reading.text}{told}: {full}, {said}, standard deviation {points:.0f} points."


def _volts(reading: Reading, hour: float, made: Observation, clock: TripClock) -> list[str]:
    if is_lithium(clock.van):
        return [
            f"{reading.text} of lithium iron phosphate says little: two thirds of the charge lie within 0.2 V, and the "
            f"standard deviation is {made.total_sd:.2f} V (from memory). A counter's figures say more."
        ]
    since_h = clock.charged_before_h(hour, None if reading.charged is None else str(reading.charged))
    if since_h < TERMS["volts_surface_charge_gone_h"].value:
        return [
            f"{reading.text}: charged until {since_h:.1f} h before, so surface charge may still lift it by "
            f"0.1 to 0.3 V; standard deviation {made.total_sd:.2f} V ({TERMS['volts_surface_charge'].source}). "
            "Read again before sunrise for a better answer."
        ]
    return [f"{reading.text}: standard deviation {made.total_sd:.2f} V ({TERMS['volts_of_charge_agm'].source})."]
