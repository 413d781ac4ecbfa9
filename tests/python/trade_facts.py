"""What meters show in vans, by common practice and without a source, and what they show in the simulated default vans.

A meter reads at the battery's posts, at the panel (the distribution, behind the shared cable) or at the fridge's
terminals. Readings are means over an hour in which the compressor either runs all through or rests.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import bench
import numpy as np
import ridethrough as rt
from discharge import COLD_BOX
from ridethrough import _core

TRIALS = 200
POSTS, PANEL, FRIDGE = "battery posts", "panel", "fridge terminals"
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


HEAD = "| common practice, no source | meter at | band | median of the vans (nine in ten) |\n|---|---|---|---|"

# Does not run for two hours in a cabin of 15 degC; and one that was filled warm runs on.
COOL = rt.Fridge(start_inside_c=3.0, door_openings_per_day=0.0, set_point_c=6.0, hysteresis_k=3.0)
WARM = rt.Fridge(start_inside_c=30.0, door_openings_per_day=0.0)
BARE: dict[str, Any] = dict(solar=None, dc_dc=None, cabin_lived_in_rise_k=0.0)


def agm(**battery: Any) -> rt.AgmBattery:
    return rt.AgmBattery(**battery)


def lfp(**battery: Any) -> rt.LfpBattery:
    return rt.LfpBattery(**battery)


@dataclass
class Meters:
    """Hourly readings, each of shape (trials, hours)."""

    paths: dict[str, np.ndarray]
    drawn: dict[str, np.ndarray]
    first_cutout_h: np.ndarray

    @property
    def posts_v(self) -> np.ndarray:
        return self.paths["posts_v"]

    @property
    def fridge_v(self) -> np.ndarray:
        return self.paths["fridge_v"]

    @property
    def fridge_a(self) -> np.ndarray:
        return np.asarray(self.paths["fridge_w"] / self.fridge_v)

    @property
    def panel_v(self) -> np.ndarray:
        """The fridge's own branch lies between its terminals and the panel."""
        branch = self.drawn["wiring.fridge_branch_mohm"][:, None] / 1000
        return np.asarray(self.fridge_v + branch * self.fridge_a)


def watch(
    battery: Any, nights: int, air_c: float = 15.0, ghi: Any = 0.0, trip: dict[str, Any] | None = None, **parts: Any
) -> Meters:
    """A default van with these parts under these meters; spreads as declared."""
    van = rt.Van(battery=battery, **{**BARE, **parts})
    plan = bench.trip(bench.climate(air_c, ghi), nights, **{"step_min": 5, **(trip or {})})
    risk = rt.simulate(van, plan, trials=TRIALS, seed=20, paths=True)
    drawn = _core.trace(risk.compiled, list(range(TRIALS)), 20, "double", ["charge"])["drawn"]
    by_path = {path: drawn[:, i] for i, path in enumerate(risk.compiled.slot_paths)}
    return Meters(dict(risk.paths), by_path, risk.columns["first_cutout_h"])


def where_first(condition: np.ndarray, values: np.ndarray) -> Readings:
    """Of each trial, the value in the first hour for which a condition holds; trials without one are left out."""
    found = condition.any(axis=1)
    return np.asarray(values[found, condition[found].argmax(axis=1)])


def agm_at_rest() -> list[Fact]:
    """Everything off but .9 A, from full to empty in days: the slow fall of the rested voltage."""
    full = watch(agm(start_charge=1.0), 1, air_c=11, fridge=bench.RESTING, loads=[rt.Standby()])
    slow = watch(agm(start_charge=1.0), 8, air_c=11, fridge=bench.RESTING, loads=[rt.Standby(current_a=0.9)])
    charge = 100 * slow.paths["charge"]
    return [
        Fact("AGM full, rested overnight", POSTS, "V", 12.6, 12.9, full.posts_v[:, 14]),
        Fact("AGM, charge where the reading falls through 12.4 V, under 1 A", PANEL, "%", 50, 90,
             where_first(slow.panel_v < 12.4, charge)),
        Fact("AGM at 11.9 V, compressor off and under 1 A: nearly empty by habit", PANEL, "%", 0, 40,
             where_first(slow.panel_v < 11.9, charge)),
    ]  # fmt: skip


def agm_in_trouble() -> list[Fact]:
    """No sun and no drive until the fridge's 10.4 V cut-out: what stands at the other meters in that moment."""
    m = watch(agm(), 7, air_c=22, fridge=rt.Fridge())
    cut = np.isfinite(m.first_cutout_h)
    watts, cutout_v = 60.0, 10.4  # the default fridge's; at the cut-out the compressor runs
    amps = watts / cutout_v
    panel = cutout_v + amps * m.drawn["wiring.fridge_branch_mohm"] / 1000
    shared = m.drawn["wiring.shared_mohm"] / 1000
    hour = np.minimum(np.nan_to_num(m.first_cutout_h, posinf=0).astype(int), m.posts_v.shape[1] - 1)
    others = m.paths["other_loads_w"][np.arange(TRIALS), hour] / cutout_v
    return [
        Fact("AGM, low-voltage trouble begins, compressor running", PANEL, "V", 10.6, 11.2, panel[cut]),
        Fact("the same moment: about 10.8 V, an end of discharge under load", POSTS, "V", 10.6, 11.1,
             (panel + shared * (amps + others))[cut]),
    ]  # fmt: skip


def sag() -> list[Fact]:
    """The same hour, the same vans, with the compressor at work and at rest; a new battery at 80 %."""
    out = []
    for name, battery in (("AGM", agm(start_charge=0.8)), ("lithium", lfp(start_charge=0.8))):
        on = watch(battery, 1, fridge=WARM, loads=[rt.Standby()])
        off = watch(battery, 1, fridge=COOL, loads=[rt.Standby()])
        assert (off.paths["fridge_w"][:, 0] == 0).all() and (on.paths["fridge_w"][:, 0] > 59.9).all()
        for where, low, high in ((FRIDGE, 0.25, 0.7), (PANEL, 0.1, 0.3), (POSTS, 0.0, 0.15)):
            key = {FRIDGE: "fridge_v", PANEL: "panel_v", POSTS: "posts_v"}[where]
            fall = (getattr(off, key) - getattr(on, key))[:, 0]
            out.append(Fact(f"{name}, compressor start lowers the reading, first hour", where, "V", low, high, fall))
        if name == "AGM":
            shared = (on.drawn["wiring.shared_mohm"] + on.drawn["wiring.fridge_branch_mohm"]) / 1000
            ohmic = on.fridge_a[:, 0] * (shared + on.drawn["battery.resistance_mohm_100ah"] / 1000 / 1.5)
            share = 100 * ohmic / (off.fridge_v - on.fridge_v)[:, 0]
            out.append(Fact("AGM, of which at once, and back at once at the stop", FRIDGE, "%", 50, 100, share))
    return out


def lithium_plateau() -> list[Fact]:
    """6 A all through, from full to the battery's own cut-off."""
    amps: dict[str, Any] = dict(fridge=COLD_BOX, loads=[rt.Standby(current_a=6.0)], trip={"step_min": 1})
    m = watch(lfp(start_charge=1.0), 1, 20.0, **amps)
    end = m.paths["charge"]
    charge = end - np.diff(end, axis=1, prepend=1.0) / 2  # in the middle of the hour
    # The same resistance on more cells: it stays at 99 % for the hour of the reading.
    high = watch(lfp(capacity_ah=800, resistance_mohm_100ah=rt.triangular(26.7, 46.7, 93.3), start_charge=0.9935), 1,
                 20.0, **amps)  # fmt: skip
    middle = (charge > 0.30) & (charge < 0.95)
    alive = np.arange(charge.shape[1]) < np.nan_to_num(m.first_cutout_h, posinf=1e9)[:, None] - 1
    return [
        Fact("lithium, 30 to 95 % charge at 6 A", POSTS, "V", 13.0, 13.4, m.posts_v[middle]),
        Fact("lithium, charge where it falls below 12.5 V", POSTS, "%", 0, 10,
             100 * where_first((m.posts_v < 12.5) & alive, charge)),
        Fact("lithium at about 99 %, 6 A out", PANEL, "V", 13.3, 13.5,
             high.panel_v[:, 0]),
    ]  # fmt: skip


def charging() -> list[Fact]:
    """A day on shore power and a clear day, for each chemistry: before and after the end of absorption."""
    out = []
    sunny = np.zeros(24)
    sunny[6:19] = 850 * np.sin(np.linspace(0.05, np.pi - 0.05, 13))
    for name, battery in (("AGM", agm(start_charge=0.85)), ("lithium", lfp(start_charge=0.85))):
        powered = dict(powered_nights=[0, 1], powered_from_h=17, powered_hours=24)
        mains = watch(battery, 2, mains=rt.MainsCharger(), trip=powered)
        sun = watch(battery, 1, ghi=np.tile(sunny, 365), solar=rt.SolarArray(), trip={"start": "2026-03-01 05:00"})
        for source, m, last in (("mains", mains, 38), ("sun", sun, 12)):
            highest = m.posts_v[:, : last + 1].max(axis=1)
            out.append(Fact(f"{name} on {source}, at most, before absorption is over", POSTS, "V", 13.2, 14.4, highest))
            out.append(Fact(f"{name} on {source}, absorption over", POSTS, "V", 13.2, 13.8, m.posts_v[:, last]))
    return out


def evening_amps() -> list[Fact]:
    """The shunt at 20 h: compressor, lights, standby."""
    m = watch(agm(), 1, fridge=WARM, loads=[rt.Lights(), rt.Standby()], trip={"start": "2026-03-01 20:00"})
    return [Fact("fridge running and evening lights, pump off", POSTS, "A", 4, 9, m.paths["battery_a"][:, 0])]


def regulators() -> list[Fact]:
    """What a tracker (96 %) gives over a PWM regulator (.4 V lost) with the battery at 13.0 to 13.8 V."""

    def gain(light: float, cell_c: float, volts: float) -> float:
        pwm = volts * _core.module_current_a(volts + 0.4, light, cell_c)
        return float(100 * (0.96 * _core.module_most_w(light, cell_c) / pwm - 1))

    lights, volts = (400.0, 700.0, 1000.0), (13.0, 13.4, 13.8)
    cold = [gain(g, t, v) for g in lights for t in (0, 10, 20, 29) for v in volts]
    hot = [gain(g, t, v) for g in lights[1:] for t in (66, 70, 75) for v in volts]
    return [
        Fact("MPPT over PWM, cells below 30 degC", POSTS, "%", 10, 60, np.array(cold)),
        Fact("MPPT over PWM, glued panel above 65 degC", POSTS, "%", -5, 5, np.array(hot)),
    ]


def hours_left() -> list[Fact]:
    """A display divides the Ah left by the present amps; how long the vans really last at that current."""
    out = []
    for name, battery in (("lithium", lfp(start_charge=0.6)), ("AGM, to 10 V", agm(start_charge=0.6))):
        m = watch(battery, 2, 25.0, fridge=COLD_BOX, loads=[rt.Standby(current_a=6.0)])
        rated = battery.capacity_ah
        left = rated * m.drawn["battery.state_of_health"] * 0.6
        shown = left / 6.0
        out.append(Fact(f"{name}: hours lasted over hours shown", "display", "", 0.9, 1.1, m.first_cutout_h / shown))
    return out


SUBJECTS: list[Callable[[], list[Fact]]] = [
    agm_at_rest, agm_in_trouble, sag, lithium_plateau, charging, evening_amps, regulators, hours_left,
]  # fmt: skip


def facts() -> list[Fact]:
    """All of them, in the order of the table."""
    return [fact for subject in SUBJECTS for fact in subject()]
