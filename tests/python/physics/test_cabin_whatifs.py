"""What the cabin, its fan and its heater do to a trip: sign and plausible size, for AGM and lithium, winter and summer.

*d* is the change of the log odds of a cut-out, on the same trials. Ranges are from memory where no other source is
named.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from reference_cases import SITE

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")
TRIALS = 4000
SUMMER: dict[str, Any] = dict(site=SITE, start="2026-07-13 15:00", nights=5)
WINTER: dict[str, Any] = dict(site=SITE, start="2026-11-16 15:00", nights=5)


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
TRIP = {"summer": rt.Trip(**SUMMER), "winter": rt.Trip(**WINTER)}


@dataclass(frozen=True)
class WhatIf:
    """`low` and `high` of d, and why."""

    what: str
    season: str
    change: Callable[[rt.Van], rt.Van]
    low: float
    high: float
    why: str
    before: Callable[[rt.Van], rt.Van] = lambda v: v


def with_(**values: Any) -> Callable[[rt.Van], rt.Van]:
    return lambda v: v.replace(**{name.replace("__", "."): value for name, value in values.items()})


WHAT_IFS = [
    WhatIf(
        "fan taken away",
        "summer",
        lambda v: v.without("fan"),
        -2.0,
        -0.2,
        "its 7 Ah a day are saved (1.2 Ah of standby are d .1 to .2), most on the hottest days, and the fridge stands "
        "up to 1 K warmer (1.5 K are d .65)",
    ),
    WhatIf("fan taken away", "winter", lambda v: v.without("fan"), -0.05, 0.05, "it stands still"),
    WhatIf(
        "windows never opened, no fan",
        "summer",
        with_(window_ventilation=0.0),
        0.3,
        3.0,
        "the fridge stands 1 to 5 K warmer, of which 1.5 K are d .65",
        before=lambda v: v.without("fan"),
    ),
    WhatIf(
        "windows never opened", "winter", with_(window_ventilation=0.0), -0.05, 0.15, "they are shut but for warm days"
    ),
    WhatIf(
        "more and larger openings",
        "summer",
        with_(window_ventilation=6.0),
        -1.0,
        -0.1,
        "the fridge stands about 1 K cooler and the fan runs less",
    ),
    WhatIf(
        "heater taken away",
        "winter",
        lambda v: v.without("heater"),
        -6.0,
        -1.0,
        "5 to 15 Ah a day of some 60 are saved, and the fridge stands cold",
    ),
    WhatIf("heater taken away", "summer", lambda v: v.without("heater"), -0.02, 0.02, "it is not switched on"),
    WhatIf(
        "heater off at night",
        "winter",
        with_(loads__heater__all_night=False),
        -2.5,
        -0.1,
        "nine hours on low, of .2 to .7 A each, are saved",
    ),
    WhatIf(
        "3 K warmer by day",
        "winter",
        with_(loads__heater__set_point_c=22.0),
        0.2,
        1.5,
        "150 W more heat for half of the day, 2 Ah, and a fridge 1 to 2 K warmer",
    ),
]


def log_odds(v: rt.Van, trip: rt.Trip) -> float:
    p = rt.simulate(v, trip, trials=TRIALS, seed=7).cutout.value
    assert 0.003 < p < 0.997, p
    return float(np.log(p / (1 - p)))


@pytest.fixture(scope="module")
def base_odds() -> dict[tuple[str, str], float]:
    return {(kind, season): log_odds(v, TRIP[season]) for (kind, season), v in BASE.items()}


@pytest.mark.parametrize("kind", ["AGM", "lithium"])
@pytest.mark.parametrize("case", WHAT_IFS, ids=[f"{w.what}, {w.season}" for w in WHAT_IFS])
def test_what_a_change_does(case: WhatIf, kind: str, base_odds: dict[tuple[str, str], float]) -> None:
    before = case.before(BASE[kind, case.season])
    base = base_odds[kind, case.season] if before == BASE[kind, case.season] else log_odds(before, TRIP[case.season])
    d = log_odds(case.change(before), TRIP[case.season]) - base
    print(
        f"{case.season}, {kind}, {case.what}: P {1 / (1 + np.exp(-base)):.3f}, d {d:+.2f} ({case.low} to {case.high})"
    )
    assert case.low <= d <= case.high, case.why
