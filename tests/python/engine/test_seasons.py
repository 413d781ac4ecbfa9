"""Seasons by the normals of temperature: nothing turns over at the equator."""

from __future__ import annotations

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.engine.model_error import model_error_of_risk
from ridethrough.engine.seasons import Season, season_of

SIZES = [0.1, 0.4, 0.0, 0.3]


def normals(half_swing_k: float) -> list[float]:
    return list(20 + half_swing_k * np.cos(np.pi * (np.arange(12) - 6.5) / 6))


def test_the_warm_half_of_the_year_says_which_season_it_is() -> None:
    assert [season_of(normals(12), m).number for m in (1, 4, 7, 10)] == [0, 1, 2, 3]
    assert [season_of(normals(-12), m).number for m in (1, 4, 7, 10)] == [2, 3, 0, 1]
    assert season_of(normals(12), 4) == Season(1, 1.0) and season_of(normals(2), 4).share == pytest.approx(0.5)
    assert season_of(normals(12), 4).adjective == "spring " and season_of(normals(1), 4).adjective == ""


def test_a_place_without_seasons_has_the_largest_of_the_four() -> None:
    assert season_of(normals(12), 7).of(SIZES) == 0.0
    assert season_of(normals(0), 7).of(SIZES) == pytest.approx(0.4)
    assert season_of(normals(1e-9), 3).of(SIZES) == pytest.approx(season_of(normals(-1e-9), 3).of(SIZES))


def test_the_models_error_is_the_same_on_both_sides_of_the_equator() -> None:
    found = []
    for latitude in (0.2, -0.2):
        climate = rt.Climate(latitude=latitude, longitude=30.0, ghi_kwh_m2_day=[5.5] * 12, air_temp_c=normals(0.5))
        site = rt.Site(latitude=latitude, longitude=30.0, time_zone="Africa/Kampala", climate=climate)
        van = rt.Van(battery=rt.AgmBattery(capacity_ah=60), solar=rt.SolarArray(rated_w=80))
        trip = rt.Trip(site=site, start="2026-03-10 15:00", nights=5)
        found.append(model_error_of_risk(rt.simulate(van, trip, trials=200, seed=1)).sd)
    assert found[0] == pytest.approx(found[1], rel=0.1)
