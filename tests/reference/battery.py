"""A 12 V battery: two wells of charge, a rest-voltage table, resistance, polarisation and what it accepts.

Charge in Ah, time in h, current positive out of the battery; every array (trials,).
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

# 1/K_T of IEEE 485, the three coldest from memory.
FAHRENHEIT = np.array([25, 30, 35, 40, 45, 50, 55, 60, 65, 68, 70, 77])
CELL_SIZE = np.array([1.52, 1.43, 1.35, 1.30, 1.25, 1.19, 1.15, 1.11, 1.08, 1.056, 1.04, 1.00])
LEAST_FACTOR, LEAST_SOURCE_V = 0.3, 6.0
GASSING = 0.9  # the charging slope holds up to here, of Copetti's state
CELLS = 6
FULL = 1e-13
ACCEPTANCE_V, MOST_WILLING = 14.4, 1.5
HALF_POLARISED_C_RATE = 0.05
LEAST_KEPT = 0.3
WEEKS_A_MONTH = 365 / 12 / 7
LEAST_I100 = 1e-6  # A at 100 Ah: a weaker charge leaves the surface charge of this one, .1 uV (the core's guard)
FREEZING_CHARGE, FREEZING_C = np.array([0, 0.25, 0.5, 0.75, 1]), np.array([-10, -16, -25, -38, -57])


class Lines:
    """Straight lines through nodes, the outer ones prolonged."""

    def __init__(self, at, values):
        self.at, self.values = np.array(at), np.array(values)
        self.slope = np.diff(self.values) / np.diff(self.at)

    def __call__(self, x):
        i = np.searchsorted(self.at[1:-1], x)
        return self.values[i] + self.slope[i] * (x - self.at[i])

    def rise(self, x):
        return self.slope[np.searchsorted(self.at[1:-1], x)]


@dataclass
class Charge:
    """State of the battery: available and bound well [Ah], polarisation [V], temperature [degC]."""

    available: np.ndarray
    bound: np.ndarray
    polarisation_v: np.ndarray
    temp_c: np.ndarray

    @property
    def ah(self):
        return self.available + self.bound


class Battery:
    """What both chemistries share. `capacity_ah`: aged, at 20 hours and 25 degC; `ohm`: of the whole battery."""

    if TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:
            """What each chemistry has."""

        def __setattr__(self, name: str, value: Any) -> None:
            """What is set from outside."""

    def __init__(self, record, draw):
        self.record = record
        self.offset_v, self.factor_0c = draw("open_circuit_voltage_offset_v"), draw("capacity_factor_0c")

    def full_per_capacity(self):
        """Charge of both wells over what a constant current takes in 20 h: Jongerden & Haverkort 2009."""
        kt = self.k * 20.0
        return (-np.expm1(-kt) + self.c * (kt + np.expm1(-kt))) / (kt * self.c)

    def full(self, share, temp_c):
        """Filled to a share, rested."""
        q = share * self.full_ah
        return Charge(self.c * q, (1 - self.c) * q, 0 * q, temp_c)

    def available_share(self, s):
        """Level of the available well; at rest the share of full."""
        return s.available / (self.c * self.full_ah)

    def capacity_factor(self, temp_c):
        return np.maximum(1 - (1 - self.factor_0c) * self.cold_loss(temp_c), LEAST_FACTOR)

    def slowness(self, temp_c):
        """Of resistance and polarisation, over those at 25 degC and above."""
        return 1.0

    def source_v(self, available_share, factor, load_share):
        """Behind resistance and polarisation. Cold and under load, it is empty at a available_share of 1 - factor."""
        cold_share = (available_share - (1 - factor)) / factor
        volts = self.loaded_v(available_share + load_share * (cold_share - available_share)) + self.offset_v
        return np.maximum(volts + (1 - load_share) * self.back_at_rest_v(available_share), LEAST_SOURCE_V)

    def back_at_rest_v(self, available_share):
        return 0.0

    def held_a(self, s, rest_v, slowness, set_v, h):
        return np.inf

    def fall_ohm(self, s, source_v, set_v, ohm, h):
        """Only surface charge is above the chargers' voltage: it goes by itself."""
        return np.inf

    def wells_after(self, s, out_a, h):
        """Both wells, Manwell & McGowan 1993 in the form of Jongerden & Haverkort 2009."""
        kt = self.k * h
        e, gone = np.exp(-kt), -np.expm1(-kt)
        late = kt - gone
        q = s.ah
        available = s.available * e + (q * self.k * self.c - out_a) * gone / self.k - out_a * self.c * late / self.k
        bound = s.bound * e + q * (1 - self.c) * gone - out_a * (1 - self.c) * late / self.k
        return available, bound

    def well_limit_a(self, s, h):
        """Largest current into the wells for h hours after which the available one is no more than full."""
        kt = self.k * h
        e, gone = np.exp(-kt), -np.expm1(-kt)
        room = self.k * (self.c * self.full_ah - s.available * e - s.ah * self.c * gone)
        return np.maximum(room, 0) / (gone + self.c * (kt - gone))


class Agm(Battery):
    c, k = 0.325, 1.92  # fitted by tests/long/fit_wells.py
    lithium = False

    def __init__(self, record, draw, some_unmeasured=True):
        super().__init__(record, draw)
        self.share, self.acceptance = draw("polarisation_factor"), draw("acceptance_per_h")
        self.exponent, self.halving_k = draw("acceptance_exponent"), draw("acceptance_halving_k")
        # Under load, without the resistance. Below empty the voltage collapses.
        empty_v = record.open_circuit_voltage_v[0] - record.end_of_discharge_drop_v
        self.loaded_v = Lines(
            [-0.1, *(np.arange(11) / 10)], [empty_v - 10, empty_v, *record.open_circuit_voltage_v[1:]]
        )
        celsius = (FAHRENHEIT - 32) / 1.8
        lost = (1 - 1 / CELL_SIZE) / (1 - np.interp(0.0, celsius, 1 / CELL_SIZE))
        self.cold_loss = Lines([*celsius, 60], [*lost, 0])  # 1 at 0 degC, 0 from 25 degC
        self.kept = 1.0
        months = record.weeks_at_partial_charge / WEEKS_A_MONTH
        if months > 0 and some_unmeasured:
            self.kept = np.maximum(1 - draw("sulphation_loss_per_month") * months, LEAST_KEPT)

    def back_at_rest_v(self, available_share):
        return self.record.end_of_discharge_drop_v * np.clip((0.1 - available_share) / 0.1, 0, 1)

    def copetti_state(self, s):
        """State of charge of their larger capacity."""
        return np.clip(1 - 0.63 * (1 - s.ah / self.full_ah), 0.2, 0.985)

    def missing_ah(self, s):
        """A battery that is full but for rounding is full."""
        missing = self.full_ah - s.ah
        return np.where(missing > FULL * self.full_ah, missing, 0)

    def acceptance_rate(self, s, set_v):
        """Of what is missing, an hour: by the voltage held, less in the cold."""
        rest_v = self.loaded_v(s.ah / self.full_ah) + self.offset_v
        over = np.maximum(set_v - rest_v, 1e-3) / np.maximum(ACCEPTANCE_V - rest_v, 0.1)
        willing = over**self.exponent * 2 ** ((s.temp_c - 25) / self.halving_k)
        return self.acceptance * np.minimum(willing, MOST_WILLING)

    def stored_share(self, s, into_a, rate):
        """Of each Ah charged: Copetti, Lorenzo & Chenlo 1993, of which this battery shows a share."""
        missing = self.missing_ah(s)
        i10 = np.minimum(np.maximum(into_a, 0), rate * missing) * 10 / self.capacity_ah
        stored = 1 - np.exp(20.73 * (np.minimum(s.ah / self.full_ah, 1) - 1) / (i10 + 0.55))
        return 1 - np.minimum(self.share, 1) * (1 - np.maximum(stored, 0.1))

    def charge_ohm(self, s, ohm):
        """Resistance in charge: the slope of Copetti's overvoltage with the current rises towards full."""
        left = 1 - np.minimum(self.copetti_state(s), GASSING)
        slope = (0.48 / left**1.2 + 0.036) * (1 - 0.025 * (s.temp_c - 25))
        return ohm + CELLS * self.share * slope / self.capacity_ah

    def acceptance_a(self, s, rate, stored, h):
        """Mean over h hours: the missing charge falls exponentially; the wells' own limit."""
        missing = self.missing_ah(s)
        taken = -missing * np.expm1(-rate * stored * h)
        return np.maximum(np.minimum(self.well_limit_a(s, h) / stored, taken / (h * stored)), 0)

    def polarisation_after(self, s, available_share, slowness, out_a, h):
        """First order towards what resistance and emptied well do not explain; available_share: the segment's mean."""
        i = np.abs(out_a) * 100 / self.capacity_ah
        state = self.copetti_state(s)
        heat = 1 - 0.007 * (s.temp_c - 25)
        over = self.share * CELLS * i / 100 * (4 / (1 + i**1.3) + 0.27 / state**1.5 + 0.02) * heat
        explained = out_a * self.ohm + self.loaded_v(s.ah / self.full_ah) - self.loaded_v(available_share)
        weak = np.maximum(i, LEAST_I100)
        surface = self.share * CELLS * 6 / 100 * weak / (1 + weak**0.86)
        target = np.where(out_a > 0, np.maximum(over - explained, 0), np.where(out_a < 0, -surface, 0))
        # Surface charge goes in 4 h at rest, and at once when a load takes it.
        loses = (s.polarisation_v < 0) & (out_a >= 0)
        rate = np.where(loses, 1 / 4 + np.maximum(out_a, 0) / (0.015 * self.capacity_ah), 1 / 0.5)
        return target + (s.polarisation_v - target) * np.exp(-rate * h)

    def freezes(self, s):
        """Electrolyte at its freezing point: battery handbooks, from memory."""
        return s.temp_c < np.interp(s.ah / self.full_ah, FREEZING_CHARGE, FREEZING_C)


class Lfp(Battery):
    c, k = 0.9, 2.0  # from memory
    lithium = True

    def __init__(self, record, draw, some_unmeasured=True):
        super().__init__(record, draw)
        self.c_rate, self.coulombic = draw("charge_c_rate"), draw("coulombic_efficiency")
        self.loaded_v = Lines(record.open_circuit_soc, record.open_circuit_voltage_v)
        self.factor_minus_20c = np.minimum(draw("capacity_factor_minus_20c"), self.factor_0c)
        self.most_out_v, self.most_in_v = draw("polarisation_v"), draw("charge_polarisation_v")
        self.doubling_k = draw("resistance_doubling_k")
        self.kept = 1 - draw("cell_imbalance") if some_unmeasured else 1.0

    def capacity_factor(self, temp_c):
        """Straight through both figures, on below the colder."""
        warm = 1 - (1 - self.factor_0c) * np.clip(1 - temp_c / 25, 0, 1)
        below = (self.factor_0c - self.factor_minus_20c) * np.maximum(-temp_c, 0) / 20
        return np.maximum(warm - below, LEAST_FACTOR)

    def slowness(self, temp_c):
        return 2 ** (np.maximum(25 - temp_c, 0) / self.doubling_k)

    def acceptance_rate(self, s, set_v):
        return self.c_rate

    def stored_share(self, s, into_a, rate):
        return self.coulombic

    def charge_ohm(self, s, ohm):
        return ohm

    def fall_ohm(self, s, source_v, set_v, ohm, h):
        """Above the chargers' voltage at rest: down to it within `h`, by its voltage's slope over the available well,
        or as fast as resistance and overvoltage let it. As a resistance to the voltage with polarisation."""
        left, slow = np.exp(-2 * h), ohm / self.ohm
        follows = self.loaded_v.rise(self.available_share(s)) * h / (self.c * self.full_ah)
        rises = (1 - left) * self.most_out_v * slow / (HALF_POLARISED_C_RATE * self.capacity_ah)
        above_v = source_v + s.polarisation_v - set_v - left * np.maximum(s.polarisation_v, 0)
        gives_a = np.maximum(above_v, 0) / (np.maximum(ohm, follows) + rises)
        gives = (gives_a > 0) & (source_v > set_v)
        return np.where(gives, (source_v - set_v) / np.where(gives, np.maximum(gives_a, 1e-12), 1), np.inf)

    def held_a(self, s, rest_v, slowness, set_v, h):
        """Into a battery that is held at a voltage: R I + b I / (I + I0) = a, the overvoltage as at the end."""
        left, half_a = np.exp(-2 * h), HALF_POLARISED_C_RATE * self.capacity_ah
        a = np.maximum(set_v - rest_v + left * s.polarisation_v, 0)
        ohm, m = self.ohm * slowness, self.ohm * slowness * half_a + (1 - left) * self.most_in_v * slowness - a
        root = np.sqrt(m**2 + 4 * ohm * a * half_a)
        return np.where(m > 0, 2 * a * half_a / np.maximum(m + root, 1e-12), (root - m) / (2 * ohm))

    def acceptance_a(self, s, rate, stored, h):
        """A C rate, less towards full, in the cold and in the heat."""
        r = self.record
        near_full = np.clip((1 - s.ah / self.full_ah) / 0.05, 0, 1)
        cold = np.clip((s.temp_c - r.charge_block_c) / (r.charge_full_c - r.charge_block_c), 0, 1)
        hot = np.clip((r.hot_block_c - s.temp_c) / (r.hot_block_c - r.hot_reduce_c), 0, 1)
        taken = rate * self.capacity_ah * near_full * cold * hot
        return np.maximum(np.minimum(self.well_limit_a(s, h) / stored, taken), 0)

    def polarisation_after(self, s, available_share, slowness, out_a, h):
        """A bounded overvoltage in either direction."""
        rate = out_a / self.capacity_ah
        most = np.where(out_a > 0, self.most_out_v, self.most_in_v) * slowness
        target = most * rate / (np.abs(rate) + HALF_POLARISED_C_RATE)
        return target + (s.polarisation_v - target) * np.exp(-2 * h)

    def freezes(self, s):
        return np.zeros(len(s.temp_c), bool)


# Triangular health of the capacity, new and at 5 years, and resistance of 100 Ah [mohm], new.
AGEING = {
    "AgmBattery": ((0.85, 0.95, 1.0), (0.55, 0.75, 0.90), (5, 6.5, 10), lambda years: min(1 + years / 5, 3.0)),
    "LithiumBattery": ((0.94, 0.98, 1.0), (0.85, 0.92, 0.98), (4, 7, 14), lambda years: 1 + years / 20),
}


def aged(kind, years):
    """Health and resistance of a battery of that age, as triangles."""
    new, five, mohm, factor = AGEING[kind]
    health = [max(a + (b - a) * years / 5, 0.2) for a, b in zip(new, five, strict=True)]
    return health, [m * factor(years) for m in mohm]


def battery_of(van, draws):
    """The house batteries as each trial has them: of their ages, as measured, in parallel."""
    first = van.batteries[0]
    kind = type(first).__name__

    def of_age(battery, path, field, numbers):
        if battery.age_years is not None and getattr(battery, field) == battery.schema.field(field).default_value:
            return draws.of_shape("triangular", numbers, path + field)
        return draws.quantity(battery, field, path)

    # What is lost besides health counts for those of which no capacity has been measured.
    some_unmeasured = any(battery.measured_capacity_ah is None for battery in van.batteries)
    chemistry = {"AgmBattery": Agm, "LithiumBattery": Lfp}[kind]
    b = chemistry(first, lambda field: draws.quantity(first, field, "battery."), some_unmeasured)
    all_rated, capacities, siemens = [], [], []
    for i, battery in enumerate(van.batteries, 1):
        path = {1: "battery.", 2: "battery.second."}.get(i, f"battery.{i}.")
        health, mohm = aged(kind, battery.age_years or 0)
        health = of_age(battery, path, "state_of_health", health)
        mohm = of_age(battery, path, "resistance_mohm_100ah", mohm)
        rated = draws.quantity(battery, "capacity_ah", path)
        all_rated.append(rated)
        measured = battery.measured_capacity_ah is not None
        capacities.append(
            draws.quantity(battery, "measured_capacity_ah", path) if measured else rated * health * b.kept
        )
        siemens.append(1 / (mohm / 1000 * 100 / rated))
    b.capacity_ah, b.ohm = sum(capacities), 1 / sum(siemens)
    b.cells_wh_per_k = getattr(first, "heat_capacity_kj_per_k_100ah", 0) / 3.6 * sum(all_rated) / 100
    b.full_ah = b.capacity_ah * b.full_per_capacity()
    return b
