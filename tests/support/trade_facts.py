"""What the trade sees in vans and what the simulated default vans show.

Bands are common practice without a source, or from memory; each is set beside its reason before any run. A meter reads
at the terminals of the battery or the fridge; readings are means over an hour in which the compressor either runs
all through or rests.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import bench
import numpy as np
import ridethrough as rt
import ridethrough._checks as _checks
from discharge import COLD_BOX

TRIALS = 200
TERMINALS, FRIDGE, DISPLAY = "battery terminals", "fridge terminals", "monitor"
THERMOMETER, CLOCK, CONTROLLER = "thermometer", "clock", "charge controller"
Readings = np.ndarray


@dataclass
class Fact:
    """A band of common practice and the readings of many vans that are asked for it."""

    what: str
    where: str
    unit: str
    low: float
    high: float
    readings: Readings
    missed: str = ""  # why the median is out of the band, where that is known

    @property
    def holds(self) -> bool:
        return bool(self.low <= self.median <= self.high)

    @property
    def median(self) -> float:
        return float(np.median(self.readings))

    def row(self) -> str:
        """One line of the table."""
        few, many = np.quantile(self.readings, [0.05, 0.95])
        band = f"{self.low:g} to {self.high:g}"
        read = f"{self.median:.2f} ({few:.2f} to {many:.2f}){'' if self.holds else ' **missed**'}"
        return f"| {self.what} | {self.where} | {band} {self.unit} | {read} |"


HEAD = "| common practice, no source, or from memory | read at | band | median of the vans (nine in ten) |"
HEAD += "\n|---|---|---|---|"

# Does not run for two hours in a cabin of 15 degC; and one that was filled warm runs on.
COOL = rt.Fridge(initial_inside_c=3.0, door_openings_per_day=0.0, set_point_c=6.0, hysteresis_k=3.0)
WARM = rt.Fridge(initial_inside_c=30.0, door_openings_per_day=0.0)
BARE: dict[str, Any] = dict(solar=None, dc_dc=None, cabin_person_heat_w=0.0)
STANDBY = [rt.Standby()]
CLEAR = np.zeros(24)  # W/m2 on the flat, by hour: a clear day of 12 h, 7.6 kWh/m2
CLEAR[6:18] = 1000 * np.sin(np.pi * (np.arange(12) + 0.5) / 12)


def agm(**battery: Any) -> rt.AgmBattery:
    return rt.AgmBattery(**battery)


def lfp(**battery: Any) -> rt.LithiumBattery:
    return rt.LithiumBattery(**battery)


@dataclass
class Meters:
    """Hourly readings, each of shape (trials, hours)."""

    time_series: dict[str, np.ndarray]
    first_cutout_h: np.ndarray

    @property
    def charge(self) -> np.ndarray:
        """At the end of the hour, %."""
        return np.asarray(100 * self.time_series["soc"])

    @property
    def terminal_v(self) -> np.ndarray:
        return self.time_series["terminal_v"]

    @property
    def fridge_v(self) -> np.ndarray:
        return self.time_series["fridge_v"]

    @property
    def in_a(self) -> np.ndarray:
        return np.asarray(-self.time_series["battery_a"])

    def hour_of_first_cutout(self) -> tuple[np.ndarray, np.ndarray]:
        """Trials that had one, and the hour in which it came."""
        trials = np.flatnonzero(np.isfinite(self.first_cutout_h))
        return trials, self.first_cutout_h[trials].astype(int)


def watch(
    battery: Any, nights: int, air_c: float = 15.0, ghi: Any = 0.0, trip: dict[str, Any] | None = None, **parts: Any
) -> Meters:
    """A default van with these parts under these meters; spreads as declared."""
    van = rt.Van(battery=battery, **{**BARE, **parts})
    plan = bench.trip(bench.climate(air_c, ghi), nights, **{"step_min": 5, **(trip or {})})
    risk = rt.simulate(van, plan, trials=TRIALS, seed=20, time_series=True)
    return Meters(dict(risk.time_series_values), risk.columns["first_cutout_h"])


def where_first(condition: np.ndarray, values: np.ndarray) -> Readings:
    """Of each trial, the value in the first hour for which a condition holds; trials without one are left out."""
    found = condition.any(axis=1)
    return np.asarray(values[found, condition[found].argmax(axis=1)])


def agm_at_rest() -> list[Fact]:
    """.3 A and nothing else, from full to empty in three weeks. Charts of rested volts, from memory: 12.7 to 13.0 full,
    12.5 at 90 %, 12.06 at half, 11.58 at a fifth; other charts lie .1 to .2 V higher."""
    m = watch(agm(initial_soc=1.0), 22, air_c=11, fridge=bench.RESTING, loads=[rt.Standby(current_a=0.3)])
    rows = (("90 %", 90, 12.5, 12.7), ("half full", 50, 12.06, 12.26), ("a fifth full", 20, 11.58, 11.78))
    full = watch(agm(initial_soc=1.0), 1, air_c=11, fridge=bench.RESTING, loads=[rt.Standby(current_a=0.05)])
    return [
        Fact("AGM full, rested overnight", TERMINALS, "V", 12.7, 13.0, full.terminal_v[:, 14]),
        *(
            Fact(
                f"AGM {name}, hardly any load", TERMINALS, "V", low, high, where_first(m.charge < charge, m.terminal_v)
            )
            for name, charge, low, high in rows
        ),
    ]


def where_cutouts_come() -> list[Fact]:
    """Charge that is left at a cut-out of the fridge. By hand: 5 A through 60 mohm of cable and 4 of battery are .32 V,
    an AGM's overvoltage about .15 V more, so that 11.2 V at the fridge are 11.5 to 11.7 V rested and 11.7 V are 12.0 to
    12.2, which the charts above give as 10 to 30 % and 35 to 60 %. Lithium is under 15 %: its volts hold till then."""
    out = []
    for name, battery, cutout_v, low, high in (
        ("AGM", agm(), 11.2, 10, 30),
        ("AGM", agm(), 11.7, 35, 60),
        ("lithium", lfp(), 11.7, 0, 15),
    ):
        fridge = rt.Fridge(cutout_v=cutout_v, restart_v=cutout_v + 1.1)
        m = watch(battery, 9, air_c=22, fridge=fridge, loads=STANDBY)
        trials, hour = m.hour_of_first_cutout()
        left = m.charge[trials, hour]
        out.append(Fact(f"{name}, charge left at a cut-out of {cutout_v:g} V", DISPLAY, "%", low, high, left))
        if cutout_v == 11.2:
            kept = hour + 2 < m.fridge_v.shape[1]
            rise = m.fridge_v[trials[kept], hour[kept] + 2] - cutout_v
            # Two hours later, compressor off: the reading is .2 to .5 V higher (from memory).
            out.append(Fact("AGM, rise after it", FRIDGE, "V", 0.2, 0.5, rise))
    return out


def sag() -> list[Fact]:
    """The same hour, the same vans, with the compressor at work and at rest; a new battery at 80 %. Cables: 3 % of 12 V
    is what installers aim at and 5 % the limit, so half of the one to the other. Lithium's own 3 to 8 mohm at 5 A: .015
    to .04 V, and as much again of slower overvoltage (from memory)."""
    out = []
    for name, battery in (("AGM", agm(initial_soc=0.8)), ("lithium", lfp(initial_soc=0.8))):
        on = watch(battery, 1, fridge=WARM, loads=STANDBY)
        off = watch(battery, 1, fridge=COOL, loads=STANDBY)
        assert (off.time_series["fridge_w"][:, 0] == 0).all() and (on.time_series["fridge_w"][:, 0] > 59.9).all()
        drop = (on.terminal_v - on.fridge_v)[:, 0]
        out.append(Fact(f"{name}, battery over fridge terminals while it runs", "both", "V", 0.18, 0.6, drop))
        if name == "lithium":
            fall = (off.terminal_v - on.terminal_v)[:, 0]
            out.append(Fact("lithium, compressor start lowers the reading", TERMINALS, "V", 0.015, 0.08, fall))
    return out


def lithium_plateau() -> list[Fact]:
    """6 A all through, from full to the battery's own cut-off. Rested volts from memory: 13.3 to 13.4 at 90 %, 13.15 to
    13.25 at half, 13.0 to 13.1 at 30 %, less .05 to .1 V under 6 A; it holds 12.8 V to 15 or 20 % at rest and falls
    earlier under load, by 25 % at the latest."""
    m = watch(lfp(initial_soc=1.0), 1, 20.0, fridge=COLD_BOX, loads=[rt.Standby(current_a=6.0)], trip={"step_min": 1})
    rows = (("90 %", 90, 13.2, 13.35), ("half full", 50, 13.05, 13.2), ("30 %", 30, 12.9, 13.05))
    return [
        *(
            Fact(f"lithium {name}, 6 A out", TERMINALS, "V", low, high, where_first(m.charge < charge, m.terminal_v))
            for name, charge, low, high in rows
        ),
        Fact(
            "lithium, charge where it falls under 12.8 V",
            DISPLAY,
            "%",
            15,
            25,
            where_first(m.terminal_v < 12.8, m.charge),
        ),
    ]


def charging() -> list[Fact]:
    """From half charge on the mains: an AGM takes the whole current to about 80 %, lithium to about 95 % (from
    memory)."""
    out = []
    whole = "Nothing but its resistance, and the steep end of its table, lessens a lithium battery's current."
    for name, battery, low, high, missed in (("AGM", agm, 70, 90, ""), ("lithium", lfp, 90, 99, whole)):
        m = watch(
            battery(initial_soc=0.5),
            2,
            mains=rt.MainsCharger(),
            loads=STANDBY,
            fridge=COLD_BOX,
            trip=dict(shore_power=[rt.ShorePower(nights=[1, 2], start_h=17, duration_h=24)]),
        )
        weaker = m.in_a < 0.9 * m.in_a[:, :1]
        out.append(
            Fact(
                f"{name} on the mains, charge where the current begins to fall",
                DISPLAY,
                "%",
                low,
                high,
                where_first(weaker, m.charge),
                missed,
            )
        )
    return out


def roof() -> list[Fact]:
    """A glued panel under a clear sky at 25 degC: at most some 75 % of its rating, and .60 to .80 of rating times the
    day's full-sun hours. MPPT gives 10 to 30 % more than PWM in the cool and about the same in the tropics."""
    m = watch(
        agm(initial_soc=0.2, capacity_ah=600),
        1,
        25.0,
        np.tile(CLEAR, 365),
        solar=rt.SolarArray(),
        fridge=COLD_BOX,
        trip={"start": "2026-03-01 00:00"},
    )
    watts = (m.time_series["solar_w"] + m.time_series["curtailed_w"])[:, :24] / 220

    def gain(light: float, cell_c: float, volts: float) -> float:
        """Of a tracker (96 %) over a PWM charge controller (.4 V lost)."""
        pwm = volts * _checks.module_current_a(volts + 0.4, light, cell_c)
        return float(100 * (0.96 * _checks.module_most_w(light, cell_c) / pwm - 1))

    volts = (13.0, 13.4, 13.8)
    cool = [gain(g, t, v) for g in (400.0, 700.0, 1000.0) for t in (5, 15, 25) for v in volts]
    tropics = [gain(g, t, v) for g in (700.0, 1000.0) for t in (60, 66, 72) for v in volts]
    return [
        Fact("glued panel, best hour of a clear day over its rating", CONTROLLER, "%", 60, 75, 100 * watts.max(axis=1)),
        Fact(
            "glued panel, day's energy over rating times full-sun hours",
            CONTROLLER,
            "%",
            60,
            80,
            100 * watts.sum(axis=1) / (CLEAR.sum() / 1000),
        ),
        Fact("MPPT over PWM, cells of 5 to 25 degC", CONTROLLER, "%", 10, 30, np.array(cool)),
        Fact("MPPT over PWM, cells of 60 to 72 degC", CONTROLLER, "%", -5, 5, np.array(tropics)),
    ]


def amps() -> list[Fact]:
    """Least, usual and most, from memory: compressor 3, 4.5, 6 A, standby .05, .3, 1.2, lights .3, 1, 2.5. Added up,
    their spreads by squares."""
    at_night, in_the_evening = (
        watch(agm(), 1, fridge=WARM, loads=loads, trip={"start": f"2026-03-01 {hour}:00"}).time_series["battery_a"][
            :, 0
        ]
        for loads, hour in ((STANDBY, "02"), ([*STANDBY, rt.Lights()], "20"))
    )
    return [
        Fact("compressor running, small hours", DISPLAY, "A", 3.3, 6.5, at_night),
        Fact("compressor running, evening with lights", DISPLAY, "A", 4.1, 8.1, in_the_evening),
    ]


def habits_of_the_day() -> list[Fact]:
    """The battery is lowest about sunrise or in the four hours after it; a fridge that stands still in 33 degC goes
    from 0 to some 9 degC in 5 h with a time constant of 15 h, a full good chest with one of 30 to 5 degC (from
    memory)."""
    sunny = watch(
        agm(initial_soc=0.8),
        3,
        15.0,
        np.tile(0.6 * CLEAR, 365),
        solar=rt.SolarArray(),
        trip={"start": "2026-03-01 12:00"},
    )
    lowest = sunny.charge[:, 12:36].argmin(axis=1) + 1.0  # the clock at the hour's end, day 2
    warm = watch(lfp(initial_soc=0.0), 1, 33.0, fridge=rt.Fridge(initial_inside_c=0.0), loads=[])
    return [
        Fact("lowest charge of a sunny day, no drive; sunrise at 6", CLOCK, "h", 5, 10, lowest),
        Fact(
            "fridge off in 33 degC: from 0 degC, after 5 h",
            THERMOMETER,
            "degC",
            5,
            9.2,
            warm.time_series["fridge_c"][:, 4],
            "The contents taken for granted hold less cold: food warms about twice as fast, which is the safe side.",
        ),
    ]


SUBJECTS: list[Callable[[], list[Fact]]] = [
    agm_at_rest,
    where_cutouts_come,
    sag,
    lithium_plateau,
    charging,
    roof,
    amps,
    habits_of_the_day,
]


def facts() -> list[Fact]:
    """All of them, in the order of the table."""
    return [fact for subject in SUBJECTS for fact in subject()]
