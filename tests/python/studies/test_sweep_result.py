"""Labels and coordinates of a sweep, and what is refused before it is run."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from optional import there
from study_fixture import TRIP, VAN

xarray = pytest.importorskip("xarray")


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_labels_keep_their_kind_and_a_base_may_be_the_value_itself():
    noon = dt.datetime(2026, 11, 6, 12)
    cases: tuple[tuple[str, list[Any], Any, str | None], ...] = (
        ("towed", [True, False], True, "b"),
        ("battery.age_years", [None, 5.0], None, "f"),
        ("battery.age_years", [None, 5], 5.0, "f"),
        ("trip.start", [dt.date(2026, 11, 6), noon], dt.date(2026, 11, 6), None),
        ("trip.start", [noon, dt.date(2026, 11, 6)], "2026-11-06 12:00", None),
        ("fridge", [rt.Fridge(volume_l=40), None][:1], rt.Fridge(volume_l=40), None),
    )
    for axis, values, base, kind in cases:
        found = rt.sweep(VAN, TRIP, {axis: values}, trials=20, base={axis: base}, progress=False)
        first = found["risk_difference"].values[values.index(base) if base in values else 0]
        assert first == 0 and (kind is None or found[axis].dtype.kind == kind)
        assert str(found)
    towed = rt.sweep(VAN, TRIP, {"towed": [True, False]}, trials=20, progress=False)
    assert towed.sel(towed=True)["risk"] == towed["risk"][0]
    ages = rt.sweep(VAN, TRIP, {"battery.age_years": [None, 5.0]}, trials=20, progress=False)
    assert ages.sel({"battery.age_years": 5.0})["risk"] == ages["risk"][1]
    with pytest.raises(rt.InputError, match=r"base\['towed'\] = 1: allowed True, False"):
        rt.sweep(VAN, TRIP, {"towed": [True, False]}, trials=20, base={"towed": 1})


def test_an_axis_of_sites_has_their_coordinates():
    elsewhere = there(there(TRIP.site).climate).replace(name="b", latitude=41.0, longitude=-87.5)
    sites = [
        TRIP.site,
        rt.Site(latitude=41, longitude=-87.5, climate=elsewhere),
    ]
    for axes, along in (({"trip.site": sites}, "trip.site"), ({"place": {"a": {"trip.site": sites[1]}}}, "place")):
        found = rt.sweep(VAN, TRIP, axes, trials=10, progress=False)
        assert found["latitude"].dims == (along,) and found["longitude"].attrs["units"] == "degrees_east"
        assert found["latitude"].values[-1] == 41 and found["longitude"].values[-1] == -87.5


@pytest.mark.parametrize("start", [dt.datetime(2026, 11, 6, 12, 0, 30), np.datetime64("2026-11-06T12:00:00.5")])
def test_seconds_of_a_start_are_refused_as_a_trip_refuses_them(start):
    with pytest.raises(rt.InputError, match=r"Trip\.start = .*allowed full hours"):
        rt.sweep(VAN, TRIP, {"trip.start": [start]}, trials=20)
