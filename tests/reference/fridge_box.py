"""A fridge of two nodes, the inside that the thermostat feels and a freezer box coupled to it:

C1 dT1/dt = U1 (Ta - T1) + G (T2 - T1) + heat - (1 - s) Q
C2 dT2/dt = U2 (Ta - T2) + G (T1 - T2) - s Q

Linear, so each node is a constant and two exponentials; by eigenvalues. All arrays are (trials,).
"""

from dataclasses import dataclass

import numpy as np

from .module import bisect

NEVER = 1e6


@dataclass
class Motion:
    """rest + sum of size e^(-rate t), the slow one first: it turns back at most once."""

    rest: np.ndarray
    size: np.ndarray  # (trials, 2)
    rate: np.ndarray

    def at(self, hours):
        return self.rest + (self.size * np.exp(-self.rate * np.asarray(hours)[..., None])).sum(-1)

    def turning_h(self, horizon):
        """Where the two slopes cancel within (0, horizon), else 0."""
        slope = self.size * self.rate
        opposed = slope[:, 0] * slope[:, 1] < 0
        ratio = np.where(opposed, -slope[:, 1] / np.where(opposed, slope[:, 0], 1), 1)
        hours = np.log(np.maximum(ratio, 1)) / (self.rate[:, 1] - self.rate[:, 0])
        return np.where(hours < horizon, hours, 0)

    def meets_between(self, level, from_h, to_h):
        """On a stretch without a turn whose ends lie on different sides of the level."""
        falls = np.where(self.at(from_h) > level, -1, 1)
        return bisect(lambda t: falls * (self.at(t) - level), from_h, to_h)

    def first_meets(self, level, horizon):
        """Hours until it first crosses the level, NEVER where it does not by the horizon."""
        turn = self.turning_h(horizon)
        start, middle, end = (self.at(h) > level for h in (np.zeros_like(horizon), turn, horizon))
        early, late = start != middle, (start == middle) & (middle != end)
        found = self.meets_between(level, np.where(early, 0, turn), np.where(early, turn, horizon))
        return np.where(early | late, found, NEVER)

    def hours_above(self, level, hours):
        turn = self.turning_h(hours)
        total = np.zeros_like(hours)
        for a, b in ((np.zeros_like(hours), turn), (turn, hours)):
            starts, ends = self.at(a) > level, self.at(b) > level
            at = self.meets_between(level, a, b)
            total = total + np.select([starts & ends, starts, ends], [b - a, at - a, b - at], 0)
        return total


@dataclass
class TwoNodes:
    main_ua: np.ndarray  # W/K
    box_ua: np.ndarray
    coupling: np.ndarray
    main_capacity: np.ndarray  # Wh/K
    box_capacity: np.ndarray
    cooling_share: np.ndarray  # of the box

    def motions(self, main_c, box_c, cabin_c, heat_w, cooling_w):
        """Of both nodes from their temperatures now; `cooling_w`: 0 where the compressor rests."""
        g = self.coupling
        pull = np.stack([np.stack([-self.main_ua - g, g], -1), np.stack([g, -self.box_ua - g], -1)], -2)
        push = np.stack(
            [
                self.main_ua * cabin_c + heat_w - (1 - self.cooling_share) * cooling_w,
                self.box_ua * cabin_c - self.cooling_share * cooling_w,
            ],
            -1,
        )
        rest = np.linalg.solve(pull, -push[..., None])[..., 0]
        capacity = np.stack([self.main_capacity, self.box_capacity], -1)
        values, vectors = np.linalg.eig(pull / capacity[..., None])
        slow_first = np.argsort(-values, -1)
        values = np.take_along_axis(values, slow_first, -1)
        vectors = np.take_along_axis(vectors, slow_first[..., None, :], -1)
        away = np.stack([main_c, box_c], -1) - rest
        share = np.linalg.solve(vectors, away[..., None])[..., 0]
        return [Motion(rest[:, i], vectors[:, i] * share, -values) for i in (0, 1)]

    def steady_box_c(self, main_c, cabin_c):
        """Of the box when the thermostat has long held the main node: its mean cooling is then what that node needs."""
        # T2 from C2's balance with s Q, and (1 - s) Q from C1's.
        s, g = self.cooling_share, self.coupling
        return (g * main_c - s * self.main_ua * (cabin_c - main_c) + (1 - s) * self.box_ua * cabin_c) / (
            g + (1 - s) * self.box_ua
        )


def medicine_hours(motion_hours_above, hours, coldest_k, warmest_k):
    """Hours outside 2 to 8 degC at the coldest and at the warmest place, and below 0 degC at the coldest.

    `motion_hours_above(level)`: hours of the segment in which the node is above a level; places lie off it."""

    def outside(offset):
        return hours - motion_hours_above(2 - offset) + motion_hours_above(8 - offset)

    return outside(coldest_k), outside(warmest_k), hours - motion_hours_above(-coldest_k)
