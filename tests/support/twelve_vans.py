"""A day in twelve vans, over climates and seasons: totals that somebody who knows vans can check.

The climates are the built-in ones of the places. Each range was set down before any run. It is from memory, built from
what people tell of fridges by the temperature around them (a chest of 50 l at 20, 25, 32, 38 degC takes 9 to 22, 12 to
30, 18 to 46, 25 to 65 Ah a day), from 4.5 to 6.1 Ah for 100 W and hour of full sun, and from day totals of a couple: 20
to 55 Ah in mild weather, 35 to 100 in winter with a heater. No published measurements of such vans were found.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
import ridethrough as rt

TRIALS, NIGHTS = 300, 5
NOMINAL_V = 12.0


@dataclass(frozen=True)
class Case:
    """A van, its place and date; ranges of a mean day."""

    name: str
    van: rt.Van
    latitude: float
    longitude: float
    start: str
    fridge_ah: tuple[float, float]
    others_ah: tuple[float, float]
    sun_h: tuple[float, float]  # what the panel could give, over its rating: kWh per kW
    afternoon_k: tuple[float, float]  # cabin over outdoor air, 13 to 16 h
    night_c: tuple[float, float]  # cabin, 2 to 5 h
    altitude_m: float | None = None
    missed: Mapping[str, str] = field(default_factory=dict, hash=False)  # totals out of their range, and why


def chest(battery: Any, rated_w: float, **more: Any) -> rt.Van:
    """The default van with its fridge, a 55 l chest."""
    return rt.Van(battery=battery, solar=rt.SolarArray(rated_w=rated_w), **more)


def upright(battery: Any, rated_w: float, **more: Any) -> rt.Van:
    return chest(battery, rated_w, fridge=rt.Fridge(volume_l=85, form="upright"), **more)


AGM, LITHIUM = rt.AgmBattery, rt.LithiumBattery
PWM = rt.SolarArray(rated_w=150, charge_controller="pwm")
CASES = [
    Case(
        "North Carolina in May, AGM 100 Ah, 200 W",
        chest(AGM(capacity_ah=100), 200),
        36.1,
        -79.9,
        "2026-05-10 15:00",
        (9, 24),
        (12, 35),
        (3.2, 4.8),
        (1, 6),
        (13, 22),
    ),
    Case(
        "North Carolina in July, lithium 100 Ah, 200 W",
        chest(LITHIUM(capacity_ah=100), 200),
        36.1,
        -79.9,
        "2026-07-10 15:00",
        (16, 38),
        (12, 40),
        (3.2, 5.0),
        (1, 6),
        (20, 28),
    ),
    Case(
        "North Carolina in November, AGM 150 Ah, 200 W",
        chest(AGM(capacity_ah=150), 200),
        36.1,
        -79.9,
        "2026-11-20 15:00",
        (5, 15),
        (22, 60),
        (1.3, 2.5),
        (3, 14),
        (9, 19),
    ),
    Case(
        "Hesse in December, lithium 200 Ah, 300 W",
        chest(LITHIUM(capacity_ah=200), 300),
        51.3,
        9.5,
        "2026-12-10 15:00",
        (4, 13),
        (28, 75),
        (0.1, 0.7),
        (8, 20),
        (9, 19),
    ),
    Case(
        "Nevada desert in July, AGM 200 Ah, 300 W",
        chest(AGM(capacity_ah=200), 300),
        36.6,
        -116.4,
        "2026-07-10 15:00",
        (28, 75),
        (15, 60),
        (4.2, 6.0),
        (1, 6),
        (22, 34),
    ),
    Case(
        "Victoria in July, AGM 120 Ah, 200 W",
        chest(AGM(capacity_ah=120), 200),
        -37.0,
        144.8,
        "2026-07-10 15:00",
        (5, 15),
        (22, 65),
        (1.0, 2.1),
        (4, 15),
        (8, 19),
    ),
    Case(
        "Queensland in January, lithium 120 Ah, 200 W",
        chest(LITHIUM(capacity_ah=120), 200),
        -27.5,
        152.7,
        "2027-01-10 15:00",
        (16, 38),
        (12, 40),
        (3.6, 5.4),
        (1, 6),
        (19, 27),
    ),
    Case(
        "Northern Territory in June, lithium 100 Ah, 200 W",
        chest(LITHIUM(capacity_ah=100), 200),
        -14.5,
        132.3,
        "2026-06-20 15:00",
        (13, 36),
        (12, 40),
        (3.4, 4.9),
        (1, 6),
        (14, 24),
        missed={"sun over rating": "the built-in climate has 4.9 kWh/m2 a day there in June, which is low"},
    ),
    Case(
        "Southern Norway in June, AGM 100 Ah, 150 W",
        chest(AGM(capacity_ah=100), 150),
        60.5,
        10.5,
        "2026-06-15 15:00",
        (5, 17),
        (12, 45),
        (2.6, 4.6),
        (1, 9),
        (8, 19),
    ),
    Case(
        "Colorado mountains in October, lithium 200 Ah, 300 W",
        chest(LITHIUM(capacity_ah=200), 300),
        39.4,
        -106.2,
        "2026-10-10 15:00",
        (4, 14),
        (22, 65),
        (2.2, 4.0),
        (3, 16),
        (8, 19),
        altitude_m=2700,
    ),
    Case(
        "Western Australia in February, lithium 200 Ah, 400 W, upright",
        upright(LITHIUM(capacity_ah=200), 400),
        -31.8,
        117.0,
        "2027-02-05 15:00",
        (24, 62),
        (12, 45),
        (4.0, 5.8),
        (1, 6),
        (15, 25),
    ),
    Case(
        "Andalusia in August, AGM 150 Ah, 150 W behind PWM",
        rt.Van(battery=AGM(capacity_ah=150), solar=PWM),
        37.6,
        -5.0,
        "2026-08-05 15:00",
        (17, 45),
        (12, 45),
        (3.2, 5.2),
        (1, 6),
        (18, 28),
    ),
]


@dataclass(frozen=True)
class Total:
    """One total of a van's mean day beside its range."""

    case: str
    what: str
    unit: str
    value: float
    low: float
    high: float

    @property
    def holds(self) -> bool:
        return self.low <= self.value <= self.high


def site_of(case: Case) -> rt.Site:
    climate = rt.climate_at(case.latitude, case.longitude, altitude_m=case.altitude_m)
    return rt.Site(latitude=case.latitude, longitude=case.longitude, climate=climate)


@cache
def played(case: Case) -> rt.Risk:
    trip = rt.Trip(site=site_of(case), start=case.start, nights=NIGHTS)
    return rt.simulate(case.van, trip, trials=TRIALS, seed=3, time_series=True)


def at_hours(risk: rt.Risk, series: str, first: int, last: int) -> np.ndarray:
    """Values of the hours of the clock from `first` up to `last`; the trip starts at 15 h."""
    values = risk.time_series_values[series]
    clock = (15 + np.arange(values.shape[1])) % 24
    return np.asarray(values[:, (clock >= first) & (clock < last)])


# A compressor of such fridges takes 3.5 to 6 A at 12 V while it runs (from memory).
RUNNING_A = (3.5, 6.0)


def runs_range(case: Case) -> tuple[float, float]:
    """Share of the hours in which the compressor runs, %: of what the fridge takes."""
    low_ah, high_ah = case.fridge_ah
    return 100 * low_ah / 24 / RUNNING_A[1], 100 * high_ah / 24 / RUNNING_A[0]


def charge_range(case: Case) -> tuple[float, float]:
    """Ampere-hours that come in a day: what goes out, less what the battery gives of its own over the trip, and a
    quarter more that charging loses."""
    capacity_ah = case.van.battery.capacity_ah
    assert isinstance(capacity_ah, float)
    low_ah, high_ah = (f + o for f, o in zip(case.fridge_ah, case.others_ah, strict=True))
    return max(low_ah - capacity_ah / NIGHTS, 0), 1.25 * high_ah


def totals(case: Case) -> Iterator[Total]:
    risk = played(case)
    day = {name: mean / NIGHTS for name, mean in risk.means.items()}
    (array,) = case.van.arrays
    assert isinstance(array.rated_w, float)
    afternoon = at_hours(risk, "cabin_c", 13, 16) - at_hours(risk, "air_c", 13, 16)
    came = (day["solar_wh"] + day["dc_dc_wh"] + day["mains_wh"]) / NOMINAL_V
    runs = 100 * day["fridge_wh"] / 24 / (60 * (case.van.fridge.volume_l / 55) ** 0.3)  # its power by its volume
    found = {
        ("fridge", "Ah"): (day["fridge_wh"] / NOMINAL_V, case.fridge_ah),
        ("other loads", "Ah"): (day["other_loads_wh"] / NOMINAL_V, case.others_ah),
        ("sun over rating", "h"): ((day["solar_wh"] + day["curtailed_wh"]) / array.rated_w, case.sun_h),
        ("cabin over air, 13 to 16 h", "K"): (float(afternoon.mean()), case.afternoon_k),
        ("cabin at night", "degC"): (float(at_hours(risk, "cabin_c", 2, 5).mean()), case.night_c),
        ("compressor runs", "%"): (runs, runs_range(case)),
        ("charge in", "Ah"): (came, charge_range(case)),
    }
    for (what, unit), (value, (low, high)) in found.items():
        yield Total(case.name, what, unit, value, low, high)


def table() -> Iterator[str]:
    """A van a line, and its charge and its risk beside the totals."""
    yield (
        "| van | fridge, Ah | other loads, Ah | sun over rating, h | cabin by day, K over air | cabin at night, degC | "
        "compressor runs, % | charge in, Ah | charge out, Ah | cut-out |"
    )
    yield "|---|---|---|---|---|---|---|---|---|---|"
    for case in CASES:
        cells = [f"{t.value:.1f} ({t.low:.3g} to {t.high:.3g}){'' if t.holds else ' **missed**'}" for t in totals(case)]
        risk = played(case)
        day = {name: mean / NIGHTS for name, mean in risk.means.items()}
        went = (day["fridge_wh"] + day["other_loads_wh"]) / NOMINAL_V
        p = risk.cutout
        cells += [f"{went:.0f}"]
        cells += [f"{100 * p.value:.0f} % ({100 * p.low:.0f} to {100 * p.high:.0f}, {p.trials} trials)"]
        yield f"| {case.name} | {' | '.join(cells)} |"
