"""The van and the trip of the tests of comparing, sizing and ranking: the shipped demo, about 1 in 8."""

from __future__ import annotations

from functools import cache
from typing import Any

from ridethrough.scenario import demo_path, load_scenario


@cache
def demo() -> tuple[Any, Any]:
    scenario = load_scenario(demo_path())
    return scenario.van, scenario.trip
