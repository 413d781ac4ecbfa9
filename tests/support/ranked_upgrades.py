"""Upgrades of the demo's van: a few candidates, ranked once."""

from __future__ import annotations

from functools import cache

import ridethrough as rt
from demo_studies import demo

VAN, TRIP = demo()


PANEL, COVER, INVERTER = (
    "100 W more panel on the roof",
    "insulated cover around the fridge",
    "inverter never left on overnight",
)


LITHIUM = "lithium bundle, 120 Ah"


def some(*names, van=VAN, trip=TRIP):
    return [c for c in rt.catalogue(van, trip) if c.name in names]


@cache
def ranked_upgrades() -> rt.Upgrades:
    """Five of the demo's candidates."""
    return rt.upgrades(VAN, TRIP, some(PANEL, COVER, INVERTER, LITHIUM, "fan behind the fridge"), trials=800, seed=1)


def apart(found: rt.Upgrades) -> bool:
    """Whether the first of two is shown to take more away per money."""
    better, other = found.paid
    return found.distinguishable(better, other, per="$100")
