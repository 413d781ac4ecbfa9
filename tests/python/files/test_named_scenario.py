"""A scenario in memory."""

from __future__ import annotations

from typing import Any

import pytest
import ridethrough
from study_fixture import TRIP, VAN

rt: Any = ridethrough  # as calls here are wrong on purpose


def test_a_scenario_is_replaced_like_a_van() -> None:
    scenario = rt.Scenario(name="a", van=VAN, trip=TRIP)
    assert scenario.replace(name="b", trials=5) == rt.Scenario(name="b", van=VAN, trip=TRIP, trials=5)
    with pytest.raises(rt.InputError, match="did you mean trials"):
        scenario.replace(trails=5)
