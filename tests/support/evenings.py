"""A van and a trip of five nights with an evening on which its meters are read."""

from __future__ import annotations

import doctest
from types import ModuleType
from typing import Any

import ridethrough as rt
from ridethrough.tonight.meter_readings import Observation, observe
from ridethrough.tonight.reading_times import TripClock
from small_runs import CLIMATE, PLACE

TRIP = rt.Trip(site=rt.Site(**PLACE, climate=CLIMATE), start="2026-11-06 15:00", nights=5)
AGM = rt.Van(battery=rt.AgmBattery(capacity_ah=130), water=rt.WaterTanks())
POLAR = TRIP.replace(site=rt.Site(latitude=70.7, longitude=25.0), start="2026-12-06 15:00")  # no sunrise
LITHIUM = rt.Van(battery=rt.LithiumBattery(capacity_ah=130))
NOW = "2026-11-08 20:00"  # 53 h after the start


def clock(van: rt.Van = AGM, trip: rt.Trip = TRIP, now: str = NOW) -> TripClock:
    return TripClock.of(van, trip, now)


def observation(reading: Any, van: rt.Van = AGM, trip: rt.Trip = TRIP, now: str = NOW) -> Observation:
    """Of one reading."""
    (found,) = observe([reading], van, trip, now).observations
    return found


def notes(reading: Any, van: rt.Van = AGM, trip: rt.Trip = TRIP, now: str = NOW) -> str:
    return " ".join(observe([reading], van, trip, now).notes)


def failed_examples(module: ModuleType) -> list[str]:
    """What the examples in a module's docstrings print that they should not; there must be some."""
    said: list[str] = []
    names = {**vars(module), "rt": rt, "van": AGM, "trip": TRIP}
    tests = [test for test in doctest.DocTestFinder().find(module, globs=names) if test.examples]
    assert tests, f"no example in {module.__name__}"
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    for test in tests:
        runner.run(test, out=said.append)
    return said
