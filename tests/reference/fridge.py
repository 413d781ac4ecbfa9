"""A compressor fridge: one node for air and contents, exact exponentials between the thermostat's switches.

Temperatures in degC, heat in W and Wh, time in h; arrays (trials,).
"""

import numpy as np
from scipy.special import pdtr

from .draws import uniform_of

EVAPORATOR_C, CONDENSER_RISE_K = -12.0, 13.0
UPRIGHT_LEAK, UPRIGHT_DOORS = 1.08, 2.0
DOOR_RATED_K = 28.0  # at which an opening's heat is declared
MOST_OPENINGS = 160
FAN_V = 12.0
FOOD_TAU_H = 4.0
MELTING_WH_PER_KG = 333.55 / 3.6
NEVER_H = 1e6


def hours_until(from_c, to_c, target_c, tau_h):
    """On the way to target_c; NEVER_H where it is not met."""
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = (from_c - target_c) / (to_c - target_c)
        return np.where(ratio > 1, tau_h * np.log(np.where(ratio > 1, np.minimum(ratio, 1e30), 2)), NEVER_H)


class Held:
    """A motion that begins only after the inside has been held for some hours, as a compressor that has just started
    does not cool yet."""

    def __init__(self, motion, start_c, held_h):
        self.motion, self.start_c, self.held_h = motion, start_c, held_h

    def moving(self, h):
        return np.maximum(h - self.held_h, 0)

    def at(self, h):
        return np.where(h > self.held_h, self.motion.at(self.moving(h)), self.start_c)

    def meets(self, level_c, horizon_h):
        return self.held_h + self.motion.meets(level_c, horizon_h)

    def warmest(self, h, end_c):
        return self.motion.warmest(self.moving(h), end_c)

    def hours_above(self, level_c, h, end_c):
        held = np.where(self.start_c > level_c, np.minimum(h, self.held_h), 0)
        return held + self.motion.hours_above(level_c, self.moving(h), end_c)

    def kelvin_hours(self, h):
        """Above 0 degC, by the integral of the approach."""
        m, moving = self.motion, self.moving(h)
        decayed = -np.expm1(-moving / m.tau_h) * m.tau_h
        return self.start_c * np.minimum(h, self.held_h) + m.target_c * moving + (m.from_c - m.target_c) * decayed

    def until_kelvin_hours(self, sought, low, high, turns=60):
        """By halving."""
        for _ in range(turns):
            middle = (low + high) / 2
            before = self.kelvin_hours(middle) < sought
            low, high = np.where(before, middle, low), np.where(before, high, middle)
        return (low + high) / 2


class Approach:
    """The inside on its way to a temperature."""

    def __init__(self, from_c, target_c, tau_h):
        self.from_c, self.target_c, self.tau_h = from_c, target_c, tau_h

    def at(self, h):
        return self.target_c + (self.from_c - self.target_c) * np.exp(-h / self.tau_h)

    def meets(self, level_c, horizon_h):
        return hours_until(self.from_c, level_c, self.target_c, self.tau_h)

    def warmest(self, h, end_c):
        return end_c

    def hours_above(self, level_c, h, end_c):
        starts, ends = self.from_c > level_c, end_c > level_c
        at = np.minimum(hours_until(self.from_c, level_c, self.target_c, self.tau_h), h)
        at = np.where((self.from_c == level_c) & ends, 0, at)
        return np.where(starts & ends, h, np.where(starts, at, np.where(ends, h - at, 0)))


class Fridge:
    """As each trial has it."""

    def __init__(self, record, draws):
        self.record, self.draws = record, draws

        def draw(field, otherwise=None):
            return draws.quantity(record, field, "fridge.", otherwise)

        size, upright = record.volume_l / 55, record.form == "upright"
        leak = draw("ua_w_per_k", size**0.74 * (UPRIGHT_LEAK if upright else 1))
        self.ua = leak * draw("heat_leak_factor")
        self.wh_per_k = draw("heat_capacity_kj_per_k", 30 * size) / 3.6
        self.compressor_w = draw("compressor_w", 60 * size**0.3)
        self.carnot_share, self.vent_rise = draw("carnot_share"), draw("vent_rise_k")
        self.cutout_v, self.restart_v = draw("cutout_v"), draw("restart_v")
        self.start_loss_h = draw("start_loss_s") / 3600
        self.evaporator_c = EVAPORATOR_C
        self.door_wh_per_k = record.door_opening_wh / DOOR_RATED_K * (UPRIGHT_DOORS if upright else 1)
        self.daily_draws = uniform_of(draws.daily_draws("load.fridge", 2))
        if record.cover is not None:
            self.ua = self.ua * draws.quantity(record.cover, "heat_leak_factor", "fridge.cover.")
        self.fan_w = np.zeros(len(draws))
        if record.vent_fan is not None:
            path = "fridge.vent_fan."
            self.fan_w = FAN_V * draws.quantity(record.vent_fan, "current_a", path)
            self.vent_rise = self.vent_rise * draws.quantity(record.vent_fan, "vent_rise_factor", path)
        self.ice_wh, self.ice_w_per_k = np.zeros(len(draws)), None
        if not (isinstance(record.ice_kg, (int, float)) and record.ice_kg == 0):
            self.ice_wh, self.ice_w_per_k = draw("ice_kg") * MELTING_WH_PER_KG, draw("ice_coupling_w_per_k")
        self.medicine = None
        if record.medicine is not None:
            places = ("coldest_place_k", "warmest_place_k")
            self.medicine = [draws.quantity(record.medicine, f, "fridge.medicine.") for f in places]

    @property
    def running_w(self):
        return self.compressor_w + self.fan_w

    def band(self, hour):
        """Temperatures at which the thermostat switches off and on in a clock hour."""
        low, high = self.own_band()
        back = self.record.night_set_back
        if back is None:
            return low, high
        a, b = hour >= back.from_h, hour < back.to_h
        at_night = a and b if back.from_h < back.to_h else a or b
        middle = self.record.set_point_c + (back.rise_k if at_night else 0)
        return middle - self.record.hysteresis_k, middle + self.record.hysteresis_k

    def own_band(self):
        return self.record.set_point_c - self.record.hysteresis_k, self.record.set_point_c + self.record.hysteresis_k

    def start(self, cabin_c):
        """Temperatures at the trip's start, (node, node...); somewhere within the band unless declared."""
        low, high = self.own_band()
        if self.record.initial_inside_c is None:
            return [low + self.daily_draws[:, 0, 1] * (high - low)]
        return [self.draws.quantity(self.record, "initial_inside_c", "fridge.")]

    def openings(self, mean):
        """Of each day: Poisson by its inverse distribution function; mean (trials, days)."""
        u = self.daily_draws[:, : mean.shape[1], 0]
        counts = np.arange(MOST_OPENINGS)
        return (u[..., None] > pdtr(counts, mean[..., None])).sum(-1)

    def cooling_w(self, around_c):
        """Carnot from the evaporator to the condenser over the air around it, of which a share is reached."""
        around_c = around_c + self.vent_rise
        lost = self.record.carnot_share_loss_per_k * np.maximum(around_c - 20, 0)
        share = self.carnot_share * np.maximum(1 - lost, 0)
        lift = np.maximum(around_c + CONDENSER_RISE_K - self.evaporator_c, 10)
        return self.compressor_w * share * (self.evaporator_c + 273.15) / lift

    def surroundings(self, cabin_c, heat_w):
        """For a step: where the inside would settle at rest and running."""
        self.off_equilibrium_c = cabin_c + heat_w / self.ua
        self.on_equilibrium_c = self.off_equilibrium_c - self.cooling_w(cabin_c) / self.ua

    def motions(self, nodes_c, runs, ice_wh):
        """`melts`: the trials whose ice takes heat: some is left and the inside is above 0 degC or about to be."""
        equilibrium_c, conductance = np.where(runs, self.on_equilibrium_c, self.off_equilibrium_c), self.ua
        if self.ice_w_per_k is not None:
            inside = nodes_c[0]
            self.melts = (ice_wh > 0) & ((inside > 0) | ((inside == 0) & (equilibrium_c > 0)))
            conductance = self.ua + np.where(self.melts, self.ice_w_per_k, 0)
            equilibrium_c = equilibrium_c * self.ua / conductance  # the ice pulls towards its 0 degC
        return [Approach(nodes_c[0], equilibrium_c, self.wh_per_k / conductance)]
