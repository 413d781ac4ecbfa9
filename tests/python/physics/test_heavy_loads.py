"""What large loads on an inverter do: sign and plausible size, from memory where not said.

*d* is the change of the log odds of a cut-out, on the same trials.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from reference_cases import SITE

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")

KETTLE = rt.Kettle(power_w=1800, uses_per_day=1)
TRIALS = 4000


def van(battery: Any, *loads: Any, solar_w: float = 400, **inverter: Any) -> rt.Van:
    """The default van with more on its inverter."""
    usual = [rt.Inverter(**inverter) if load.name == "inverter" else load for load in rt.Van().loads]
    return rt.Van(battery=battery, solar=rt.SolarArray(rated_w=solar_w), loads=[*usual, *loads])


def risk(of: rt.Van, **more: Any) -> rt.Risk:
    trip = rt.Trip(**{"site": SITE, "start": "2026-05-10 15:00", "nights": 5, **more})
    return rt.simulate(of, trip, trials=TRIALS, seed=7)


def log_odds(run: rt.Risk) -> float:
    p = run.cutout.value
    assert 0.002 < p < 0.998, p
    return float(np.log(p / (1 - p)))


AGM, SMALL = rt.AgmBattery(capacity_ah=100), rt.AgmBattery(capacity_ah=60)
LITHIUM = rt.LithiumBattery(capacity_ah=100, max_discharge_a=200)
