"""Made-up hours of weather, and the climate made of a frame of them."""

from __future__ import annotations

import numpy as np
import pytest
import ridethrough as rt
from ridethrough import _core
from ridethrough.weather import climate_from_data

pd = pytest.importorskip("pandas")


def from_hourly(frame, label="left", **more):
    more = {"latitude": 36.1, "longitude": -79.95, **more}
    return climate_from_data.from_hourly(rt.Climate, frame, label=label, **more)


def made_up(start="2021-01-01", hours=8760 * 2, tz="Etc/GMT+5", freq="h"):
    """Two plain years: clearness .5 in every hour, a temperature that counts hours of the day."""
    index = pd.date_range(start, periods=hours, freq=freq, tz=tz)
    utc = (index - pd.Timestamp(0, tz="UTC")).total_seconds().to_numpy() / 3600
    half = (index[1] - index[0]).total_seconds() / 7200
    cos_zenith, _, factor = _core.sun_position(utc + half, 36.1, -79.95)
    noise = np.random.default_rng(1).normal(0, 1, hours)
    ghi = 1361 * factor * np.maximum(cos_zenith, 0) * 0.5 * (1 + 0.1 * np.clip(noise, -2, 2))
    return pd.DataFrame({"ghi": ghi, "temp_air": 10 + index.hour / 10.0 + noise}, index=index)
