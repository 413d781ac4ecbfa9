"""A quick call of simulate and of every study, and the numbers that it gives."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import ridethrough as rt
from study_fixture import SITE, TRIP, VAN

DAYS = pd.date_range("2020-01-01", "2020-12-31", freq="D")
RECORD = pd.DataFrame(
    {"ghi_kwh_m2": np.where(DAYS.day_of_year % 3, 2.0, 0.8), "temp_min_c": 3.0, "temp_max_c": 11.0}, index=DAYS
)

CALLS: dict[str, Any] = {  # how a quick run of each is called, and the numbers that it gives
    "simulate": (lambda **how: rt.simulate(VAN, TRIP, trials=200, **how), lambda r: r.columns["first_cutout_h"]),
    "compare": (
        lambda **how: rt.compare(VAN, {"a": VAN.replace(**{"solar.rated_w": 200})}, TRIP, trials=100, **how),
        lambda c: c["a"]["hours_off"].difference.value,
    ),
    "cutout_settings": (
        lambda **how: rt.cutout_settings(
            VAN, TRIP, [10.6], makers_range_v=(9, 12), dedicated_house_battery=True, trials=100, **how
        ),
        lambda t: t.settings[0].risk.value,
    ),
    "hindcast": (
        lambda **how: rt.hindcast(VAN, TRIP, RECORD, trials=1, **how),
        lambda frame: frame["min_soc"].to_numpy(),
    ),
    "iso_risk": (
        lambda **how: rt.iso_risk(VAN, TRIP, [200], 0.5, within=(60, 120), step=20, trials=100, **how),
        lambda found: found.points[0].size.risk.value,
    ),
    "lithium_pays": (
        lambda **how: rt.lithium_pays(VAN, TRIP, trials=100, **how),
        lambda found: [found.lithium_less_new_agm.value, found.pays_against_new.share],
    ),
    "monthly_risk": (
        lambda **how: rt.monthly_risk(VAN, TRIP, trials=1, **how),
        lambda frame: frame["solar_wh_day"].to_numpy(),
    ),
    "quasi_means": (
        lambda **how: rt.quasi_means(VAN, TRIP, trials=64, replicates=4, **how),
        lambda found: found["solar_wh"].value,
    ),
    "rare_risk": (
        lambda **how: rt.rare_risk(VAN, TRIP, trials=4000, shifts={}, **how),
        lambda rare: [rare.cutout.value, rare.effective_failures],
    ),
    "sensitivity": (
        lambda **how: rt.sensitivity(
            VAN,
            TRIP,
            {"battery.capacity_ah": rt.spreads.uniform(60, 100)},
            method="morris",
            samples=2,
            trials=30,
            outcome="hours_below_half",
            **how,
        ),
        lambda found: found.dataset["mu_star"].values,
    ),
    "size": (
        lambda **how: rt.size(VAN, TRIP, "solar.rated_w", 0.5, step=50, trials=100, **how),
        lambda found: [estimate.value for estimate in found.tried.values()],
    ),
    "sweep": (
        lambda **how: rt.sweep(VAN, TRIP, {"solar.rated_w": [100, 200]}, trials=50, **how),
        lambda found: found["risk"].values,
    ),
    "upgrades": (
        lambda **how: rt.upgrades(VAN, TRIP, rt.catalogue(VAN, TRIP)[:2], trials=100, **how),
        lambda found: [entry.risk.value for entry in found.all],
    ),
    "van_range": (
        lambda **how: rt.van_range(
            {"a": VAN}, TRIP, sites=[SITE], customers={"light_couple": 1}, months=[6], trials=50, **how
        ),
        lambda found: found.mix["risk"].values,
    ),
    "worksheet": (
        lambda **how: rt.worksheet(VAN, TRIP, trials=100, **how),
        lambda found: [found.battery.capacity_ah, found.risk.cutout.value],
    ),
}
