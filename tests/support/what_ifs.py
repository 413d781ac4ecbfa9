"""Four vans of the risk that matters, and what a change of van or trip does to them: *d*, the change of the log odds of
a cut-out on the same trials."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import ridethrough as rt
from reference_cases import SITE

TRIALS = 4000


def van(battery: Any, rated_w: float) -> rt.Van:
    """The default van, with a roof fan for certain."""
    return rt.Van(battery=battery, solar=rt.SolarArray(rated_w=rated_w)).replace(
        **{"loads.fan.fitted_probability": 1.0}
    )


BASE = {
    ("AGM", "summer"): van(rt.AgmBattery(capacity_ah=100), 180),
    ("lithium", "summer"): van(rt.LithiumBattery(capacity_ah=75), 180),
    ("AGM", "winter"): van(rt.AgmBattery(capacity_ah=150), 220),
    ("lithium", "winter"): van(rt.LithiumBattery(capacity_ah=130), 220),
}
TRIP = {
    "summer": rt.Trip(site=SITE, start="2026-07-13 15:00", nights=5),
    "winter": rt.Trip(site=SITE, start="2026-11-16 15:00", nights=5),
}


@dataclass(frozen=True)
class WhatIf:
    """`low` and `high` of d, and why; `lithium` where its range is another.

    `change` is of the van, `trip` of the trip.
    """

    what: str
    season: str
    change: Callable[[rt.Van], rt.Van]
    low: float
    high: float
    why: str
    before: Callable[[rt.Van], rt.Van] = lambda v: v
    trip: tuple[tuple[str, Any], ...] = ()
    lithium: tuple[float, float] | None = None

    def range_for(self, kind: str) -> tuple[float, float]:
        return self.lithium if self.lithium and kind == "lithium" else (self.low, self.high)


def van_with(**values: Any) -> Callable[[rt.Van], rt.Van]:
    return lambda v: v.replace(**{name.replace("__", "."): value for name, value in values.items()})


@cache
def log_odds(of: rt.Van, trip: rt.Trip) -> float:
    p = rt.simulate(of, trip, trials=TRIALS, seed=7).cutout.value
    assert 0.003 < p < 0.997, p
    return float(np.log(p / (1 - p)))


def difference(case: WhatIf, kind: str) -> float:
    """d of a change; the line that it prints is that of the table."""
    trip = TRIP[case.season]
    before = case.before(BASE[kind, case.season])
    base = log_odds(before, trip)
    d = log_odds(case.change(before), trip.replace(**dict(case.trip))) - base
    low, high = case.range_for(kind)
    print(f"{case.season}, {kind}, {case.what}: P {1 / (1 + np.exp(-base)):.3f}, d {d:+.2f} ({low} to {high})")
    return d
