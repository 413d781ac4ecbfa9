"""Chargers: their hours within a step, their stages, and what a drive gives."""

from dataclasses import dataclass

import numpy as np

from .draws import on_day

READY_MADE = {
    "agm": (14.4, 13.5, 5.0, 0.01),
    "lithium": (14.4, 13.5, 1.0, 0.01),
    "converter": (13.65, 13.65, 24.0, 0.01),
}
COPPER_MM2 = np.array([1.5, 2.5, 4, 6, 10, 16, 25, 35])  # IEC 60228 class 5, ohm per km at 20 degC
COPPER_OHM_PER_KM = np.array([13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554])
CHARGING_V, GENERATOR_V = 13.8, 14.4
BEST_CABLE_MOHM = 2.0
COMPENSATED_C = -20.0, 50.0
BAY_WARMS_H, BAY_COOLS_H = 0.5, 2.0
RESTART_ABOVE_LOCKOUT_V = 0.5  # of a DC-DC charger whose own level is not given


@dataclass
class Stages:
    absorption_v: float
    float_v: float
    limit_h: float
    tail_c_rate: float
    compensation_v_per_k: float = 0.0

    def volts(self, floating, battery_c):
        volts = np.where(floating, self.float_v, self.absorption_v)
        return volts + self.compensation_v_per_k * (np.clip(battery_c, *COMPENSATED_C) - 25)


def stages_of(charger, lithium):
    """Of a charger's profile; its battery's own where there is none."""
    profile = getattr(charger, "charge_profile", None)
    if profile is None:
        return Stages(*READY_MADE["lithium" if lithium else "agm"])
    if profile.ready_made != "none":
        return Stages(*READY_MADE[profile.ready_made], profile.compensation_mv_per_k / 1000)
    stages = profile.absorption_v, profile.float_v, profile.absorption_limit_h, profile.tail_current_c_rate
    return Stages(*stages, profile.compensation_mv_per_k / 1000)


def spans_in_steps(spans, calendar):
    """(steps, 2): hours within each step of the trip in which something begins and ends; equal where it is off."""
    begin = (np.arange(calendar.steps) + calendar.first_step) * calendar.step_h
    on, off = np.full(calendar.steps, np.inf), np.full(calendar.steps, -np.inf)
    for a, b in spans:
        from_h, to_h = np.clip(a - begin, 0, calendar.step_h), np.clip(b - begin, 0, calendar.step_h)
        meets = to_h > from_h
        on, off = np.where(meets, np.minimum(on, from_h), on), np.where(meets, np.maximum(off, to_h), off)
    none = off < on
    return np.stack([np.where(none, 0, on), np.where(none, 0, off)], axis=1)


def holds(span, t):
    return (t >= span[0]) & (t < span[1])


def until_change(span, t):
    if not span[1] > span[0]:
        return np.inf
    return np.where(t < span[0], span[0] - t, np.where(t < span[1], span[1] - t, np.inf))


def idle_spans(van, trip, calendar):
    if van.dc_dc is None:
        return []
    return calendar.spans(trip.idling)


def generator_spans(trip, calendar):
    """Cut to the allowed hours."""
    spans = []
    for one in trip.generator_runs:
        start = max(one.start_h, trip.generator_allowed_from_h)
        end = min(one.start_h + one.duration_h, trip.generator_allowed_to_h)
        if end > start:
            spans += [calendar.passed(24 * d + start, end - start) for d in calendar.days_meant(one.days)]
    return spans


def bay_rise_k(full_k, running, step_h):
    """Of an engine bay, step by step; running: share of each step."""
    rise, now = [], 0.0
    for share in running:
        target = full_k * share
        tau = BAY_WARMS_H if target > now else BAY_COOLS_H
        now = target + (now - target) * np.exp(-step_h / tau)
        rise.append(now)
    return np.array(rise)


class Alternator:
    """A DC-DC charger or a plain cable, as each trial has it; None in the van: nothing comes."""

    def __init__(self, van, draws):
        charger = van.dc_dc
        self.charger, self.n = charger, len(draws)
        self.is_cable = type(charger).__name__ == "AlternatorCable"
        if charger is None:
            return

        def draw(field, otherwise=None):
            return draws.quantity(charger, field, "dc_dc.", otherwise)

        self.current_a = draw("current_a") if charger.line_closed else np.zeros(self.n)
        self.idle_a, self.level_v, self.swing_v = (
            draw(f) for f in ("idle_current_a", "alternator_v", "alternator_swing_v")
        )
        self.supply_mohm = draw("supply_mohm", self.cable_mohm(van.towed))
        if not self.is_cable:
            self.efficiency, self.lockout_v = draw("efficiency"), draw("lockout_v")
            self.cycling_share = draw("cycling_share")
            self.restart_v = draw("restart_v", 0.0)
            if charger.restart_v is None:
                self.restart_v = self.lockout_v + RESTART_ABOVE_LOCKOUT_V

    def cable_mohm(self, towed):
        d = self.charger
        if d.supply_length_m is not None:
            # Between the standard's sections the resistivity is read.
            ohm_mm2_per_km = np.interp(d.supply_section_mm2, COPPER_MM2, COPPER_MM2 * COPPER_OHM_PER_KM)
            return ohm_mm2_per_km / d.supply_section_mm2 * 2 * d.supply_length_m
        return (100.0 if towed else 40.0) if self.is_cable else (60.0 if towed else 15.0)

    def range_v(self, day):
        """Lowest and highest voltage of a day, between which it moves evenly."""
        level = on_day(self.level_v, day)
        return level - self.swing_v, level + self.swing_v

    def time_between(self, day, from_v, to_v=np.inf):
        """Share of the day's driving with the alternator in an interval, its lower end included."""
        low, high = self.range_v(day)
        width = np.clip(to_v, low, high) - np.clip(from_v, low, high)
        still = (low >= from_v) & (low < to_v)
        return np.where(high > low, width / np.where(high > low, high - low, 1), still)

    def works(self, day, idling=False):
        """Share of its current that comes of a charger, on average."""
        if self.charger is None or self.is_cable:
            return np.ones(self.n)
        # Constant power over a cable: u = v + R P / v, least where v^2 = R P.
        power = self.most_a(idling) * CHARGING_V / self.efficiency
        drop_v2 = self.supply_mohm / 1000 * power
        input_v = np.maximum(self.lockout_v, np.sqrt(drop_v2))
        holds_v = input_v + drop_v2 / input_v
        up = self.time_between(day, np.maximum(self.restart_v, holds_v))
        down = self.time_between(day, -np.inf, holds_v)
        # Two states, of which the voltage's next value may start it or stop it: time in the first.
        steady = np.where(up > 0, up / np.where(up > 0, up + down, 1), 0)
        tries = self.time_between(day, self.restart_v, np.maximum(self.restart_v, holds_v))
        return steady + self.cycling_share * tries

    def most_a(self, idling):
        return np.minimum(self.idle_a, self.current_a) if idling else self.current_a

    def given_a(self, day, idling=False):
        """Current of a day's drives, or while the engine idles; of a plain cable the most that it carries."""
        return np.zeros(self.n) if self.charger is None else self.most_a(idling) * self.works(day, idling)

    def cable_v(self, day, battery_v):
        """Mean of the alternator's volts above the battery's, and of the battery's for the rest of the time."""
        low, high = self.range_v(day)
        over = self.time_between(day, battery_v)
        mean = over * (np.maximum(low, battery_v) + high) / 2 + (1 - over) * battery_v
        return np.where((low < battery_v) & (battery_v < high), mean, on_day(self.level_v, day))

    def cable_ohm(self):
        return np.maximum(self.supply_mohm, BEST_CABLE_MOHM) / 1000
