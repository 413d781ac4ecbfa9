"""A van that fails in about 1 of 4 short trips, its runs, and whether two runs are the same to the bit."""

from __future__ import annotations

from typing import Any

import numpy as np
import ridethrough as rt

PLACE: dict[str, Any] = {"latitude": 36.1, "longitude": -79.95}

CLIMATE = rt.Climate(
    **PLACE,
    ghi_kwh_m2_day=[2.4, 3.1, 4.2, 5.4, 5.6, 6.2, 6.1, 5.6, 4.4, 3.6, 2.4, 2.2],
    air_temp_c=[0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2],
)

TRIP = rt.Trip(site=rt.Site(**PLACE, climate=CLIMATE), start="2026-11-06 15:00", nights=3)

VAN = rt.Van(battery=rt.AgmBattery(capacity_ah=70), solar=rt.SolarArray(rated_w=160))  # about 1 in 4 fails


def run(**arguments: Any) -> rt.Risk:
    return rt.simulate(VAN, TRIP, **{"trials": 1000, "seed": 7, **arguments})


def same_columns(a: rt.Risk, b: rt.Risk, trials: int | None = None) -> bool:
    return list(a.columns) == list(b.columns) and all(
        np.array_equal(a.columns[name][:trials], b.columns[name][:trials]) for name in a.columns
    )
