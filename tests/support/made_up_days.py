"""A van and a trip of a hindcast, and made-up days to play it on."""

from __future__ import annotations

import numpy as np
import pytest
import ridethrough as rt
from ridethrough import _core

pd = pytest.importorskip("pandas")


SITE = rt.Site(latitude=36.1, longitude=-79.95)


VAN = rt.Van(
    battery=rt.AgmBattery(capacity_ah=80),
    solar=rt.SolarArray(rated_w=150),  # no heater, which would empty such a battery whatever the sun
    loads=[*rt.Van().without("heater").loads, rt.Standby(name="more", current_a=0.5)],
)


TRIP = rt.Trip(site=SITE, start="2020-07-01 15:00", nights=2)


def daily(days=800, start="2001-01-01", seed=3):
    """Made-up days: clearness anywhere from .1 to .7, a plain year of temperatures."""
    index = pd.date_range(start, periods=days, freq="D")
    first = int(index[0].to_numpy().astype("datetime64[D]").astype(int))
    h0 = _core.sky_days(first, days, 36.1, -79.95, -5.0)["h0_wh_m2"]
    mean = 14 - 12 * np.cos(2 * np.pi * (index.day_of_year.to_numpy() - 15) / 365)
    k = np.random.default_rng(seed).uniform(0.1, 0.7, days)
    return pd.DataFrame({"ghi_kwh_m2": k * h0 / 1000, "temp_min_c": mean - 5, "temp_max_c": mean + 5}, index=index)
