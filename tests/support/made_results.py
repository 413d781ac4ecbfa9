"""A small result of every study, and of what is part of others: each made once."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pandas as pd
import ridethrough as rt
from quick_studies import CALLS
from study_fixture import TRIP, VAN


@cache
def result(name: str, seed: int = 1) -> Any:
    return MADE[name](seed=seed, progress=False)


DAYS = pd.date_range("2019-01-01", "2020-12-31", freq="D")


TWO_YEARS = pd.DataFrame(
    {"ghi_kwh_m2": np.where(DAYS.day_of_year % 3, 2.0, 0.8), "temp_min_c": 3.0, "temp_max_c": 11.0}, index=DAYS
)


PARTS: dict[str, Any] = {  # results that are parts of others, or made of them
    "score_hindcasts": lambda seed, progress: rt.score_hindcasts(
        {"van": rt.hindcast(VAN, TRIP, TWO_YEARS, trials=1, seed=seed)},
        {"van": result("monthly_risk", seed)},
        resamples=100,
    ),
    "pays_against_new": lambda seed, progress: result("lithium_pays", seed).pays_against_new,
    "forecast": lambda seed, progress: rt.forecast(
        VAN, TRIP, now=f"{TRIP.start[:10]} 20:00", readings="90 %", trials=16_384, seed=seed, progress=progress
    ),
    "battery_sheet": lambda seed, progress: rt.battery_sheet(40 + seed, 3),
    "common": lambda seed, progress: rt.simulate(VAN, TRIP, trials=1000, seed=seed).failing_differences[0],
}


MADE: dict[str, Any] = {name: call for name, (call, _) in CALLS.items()} | PARTS
