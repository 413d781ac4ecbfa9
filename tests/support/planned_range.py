"""A range of two vans, as a planner would look at it."""

from __future__ import annotations

from functools import cache
from typing import Any

import ridethrough as rt
from study_fixture import DULL, SITE, TRIP, VAN

CUSTOMERS: dict[str, Any] = {"light_couple": 3, "long evenings": ({"trip.habits_scale": 1.5}, 1)}


MODELS = {"Small": VAN, "Big": VAN.replace(**{"solar.rated_w": 400, "battery.capacity_ah": 150})}


@cache
def planned_range() -> rt.VanRange:
    """Of both models at two places in four months."""
    return rt.van_range(
        MODELS,
        TRIP,
        sites=[SITE, DULL],
        customers=CUSTOMERS,
        months=[1, 4, 7, 10],
        sold={"Dull": ["Apr", "Oct"]},
        trials=150,
        seed=2,
        progress=False,
    )
