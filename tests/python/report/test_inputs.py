"""Every input as it is played."""

from __future__ import annotations

from typing import Any

import pytest
import ridethrough as rt
import ridethrough._core as _core
from ridethrough.report.inputs import Input, inputs_of


def _inputs(**more: Any) -> dict[str, Input]:
    trip = rt.Trip(site=rt.Site(latitude=44.5, longitude=-110), start="2026-09-22", nights=4, **more)
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=100))
    return {one.path: one for one in inputs_of(van, trip)}


def _drawn(path: str, trip: rt.Trip, van: rt.Van) -> tuple[float, float]:
    risk = rt.simulate(van, trip, trials=400, seed=1)
    drawn = _core.trace(risk.compiled, list(range(400)), 1, "double", ["soc"])["drawn"]
    column = drawn[:, risk.compiled.parameter_paths.index(path)]
    return float(column.min()), float(column.max())


@pytest.mark.parametrize("place", ["open", "park_plot", "scattered_trees", "forest"])
def test_shade_that_surroundings_set_is_the_one_played(place: Any) -> None:
    """Against what the engine drew."""
    shade = _inputs(surroundings=place)["trip.shade_beam"]
    assert shade.value.endswith(f"by surroundings = {place}") and "open ground" not in shade.source
    low, high = (float(end) for end in shade.value.split(",")[0].split(" to "))
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=100))
    site = rt.Site(latitude=44.5, longitude=-110)
    trip = rt.Trip(site=site, start="2026-09-22", nights=1, surroundings=place)
    least, most = _drawn("trip.shade_beam", trip, van)
    assert low <= least < most <= high and most - least > 0.7 * (high - low)


def test_only_what_differs_from_the_default_is_called_given() -> None:
    """A starter file writes usual values."""
    assert _inputs(habits_scale=0.8)["trip.habits_scale"].origin == "given"
    usual = _inputs(weather="generated")["trip.weather"]
    assert usual.origin == "usual value" and usual.source
    assert "default climate" in _inputs()["trip.site.climate"].value
