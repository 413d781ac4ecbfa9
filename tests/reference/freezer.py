"""A fridge with a freezer box: two coupled nodes, the thermostat on the main one.

C1 dT1/dt = U1 (Ta - T1) + G (T2 - T1) + q - (1 - s) Q and C2 dT2/dt = U2 (Ta - T2) + G (T1 - T2) - s Q, solved by
the eigenvalues of their matrix.
"""

import numpy as np

from .fridge import NEVER_H, Fridge


class Motion:
    """One node: rest + sum of amplitude e^(-rate t) over the two rates (slow, fast)."""

    def __init__(self, rest, amplitudes, rates):
        self.rest, self.amplitudes, self.rates = rest, amplitudes, rates

    def at(self, h):
        return self.rest + sum(a * np.exp(-r * h) for a, r in zip(self.amplitudes, self.rates, strict=True))

    def turn(self, horizon):
        """The moment within (0, horizon) at which it turns back; 0: none."""
        slow, fast = (a * r for a, r in zip(self.amplitudes, self.rates, strict=True))
        with np.errstate(divide="ignore", invalid="ignore"):
            at = np.log(-fast / slow) / (self.rates[1] - self.rates[0])
        return np.where((slow * fast < 0) & (at > 0) & (at < horizon), at, 0)

    def between(self, level, low, high, turns=60):
        """When it crosses a level between two moments, by halving; it turns nowhere between."""
        above = self.at(low) > level
        for _ in range(turns):
            middle = (low + high) / 2
            before = (self.at(middle) > level) == above
            low, high = np.where(before, middle, low), np.where(before, high, middle)
        return (low + high) / 2

    def meets(self, level, horizon):
        turn = self.turn(horizon)
        start, middle, end = (self.at(h) > level for h in (0.0, turn, horizon))
        early, late = start != middle, (middle != end) & (start == middle)
        if not (early | late).any():
            return np.full(level.shape, NEVER_H)
        found = self.between(level, np.where(early, 0, turn), np.where(early, turn, horizon))
        return np.where(early | late, found, NEVER_H)

    def warmest(self, h, end_c):
        return np.maximum(end_c, self.at(self.turn(h)))

    def hours_above(self, level, h, end_c):
        turn = self.turn(h)
        hours = np.zeros(1)
        for a, b in ((0 * turn, turn), (turn, h)):
            starts, ends = self.at(a) > level, self.at(b) > level
            cross = self.between(level, a, b) if (starts != ends).any() else a
            hours = hours + np.where(starts & ends, b - a, np.where(starts, cross - a, np.where(ends, b - cross, 0)))
        return hours


class FreezerFridge(Fridge):
    def __init__(self, record, draws):
        super().__init__(record, draws)
        box, path = record.freezer_box, "fridge.freezer_box."
        self.box_wh_per_k = draws.quantity(box, "heat_capacity_kj_per_k", path, box.volume_l) / 3.6
        self.coupling = draws.quantity(box, "coupling_w_per_k", path)
        self.leak, self.cooling = (draws.quantity(box, f, path) for f in ("heat_leak_share", "cooling_share"))
        self.evaporator_c = box.evaporator_c
        self.main_ua, self.box_ua = self.ua * (1 - self.leak), self.ua * self.leak
        self.a = (self.main_ua + self.coupling) / self.wh_per_k
        self.b = (self.box_ua + self.coupling) / self.box_wh_per_k
        self.gain = self.coupling / self.wh_per_k
        self.box_gain = self.coupling / self.box_wh_per_k
        # Of the decay matrix: sum of the eigenvalues is its trace, their product its determinant.
        spread = np.sqrt((self.a - self.b) ** 2 + 4 * self.gain * self.box_gain)
        fast = (self.a + self.b + spread) / 2
        leaks = self.main_ua * self.box_ua + self.coupling * (self.main_ua + self.box_ua)
        self.rates = leaks / (self.wh_per_k * self.box_wh_per_k) / fast, fast

    def start(self, cabin_c):
        """The box as with the main node long held at its temperature; as warm as that where declared."""
        (main,) = super().start(cabin_c)
        if self.record.initial_inside_c is not None:
            return [main, main]
        # The thermostat runs for the share of time at which the main node's heat is carried off.
        kept, s = 1 - self.cooling, self.cooling
        heat = self.coupling * main + kept * self.box_ua * cabin_c - s * self.main_ua * (cabin_c - main)
        return [main, heat / (self.coupling + kept * self.box_ua)]

    def surroundings(self, cabin_c, heat_w):
        cooled = self.cooling_w(cabin_c)

        def equilibrium(main_w, box_w):
            """Both equations at rest, by Cramer's rule."""
            g, u1, u2 = self.coupling, self.main_ua, self.box_ua
            determinant = u1 * u2 + g * (u1 + u2)
            main = cabin_c + ((u2 + g) * main_w + g * box_w) / determinant
            return main, cabin_c + ((u1 + g) * box_w + g * main_w) / determinant

        self.at_rest = equilibrium(heat_w, 0.0)
        self.at_work = equilibrium(heat_w - (1 - self.cooling) * cooled, -self.cooling * cooled)

    def motions(self, nodes_c, runs, ice_wh):
        main_to, box_to = (np.where(runs, w, r) for w, r in zip(self.at_work, self.at_rest, strict=True))
        d1, d2 = nodes_c[0] - main_to, nodes_c[1] - box_to
        slow, fast = self.rates
        # The part along the slow eigenvector is (fast - matrix) d / (fast - slow).
        s1 = ((fast - self.a) * d1 + self.gain * d2) / (fast - slow)
        s2 = ((fast - self.b) * d2 + self.box_gain * d1) / (fast - slow)
        return [Motion(main_to, (s1, d1 - s1), self.rates), Motion(box_to, (s2, d2 - s2), self.rates)]


def fridge_of(van, draws):
    return (Fridge if van.fridge.freezer_box is None else FreezerFridge)(van.fridge, draws)
