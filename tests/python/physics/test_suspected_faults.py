"""Faults of the model that are known and not yet mended: a test that passes again says that its fault is gone."""

from typing import Any

import numpy as np
import pytest
import ridethrough as rt

PLACE: dict[str, Any] = {"latitude": 45.0, "longitude": 5.0}
SITE = rt.Site(
    **PLACE, climate=rt.Climate(ghi_kwh_m2_day=[2.0] * 12, air_temp_c=[10.0] * 12, **PLACE), time_zone="Etc/GMT"
)


@pytest.mark.xfail(strict=True, reason="storage counts the sun on the first array alone")
def test_two_half_arrays_charge_a_stored_battery_as_one_does():
    trip = rt.Trip(site=SITE, start="2026-06-01 12:00", nights=1, storage=rt.Storage(weeks=3.0))
    battery = rt.AgmBattery(initial_soc=0.4)
    one = rt.Van(battery=battery, solar=rt.SolarArray(rated_w=40.0))
    two = one.replace(arrays=[rt.SolarArray(rated_w=20.0), rt.SolarArray(rated_w=20.0)])
    first = [
        np.mean(rt.simulate(van, trip, trials=200, seed=1, time_series=True).time_series["soc"][:, 0])
        for van in (one, two)
    ]
    assert first[1] == pytest.approx(first[0], abs=0.01)
