"""Every configuration class with what it has to be given."""

from __future__ import annotations

from typing import Any

import pytest
import ridethrough as rt
from ridethrough.model.classes import CLASSES

# Arguments of the classes that have required fields; any valid values do.
PLACE: dict[str, Any] = {"latitude": 36.1, "longitude": -79.8}


REQUIRED: dict[str, dict[str, Any]] = {
    "Climate": PLACE
    | {
        "ghi_kwh_m2_day": [2.4, 3.2, 4.2, 5.2, 5.7, 6.0, 5.8, 5.3, 4.5, 3.7, 2.7, 2.2],
        "air_temp_c": [4, 5, 10, 15, 19, 24, 26, 25, 22, 15, 10, 5],
    },
    "Site": PLACE,
    "Trip": {"site": rt.Site(**PLACE), "start": "2026-11-04 15:00", "nights": 5},
    "Stop": {"name": "beach", "site": rt.Site(**PLACE), "nights": 2},
    "Appliance": {"name": "heater", "current_a": 1.2, "duration_min": 90.0},
    "InverterAppliance": {"name": "toaster", "power_w": 900.0, "duration_min": 4.0},
    **{name: {"days": [2]} for name in ("Drive", "DayTrip", "Idle", "GeneratorRun")},
    "ShorePower": {"nights": [2]},
}


EVERY_CLASS = pytest.mark.parametrize("cls", CLASSES.values(), ids=CLASSES.keys())


def build(cls, **changes):
    return cls(**{**REQUIRED.get(cls.__name__, {}), **changes})
