"""Whether a site's normals and a trip's stops tell of a longitude with the wrong sign.

Normals are compared with the default climate of the place and of its mirror beyond Greenwich. Of 53 weather files at
their own places none is warned of, and 33 are with the sign turned round (`tests/long/climate_tables.py --signs`): the
others lie in the sea by neither sign, or in a climate like that of their mirror.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np

import ridethrough._core as _core

from ..model.classes import Climate, Site, Trip
from ..model.climate_source import is_default
from .world_climate import climate_at
from .world_grid import distance_km

SUN_SD, AIR_SD_K = 0.12, 1.5  # of the default climate against single files, with an altitude that is not known
# In such deviations, of the sun and the air together: what is taken for another place, and what for the same.
APART, ALIKE, ALIKE_TO_NOTHING = 3.0, 2.5, 1.5
FAR_KM = 2000.0  # between two stops: no drive that a stop allows


def place_warnings(trip: Trip) -> list[str]:
    """What is told before a number."""
    if trip.site is not None:
        return _of_normals(trip.site, "Site")
    found = [text for stop in trip.stops for text in _of_normals(stop.site, f"Trip.stops.{stop.name}.site")]
    for before, stop in pairwise(trip.stops):
        at = before.site.latitude, before.site.longitude
        there, mirrored = (float(distance_km(*at, stop.site.latitude, sign * stop.site.longitude)) for sign in (1, -1))
        if there > FAR_KM and mirrored < there / 3:
            what = f"it lies {there:,.0f} km from {before.name}, and {mirrored:,.0f} km with the other sign"
            found.append(_asked(f"Trip.stops.{stop.name}.site", stop.site.longitude, what))
    return found


def _of_normals(site: Site, path: str) -> list[str]:
    if site.climate is None or is_default(site.climate):
        return []
    here, mirrored = (misfit(site.climate, site.latitude, sign * site.longitude, site.altitude_m) for sign in (1, -1))
    if not is_turned_round(here, mirrored):
        return []
    is_land = "are far from those of that place" if here is not None else "belong to no place in the sea"
    what = f"its twelve normals {is_land} and close to those of {-site.longitude:g} deg, by the worldwide default"
    return [_asked(path, site.longitude, what)]


def _asked(path: str, longitude: float, what: str) -> str:
    return f"{path}.longitude = {longitude:g} deg: {what}; is the sign of the longitude right? east is positive"


def is_turned_round(here: float | None, mirrored: float | None) -> bool:
    """By the misfits at a place and at its mirror, of which None stands for the sea."""
    if mirrored is None:
        return False
    if here is None:
        return mirrored < ALIKE_TO_NOTHING
    return here > APART and mirrored < min(ALIKE, here / 2)


@lru_cache(maxsize=4096)
def misfit(climate: Climate, latitude: float, longitude: float, altitude_m: float | None) -> float | None:
    """Root mean square of the months, sun and air in their deviations; None where there is no default climate."""
    try:
        default = climate_at(latitude, longitude, altitude_m)
    except _core.InputError:
        return None
    sun, other = np.array(climate.ghi_kwh_m2_day), np.array(default.ghi_kwh_m2_day)
    light = (sun > 0) & (other > 0)
    air_k = np.subtract(climate.air_temp_c, default.air_temp_c)
    off = np.log(sun[light] / other[light])
    return float(
        np.hypot(np.sqrt(np.mean(off**2)) / SUN_SD if light.any() else 0, np.sqrt(np.mean(air_k**2)) / AIR_SD_K)
    )
