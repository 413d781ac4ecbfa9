"""Faults of the model that are known and not yet mended: a test that passes again says that its fault is gone."""

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.report import plots

PLACE = {"latitude": 45.0, "longitude": 5.0}
SITE = rt.Site(
    **PLACE, climate=rt.Climate(ghi_kwh_m2_day=[2.0] * 12, air_temp_c=[10.0] * 12, **PLACE), time_zone="Etc/GMT"
)


@pytest.mark.xfail(strict=True, reason="storage counts the sun on the first array alone")
def test_two_half_arrays_charge_a_stored_battery_as_one_does():
    trip = rt.Trip(site=SITE, start="2026-06-01 12:00", nights=1, storage=rt.Storage(weeks=3.0))
    battery = rt.AgmBattery(initial_soc=0.4)
    one = rt.Van(battery=battery, solar=rt.SolarArray(rated_w=40.0))
    two = one.replace(solar=rt.SolarArray(rated_w=20.0), more_solar=[rt.SolarArray(name="second", rated_w=20.0)])
    first = [
        np.mean(rt.simulate(van, trip, trials=200, seed=1, time_series=True).time_series["soc"][:, 0])
        for van in (one, two)
    ]
    assert first[1] == pytest.approx(first[0], abs=0.01)


@pytest.mark.xfail(strict=True, reason="pictures read a trip's own drives and nights, not those of its stops")
def test_pictures_show_drives_and_powered_nights_of_stops():
    stops = [rt.Stop(name="a", site=SITE, nights=2), rt.Stop(name="b", site=SITE, nights=2, power="shore")]
    trip = rt.Trip(stops=stops, start="2026-06-01 12:00")
    van = rt.Van(mains=rt.MainsCharger(), dc_dc=rt.DcDcCharger())
    risk = rt.simulate(van, trip, trials=50, seed=1)
    assert np.mean(risk.columns["dc_dc_wh"]) > 10 and np.mean(risk.columns["mains_wh"]) > 10
    assert plots._drives(risk) and plots._plugged(risk)
