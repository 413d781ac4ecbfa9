"""What a study keeps of a cell, with units."""

import numpy as np
import pandas as pd
import ridethrough as rt
from study_fixture import TRIP, VAN


def test_a_chance_of_freezing_has_its_interval():
    found = rt.sweep(VAN, TRIP, {"solar.rated_w": [100]}, trials=20, progress=False).isel({"solar.rated_w": 0})
    none = rt.stats.wilson(0, 20)
    assert (found.frozen, found.frozen_low, found.frozen_high) == (0, none.low, none.high)
    assert "chance" in found.frozen.long_name and found.trials == 20


def test_times_are_times_and_counts_are_whole():
    days = pd.date_range("2026-11-06 15:00", periods=2, freq="D")
    found = rt.sweep(VAN, TRIP, {"trip.start": days}, trials=20, seed=1, base={"trip.start": days[1]})
    np.testing.assert_array_equal(found["trip.start"], days)
    assert found["trip.start"].dtype.kind == "M" and found["trials"].dtype == found["cutouts"].dtype == np.int64
    assert found.sel({"trip.start": "2026-11-07"})["risk_difference"] == 0
    assert [labels for labels, _ in found.cells()] == [("2026-11-06 15:00",), ("2026-11-07 15:00",)]
    assert "2026-11-06 15:00" in str(found)
    texts = rt.sweep(VAN, TRIP, {"trip.start": ["2026-11-06 15:00"]}, trials=20, seed=1)
    assert texts["trip.start"].values.tolist() == ["2026-11-06 15:00"], "a text stays the label that was given"


def test_units_of_axes_are_those_that_netcdf_knows():
    found = rt.sweep(VAN, TRIP, {"fridge.set_point_c": [3, 4], "trip.nights": [1, 2]}, trials=5, seed=1)
    assert found["fridge.set_point_c"].attrs["units"] == "degC" and found["trip.nights"].attrs["units"] == "1"
