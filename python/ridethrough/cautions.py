"""What can hurt somebody in a van or a plan, told where it was chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .records import is_lithium

if TYPE_CHECKING:
    from ridethrough import Trip, Van

CARBON_MONOXIDE = (
    "Carbon monoxide kills unnoticed: never run an engine or a generator in or beside a closed space, nor near an open "
    "door, window or vent, and keep a carbon monoxide alarm that works."
)
LEAD_ACID_INSIDE = (
    "Lead-acid in the living space: also a sealed one (AGM) can give off explosive gas. Its box must be vented to the "
    "outside."
)
LITHIUM_INSIDE = "Lithium in the living space: only where the local code allows it."
DRIVE_TO_CHARGE = "never drive to charge when tired or after drinking"
COMPETENT = "by a competent person under the local code"


def cautions(van: Van, trip: Trip) -> list[str]:
    """Sentences for a verdict; loads that people depend on are told about, never judged."""
    told = [
        f"Breathing machine ({load.name}): counted in and never shed, but this figure is no target and no pass mark "
        "for it. Measure what it takes at 12 V, and have an independent back-up that has been tested."
        for load in van.loads
        if type(load).__name__ == "BreathingMachine"
    ]
    if trip.generator_days or trip.idle_days:
        told.append(CARBON_MONOXIDE)
    if van.battery.location == "living_space":
        told.append(LITHIUM_INSIDE if is_lithium(van.battery) else LEAD_ACID_INSIDE)
    return told
