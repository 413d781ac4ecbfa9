"""What a trial carries from segment to segment, and what a step is given."""

from dataclasses import dataclass

import numpy as np
from ridethrough import _core

from .charge import holds

START_V = 12.8  # of the terminals, before anything is known
CHARGING_V, SOLAR_INPUT_W = 13.5, 15.0

# Gathered segment by segment: the paths that are means, but for those of the weather, and the results that add up.
OF_THE_HOUR = ("air_c", "cabin_c", "ghi_w_m2")
MEANS = tuple(s.name for s in _core.TIME_SERIES if s.type == "mean over the hour" and s.name not in OF_THE_HOUR)
SUMS = tuple(r.name for r in _core.RESULTS if r.type in ("amount", "hours", "count", "days"))


class State:
    """What a trial carries from segment to segment, and what it comes to."""

    def __init__(self, plan, nodes_c, battery):
        n = plan.n
        self.charge, self.nodes_c = battery, nodes_c
        self.terminal_v = np.full(n, START_V)
        self.start_left_h, self.ice_wh = np.zeros(n), plan.fridge.ice_wh + np.zeros(n)
        self.waited_h = np.full(n, plan.van.fridge.restart_wait_s / 3600)
        self.absorbed_h, self.fridge_low_h, self.system_low_h = np.zeros(n), np.zeros(n), np.zeros(n)
        off = np.zeros(n, bool)
        self.running, self.fridge_open, self.system_open, self.bus_open = off, off, off, off
        self.floating, self.full_today = off, off
        self.inverter_open, self.overcurrent_open = off, off
        self.inverter_low_h, self.inverter_waited_h, self.overcurrent_h = np.zeros(n), np.zeros(n), np.zeros(n)
        self.off_spell_h, self.longest_off_h = np.zeros(n), np.zeros(n)
        self.sums = {name: np.zeros(n) for name in SUMS}
        self.min_soc = battery.ah / plan.battery.full_ah
        self.warmest = list(nodes_c)
        self.warm_spell_h, self.longest_warm_spell_h = np.zeros(n), np.zeros(n)
        self.coldest_cabin_c = np.full(n, np.inf)
        self.first_cutout_h, self.cutout_cause = np.full(n, np.inf), np.zeros(n, int)
        self.frozen = off
        self.near_h = np.full(n, np.inf)  # when first a comparison hung on rounding: see Step.near

    def new_day(self):
        self.sums["days_full"] = self.sums["days_full"] + self.full_today
        self.full_today = self.floating = np.zeros_like(self.floating)
        self.absorbed_h = np.zeros_like(self.absorbed_h)


@dataclass
class Hour:
    """What a step is given; constant over it."""

    step: int
    day: int
    waking: bool
    cabin_c: np.ndarray
    heat_w: np.ndarray
    band: tuple
    distribution_a: np.ndarray
    terminal_a: np.ndarray
    inverter_a: np.ndarray  # beside its share of the event
    event_a: np.ndarray
    event_on_h: np.ndarray
    event_off_h: np.ndarray
    event_at_terminals: np.ndarray
    solar_w: np.ndarray
    solar_a: np.ndarray
    drive: np.ndarray  # hours from, to within the step; the same for all trials
    shore: np.ndarray
    idle: np.ndarray
    generator: np.ndarray
    drive_a: np.ndarray
    idle_a: np.ndarray
    drive_share: np.ndarray  # of what a DC-DC charger could give
    idle_share: np.ndarray


def event_now(hour, t):
    on = (t >= hour.event_on_h) & (t < hour.event_off_h)
    amps = np.where(on, hour.event_a, 0)
    of_inverter_a = amps * hour.event_at_terminals
    return on, hour.distribution_a + amps * (1 - hour.event_at_terminals), hour.inverter_a + of_inverter_a


def supplies_at(plan, hour, t):
    """Watts and amperes of the Sun, amperes of the drive (the most that a plain cable carries) and of shore power."""
    drive = np.where(holds(hour.drive, t), hour.drive_a, np.where(holds(hour.idle, t), hour.idle_a, 0))
    mains = np.where(holds(hour.shore, t), plan.mains_a, np.where(holds(hour.generator, t), plan.generator_a, 0))
    solar_w, solar_a = hour.solar_w, hour.solar_a
    if plan.priority == "solar_first":  # one charger with two inputs uses one at a time
        drive = np.where(solar_w + solar_a * CHARGING_V >= SOLAR_INPUT_W, 0, drive)
    if plan.priority == "alternator_first":
        works = np.where(holds(hour.drive, t), hour.drive_share, hour.idle_share)
        solar_w, solar_a = (np.where(drive > 0, x * (1 - works), x) for x in (solar_w, solar_a))
    return solar_w, solar_a, drive, mains


def until_event(hour, t):
    on, off = hour.event_on_h, hour.event_off_h
    return np.where(t < on, on - t, np.where(t < off, off - t, np.inf))
