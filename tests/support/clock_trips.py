"""Trips at places of many clocks."""

from __future__ import annotations

import numpy as np
import ridethrough as rt
import ridethrough._checks as _checks

# Latitude, longitude, zone: both hemispheres, half and quarter hours, a change by half an hour.
PLACES = {
    "carolina": (36.10, -79.95, "America/New_York"),
    "andalusia": (36.72, -4.42, "Europe/Madrid"),
    "tasmania": (-42.88, 147.33, "Australia/Hobart"),
    "lord_howe": (-31.55, 159.08, "Australia/Lord_Howe"),
    "deccan": (17.4, 78.5, "Asia/Kolkata"),
    "himalaya": (27.7, 85.3, "Asia/Kathmandu"),
}


def site(name="carolina", record=None, **fields):
    latitude, longitude, _ = PLACES[name]
    sky = np.asarray(_checks.monthly_h0_wh_m2(latitude)) / 1000
    climate = rt.Climate(
        latitude=latitude, longitude=longitude, ghi_kwh_m2_day=0.45 * sky, air_temp_c=[15.0] * 12, weather_series=record
    )
    return rt.Site(latitude=latitude, longitude=longitude, climate=climate, **fields)


def trip(start, name="carolina", nights=2, where=None, **more):
    return rt.Trip(site=where or site(name), start=start, nights=nights, **more)
