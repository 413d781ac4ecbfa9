"""Every input as it is played."""

from __future__ import annotations

from pathlib import Path
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


def test_what_a_starter_file_wrote_is_told_from_what_was_answered(tmp_path: Path) -> None:
    answers: dict[str, Any] = {"latitude": 44.5, "longitude": -110, "start": "2026-09-22", "nights": 5}
    rt.new_scenario(tmp_path / "a.toml", **answers)
    rt.new_scenario(tmp_path / "b.toml", **answers, rated_w=240, heater="evening and morning", battery="lithium")
    usual, own = (
        {one.path: one for one in inputs_of(made.van, made.trip)}
        for made in (rt.load_scenario(tmp_path / "a.toml"), rt.load_scenario(tmp_path / "b.toml"))
    )
    written = ("van.solar.rated_w", "van.battery.capacity_ah", "van.fridge.volume_l", "trip.surroundings")
    assert {usual[path].origin for path in written} == {"usual value of a starter file"}
    assert {usual[f"trip.{name}"].origin for name in ("nights", "start", "site.latitude")} == {"given"}
    given = {path for path in own if own[path].kind == "given" and not own[path].usual}
    assert {"van.solar.rated_w", "van.loads.heater.all_night"} <= given and not given & {*written[1:]}
    assert own["van.loads.heater.morning_until_h"].usual, "it goes with the answer"
    assert own["van.solar.rated_w"].kind == usual["van.solar.rated_w"].kind == "given"
