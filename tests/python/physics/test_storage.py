"""The weeks before a trip through the whole engine."""

from typing import Any

import numpy as np
import pytest
import ridethrough as rt

PLACE: dict[str, Any] = {"latitude": 45.0, "longitude": 5.0}
SITE = rt.Site(
    **PLACE, climate=rt.Climate(ghi_kwh_m2_day=[2.0] * 12, air_temp_c=[10.0] * 12, **PLACE), time_zone="Etc/GMT"
)


def test_two_half_arrays_charge_a_stored_battery_as_one_does():
    trip = rt.Trip(site=SITE, start="2026-06-01 12:00", nights=1, storage=rt.Storage(weeks=3.0))
    battery = rt.AgmBattery(initial_soc=0.4)
    one = rt.Van(battery=battery, solar=rt.SolarArray(rated_w=40.0, self_consumption_ma=0))
    half = rt.SolarArray(rated_w=20.0, self_consumption_ma=0)
    two = one.replace(arrays=[half, half])
    first = [
        np.mean(rt.simulate(van, trip, trials=200, seed=1, time_series=True).time_series_values["soc"][:, 0])
        for van in (one, two)
    ]
    assert first[1] == pytest.approx(first[0], abs=0.01)


def test_a_charge_controller_draws_on_a_stored_battery() -> None:
    """100 mA for three weeks are 50 Ah, which the isolator does not switch off. By hand."""
    trip = rt.Trip(
        site=SITE,
        start="2026-06-01 12:00",
        nights=1,
        storage=rt.Storage(weeks=3.0, solar="under_roof", isolator="off"),
    )
    battery = rt.AgmBattery(capacity_ah=100, state_of_health=1, initial_soc=0.9)
    soc = [
        np.mean(
            rt.simulate(
                rt.Van(battery=battery, solar=rt.SolarArray(self_consumption_ma=own_ma)),
                trip,
                trials=50,
                seed=1,
                time_series=True,
            ).time_series_values["soc"][:, 0]
        )
        for own_ma in (0, 100)
    ]
    assert soc[0] - soc[1] == pytest.approx(50.4 / 100, rel=0.15)  # a full battery holds a little more than rated
