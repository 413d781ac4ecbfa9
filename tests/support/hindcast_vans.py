"""The ten vans of the hindcast, and one number for the model that their stored tables come from."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
import ridethrough as rt

# Greensboro, North Carolina (typical year TMY3 723170, US public domain).
_PLACE: dict[str, Any] = {"latitude": 36.10, "longitude": -79.95}
_CLIMATE = rt.Climate(
    **_PLACE,
    ghi_kwh_m2_day=[2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24],
    air_temp_c=[0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2],
)


def vans(nights: int = 5) -> dict[str, tuple[rt.Van, float, float]]:
    """Van, Wh of its battery and the share a worksheet lets one use; comfortable to marginal.

    For other than 5 nights the batteries change with the root of the nights, so that most stay marginal.
    """
    size = (nights / 5) ** 0.5

    def van(battery: Any, solar_w: float, standby_a: float = 0.1, **more: Any) -> rt.Van:
        base = rt.Van(battery=battery, solar=rt.SolarArray(rated_w=solar_w), **more)
        return base.replace(loads=[*base.loads, rt.Standby(name="more", current_a=standby_a)])

    def agm(capacity_ah: float) -> rt.AgmBattery:
        return rt.AgmBattery(capacity_ah=round(size * capacity_ah, 1))

    def lfp(capacity_ah: float) -> rt.LithiumBattery:
        return rt.LithiumBattery(capacity_ah=round(size * capacity_ah, 1))

    made = {
        "AGM 150 Ah, 220 W": (van(agm(capacity_ah=150), 220), 150, 0.5),
        "AGM 100 Ah, 220 W": (van(agm(capacity_ah=100), 220), 100, 0.5),
        "AGM 100 Ah, 150 W": (van(agm(capacity_ah=100), 150, 0.5), 100, 0.5),
        "AGM 150 Ah, 120 W": (van(agm(capacity_ah=150), 120, 0.5), 150, 0.5),
        "AGM 220 Ah, 160 W": (van(agm(capacity_ah=220), 160, 1.5), 220, 0.5),
        "LFP 100 Ah, 300 W": (van(lfp(capacity_ah=100), 300), 100, 0.8),
        "LFP 100 Ah, 180 W": (van(lfp(capacity_ah=100), 180, 0.5), 100, 0.8),
        "LFP 120 Ah, 120 W": (van(lfp(capacity_ah=120), 120, 0.5), 120, 0.8),
        "LFP 160 Ah, 200 W": (van(lfp(capacity_ah=160), 200, 1.5), 160, 0.8),
        "LFP 60 Ah, 150 W": (van(lfp(capacity_ah=60), 150), 60, 0.8),
    }
    return {name: (v, 12 * ah * size, usable) for name, (v, ah, usable) in made.items()}


def model_stamp(fleet: Mapping[str, rt.Van] | None = None) -> str:
    """Digest of these vans' cut-outs and lowest charge in four seasons, on generated days of both kinds and on measured
    ones: any change of an answer moves it, and nothing else should."""
    fleet = {name: van for name, (van, _, _) in vans().items()} if fleet is None else fleet
    digest = hashlib.sha256()

    def add(columns: Mapping[str, np.ndarray]) -> None:
        for name in ("cutout_cause", "first_cutout_h", "min_soc"):
            digest.update(np.asarray(columns[name], dtype="<f8").tobytes())

    site = rt.Site(**_PLACE, climate=_CLIMATE)
    trip = rt.Trip(site=site, start="2026-01-15 15:00", nights=5)
    bendt = trip.replace(site=site.replace(climate=_CLIMATE.replace(clearness_days="bendt")))
    for van in fleet.values():
        for month in (1, 4, 7, 10):
            for plan in (trip, bendt):
                plan = plan.replace(start=f"2026-{month:02d}-15 15:00")
                add(rt.simulate(van, plan, trials=32, seed=1, precision="double").columns)
    index = pd.date_range("2001-01-01", "2001-12-31", freq="D")
    wave = np.cos(2 * np.pi * (index.day_of_year - 172) / 365) + 0.3 * np.sin(1.7 * np.arange(365) ** 2)
    days = pd.DataFrame(
        {"ghi_kwh_m2": 4 + 1.7 * wave, "temp_min_c": 8 + 10 * wave, "temp_max_c": 18 + 11 * wave}, index=index
    )
    for van in [*fleet.values()][:2]:
        found = rt.hindcast(van, trip.replace(site=site.replace(climate=None)), days, trials=1, seed=1)
        digest.update(found["cutout"].to_numpy(dtype="<f8").tobytes())
    return digest.hexdigest()[:16]
