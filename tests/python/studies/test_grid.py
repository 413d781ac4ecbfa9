"""Axes of a grid and the cells that they span."""

from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.studies.grid import grid_of
from study_fixture import SITE, TRIP, VAN


def test_a_value_may_change_several_things_and_lengths_may_differ():
    how: dict[str, Any] = {
        "home": {"trip.habits_scale": 0.8, "trip.nights": 2},
        "away": {"trip.habits_scale": 1.4, "trip.nights": 4},
    }
    found = rt.sweep(VAN, TRIP, {"customer": how}, trials=60, seed=1, progress=False)
    risk = rt.simulate(VAN, TRIP.replace(habits_scale=1.4, nights=4), trials=60, seed=1)
    assert found.risk.sel(customer="away") == risk.cutout.value
    assert np.isnan(found.risk_by_night.sel(customer="home").values).tolist() == [False, False, True, True]


OUTCOMES = ("share", "night", "cutout_cause", "risk", "trials", "food_warm_4h_low")


@pytest.mark.parametrize(
    ("axes", "words"),
    [
        ({"solar.rated_w": [100, 9000]}, "rated_w.*9000.*0 to 5000"),
        ({"solar.rated_watts": [100]}, "rated_w"),
        ({"solar.rated_w": 100}, "allowed a list of values"),
        ({"solar.rated_w": "abc"}, "allowed a list of values"),
        ({"solar.rated_w": []}, "no values"),
        ({"solar.rated_w": [100, 100]}, "two values called 100"),
        ({"trip": [VAN]}, "must be a Trip"),
        *(({name: {"a": {"solar.rated_w": 100}}}, f"'{name}' is the name of an outcome") for name in OUTCOMES),
        ({"a": {"x": {"solar.rated_w": 1}}, "solar.rated_w": [2]}, "both change"),
        ({f"loads.standby.current_a{i}": range(1000) for i in range(4)}, "cells; allowed"),
        ("solar.rated_w", "allowed a dict"),
        ({5: [1]}, "allowed a dict of dotted paths"),
    ],
)
def test_bad_axes_fail_before_any_cell(axes, words):
    printed = []
    with pytest.raises(rt.InputError, match=words):
        rt.sweep(VAN, TRIP, axes, trials=50, progress=lambda done, all_: printed.append(done))
    assert not printed


def test_places_without_a_name_go_by_their_coordinates():
    sites = [SITE.replace(climate=None, latitude=44.5, longitude=-110), SITE.replace(climate=None, latitude=-33.25)]
    (axis,) = grid_of(VAN, TRIP, {"trip.site": sites}).axes
    assert axis.labels == ("44.5 N 110 W", f"33.25 S {abs(SITE.longitude):g} W")
