"""Vans that differ from what their owners know of them: random vans on random trips, and twins with planted errors.

A twin is the same van on the same trip with the middle of every uncertain figure moved by an amount drawn from the
table of causes, which stays for all its trials. The chance of the twin, from trials of its own, is what the range
should hold.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import ridethrough as rt
from ridethrough.engine import error_causes, model_error
from ridethrough.model.parameter_paths import field_at, replace_values, value_at
from ridethrough.model.places import with_climates

PLACES = [
    (36.1, -79.95),
    (47.4, 8.5),
    (52.4, 13.1),
    (60.2, 24.9),
    (28.5, -16.3),
    (-33.9, 18.4),
    (41.3, 2.1),
    (39.7, -105),
]
LOADS = [rt.Lights(), rt.WaterPump(), rt.Phones(), rt.Laptop(), rt.Fan(), rt.Standby(), rt.Inverter(), rt.Heater()]


def random_case(rng: np.random.Generator) -> tuple[rt.Van, rt.Trip]:
    """A van with usual loads, a battery and a panel of any usual size, at one of eight places in any month."""
    kind = rt.LithiumBattery if rng.random() < 0.5 else rt.AgmBattery
    kept: Any = [load for load in LOADS if rng.random() < 0.8]
    capacity_ah, rated_w = float(rng.integers(60, 260)), float(rng.integers(8, 45) * 10)
    mounting: Any = str(rng.choice(["glued", "framed"]))
    van = rt.Van(
        battery=kind(capacity_ah=capacity_ah),
        solar=rt.SolarArray(rated_w=rated_w, mounting=mounting),
        fridge=rt.Fridge(volume_l=float(rng.integers(35, 110))),
        loads=kept,
    )
    latitude, longitude = PLACES[rng.integers(len(PLACES))]
    site = rt.Site(latitude=latitude, longitude=longitude)
    if rng.random() < 0.5:  # normals of the place's own, which say nothing of their error
        there: Any = with_climates(rt.Trip(site=site, start="2026-06-01", nights=1)).site
        climate = there.climate
        site = site.replace(climate=climate.replace(ghi_scale=1, air_temp_offset_k=0, source="made for a test"))
    start = f"2026-{rng.integers(1, 13):02d}-12 15:00"
    return van, rt.Trip(site=site, start=start, nights=int(rng.integers(2, 8)))


def doubtful_case(rng: np.random.Generator, pilot: int = 400, threads: int = 0) -> tuple[rt.Van, rt.Trip]:
    """A random case of which some trials fail and some hold."""
    while True:
        van, trip = random_case(rng)
        risk = rt.simulate(van, trip, trials=pilot, seed=99, threads=threads, precision="single", progress=False)
        if 0.02 < risk.cutout.value < 0.98:
            return van, trip


def twin_of(van: rt.Van, trip: rt.Trip, rng: np.random.Generator) -> tuple[rt.Van, rt.Trip]:
    """The van and the trip with an error planted for each cause, correlated as the table says."""
    trip = with_climates(trip)
    places = error_causes.places_of_causes(van, trip)
    names = list(dict.fromkeys(place.cause.name for place in places))
    root = np.linalg.cholesky(error_causes.correlation_matrix(names))
    scores = dict(zip(names, root @ rng.standard_normal(len(names)), strict=True))
    changes = {
        place.path: error_causes.fixed_value(
            value_at(van, trip, place.path), field_at(van, trip, place.path), place, float(scores[place.cause.name])
        )
        for place in places
    }
    return replace_values(van, trip, changes)


@dataclass(frozen=True)
class Planted:
    """One van and its twin."""

    risk: rt.Risk
    twin: float  # its chance
    sized: bool
    low: float
    high: float
    score: float  # the twin's distance in standard deviations of the log odds

    @property
    def held(self) -> bool:
        return self.low <= self.twin <= self.high


def plant(van: rt.Van, trip: rt.Trip, rng: np.random.Generator, *, trials: int, seed: int, threads: int = 0) -> Planted:
    """A case with its twin's chance, and the range by the causes that can be planted (weather's is no such)."""
    how: dict[str, Any] = {"trials": trials, "threads": threads, "precision": "single", "progress": False}
    risk = rt.simulate(van, trip, seed=seed, **how)
    error = risk.model_error
    drawn = tuple(part for part in error.parts if part[0] in model_error._DRAWN)
    error = replace(error, parts=drawn, too_low=0.0)
    low, high = error.together(risk.cutout)
    other = rt.simulate(*twin_of(van, trip, rng), seed=seed + 1, **how)
    half = 1 / (2 * trials)  # so that none and all have log odds too
    p, q = (min(max(x, half), 1 - half) for x in (risk.cutout.value, other.cutout.value))
    apart = math.log(q / (1 - q)) - math.log(p / (1 - p))
    return Planted(risk, other.cutout.value, bool(error.effects), low, high, apart / error.sd)
