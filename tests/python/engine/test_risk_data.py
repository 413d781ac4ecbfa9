"""A risk as labelled data."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd
import pytest
import ridethrough as rt
from study_fixture import TRIP, VAN

pytest.importorskip("xarray")


pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")


def test_a_summary_without_columns_has_a_row_each_night() -> None:
    risk = rt.simulate(VAN, TRIP, trials=64, seed=3, keep="summary")
    frame = risk.to_dataframe()
    assert frame["survival"].tolist() == [estimate.value for estimate in risk.survival()]
    assert frame["night"].tolist() == [1, 2, 3] and frame.attrs["units"]["survival"] == "1"


def test_paths_of_a_risk_have_time_and_units() -> None:
    risk = rt.simulate(VAN, TRIP.replace(start="2026-10-30 15:00"), trials=16, seed=3, time_series=["soc"])
    data = risk.to_xarray()
    assert data["soc"].dims == ("trial", "hour") and data["soc"].attrs["units"] == "1"
    np.testing.assert_array_equal(data["soc"], risk.time_series["soc"])
    # Python's own zone data: New York leaves summer time on 1 November 2026 at 2:00, 35 h after the start.
    assert data["time_utc"].values[0] == np.datetime64("2026-10-30T20:00")
    assert data["local_time"].values[0] == np.datetime64("2026-10-30T16:00")
    assert data["local_time"].values[47] == np.datetime64("2026-11-01T14:00")
    assert data["local_time"].attrs["time_zone"] == "America/New_York"
    paths = risk.time_series
    for name in ("time_utc", "local_time"):
        np.testing.assert_array_equal(paths[name], data[name])
    assert paths["soc"].attrs["cell_methods"] == "hour: point"
    assert dict(paths["soc"].mean("trial").groupby("local_time.hour").mean().sizes) == {"hour": 24}
    assert all("long_name" in data[name].attrs for name in ("night", "trial", "hour", "time_utc", "local_time"))
    assert list(paths) == ["soc"] and paths["soc"].dims == ("trial", "hour")
    assert paths["soc"].attrs["units"] == "1" and "charge" in paths["soc"].attrs["long_name"]
    time = paths["time"].to_index()
    assert isinstance(time, pd.DatetimeIndex) and str(time.tz) == "America/New_York"
    # Four hours behind UTC in summer time, five from 2:00 on 1 November.
    assert [str(time[i]) for i in (0, 35)] == ["2026-10-30 16:00:00-04:00", "2026-11-01 02:00:00-05:00"]
    np.testing.assert_array_equal(time.tz_convert("UTC").tz_localize(None), data["time_utc"])
    elsewhere = TRIP.replace(**{"site.utc_offset_h": -5, "site.time_zone": None})
    fixed = rt.simulate(VAN, elsewhere, trials=1, time_series=["soc"]).time_series["time"].to_index()
    assert isinstance(fixed, pd.DatetimeIndex) and fixed[0].utcoffset() == dt.timedelta(hours=-5)
    assert data.attrs["latitude"] == 36.1 and data.attrs["place"] == "Greensboro"
