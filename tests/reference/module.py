"""A crystalline module of 36 cells by its single diode: De Soto, Klein & Beckman 2006.

Solved by bisection over the junction's voltage, in which current and terminal voltage are explicit.
"""

from dataclasses import dataclass

import numpy as np

# 100 W, 6.00 A, 21.8 V, 5.56 A, 18.0 V, ideality 1.05 at standard test conditions.
A_REF, LIGHT_REF, SATURATION_REF, SERIES_OHM, SHUNT_REF, PER_K = (
    0.971179,
    6.007428,
    1.043487e-9,
    0.170117,
    137.4174,
    0.003,
)
GAP_EV, GAP_PER_K, BOLTZMANN_EV_K, REF_K = 1.121, -0.0002677, 8.617333262e-5, 298.15


def bisect(rising, low, high, turns=70):
    """Root of a function that rises from low to high, all arrays."""
    low, high = np.broadcast_arrays(low, high)
    for _ in range(turns):
        middle = (low + high) / 2
        below = rising(middle) < 0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return (low + high) / 2


@dataclass
class Module:
    a: np.ndarray
    light_a: np.ndarray
    saturation_a: np.ndarray
    shunt_ohm: np.ndarray

    def junction_a(self, v):
        return self.light_a - self.saturation_a * np.expm1(v / self.a) - v / self.shunt_ohm

    def slope(self, v):
        return -self.saturation_a / self.a * np.exp(v / self.a) - 1 / self.shunt_ohm

    def current_a(self, volts):
        """At the terminals; nothing flows back."""
        most = np.maximum(self.junction_a(volts), self.light_a)  # the first where a collapsed battery is under 0 V
        v = bisect(lambda v: v - volts - self.junction_a(v) * SERIES_OHM, volts, volts + most * SERIES_OHM)
        return np.maximum(self.junction_a(v), 0)

    def open_v(self):
        return bisect(lambda v: -self.junction_a(v), 0.0, 40.0 + 0 * self.a)

    def peak(self):
        """Power and voltage at the maximum-power point, where dP = I dV + V dI vanishes."""

        def falling_power(v):
            i, di = self.junction_a(v), self.slope(v)
            return -(i * (1 - di * SERIES_OHM) + (v - i * SERIES_OHM) * di)

        v = bisect(falling_power, 0.0, self.open_v())
        i = self.junction_a(v)
        return (v - i * SERIES_OHM) * i, v - i * SERIES_OHM


def module_at(irradiance, cell_c, dark_share):
    """dark_share: of the shunt's conductance at 1000 W/m2, what does not go with the light."""
    sun = irradiance / 1000
    kelvin = cell_c + 273.15
    gap = GAP_EV * (1 + GAP_PER_K * (cell_c - 25))
    grown = np.exp((GAP_EV / REF_K - gap / kelvin) / BOLTZMANN_EV_K)
    return Module(
        a=A_REF * kelvin / REF_K,
        light_a=sun * (LIGHT_REF + PER_K * (cell_c - 25)),
        saturation_a=SATURATION_REF * (kelvin / REF_K) ** 3 * grown,
        shunt_ohm=SHUNT_REF / ((1 - dark_share) * sun + dark_share),
    )


def standard():
    """Most power at 1000 W/m2 and 25 degC, and the share of it that a kelvin takes.

    At the maximum-power point its voltage's own move changes nothing: power moves as the current at that junction does.
    """
    module = module_at(1000.0, 25.0, 0.0)
    watts, volts = module.peak()
    amps = watts / volts
    v = volts + amps * SERIES_OHM
    growth = 3 / REF_K + (GAP_EV / REF_K - GAP_EV * GAP_PER_K) / (BOLTZMANN_EV_K * REF_K)
    diode_a = SATURATION_REF * np.exp(v / A_REF)
    per_k = PER_K - growth * (diode_a - SATURATION_REF) + diode_a * v / A_REF / REF_K
    return watts, -(volts - amps * SERIES_OHM) * per_k / watts


def equivalent_cell_c(cell_c, loss_per_k):
    """Where this module has lost what one that loses that share with a kelvin does at `cell_c`."""
    return 25 + (cell_c - 25) * loss_per_k / LOSS_PER_K


RATED_W, LOSS_PER_K = standard()
