"""Random draws of each purpose and trial, and what is drawn from them once a trial or once a day."""

from functools import cache
from typing import Any

import numpy as np
from numpy.random import PCG64, SeedSequence
from scipy.special import betaincinv, ndtr, ndtri


def purpose(name):
    """FNV-1a of 32 bits (Fowler, Noll & Vo)."""
    value = 0x811C9DC5
    for byte in name.encode():
        value = (value ^ byte) * 0x01000193 % 2**32
    return value


def normal_of(draws):
    """Standard normal from the high half n: the quantile of (n + 1/2)/2^32."""
    return ndtri(((draws >> np.uint64(32)).astype(float) + 0.5) / 2.0**32)


def uniform_of(draws):
    """The same fraction of the low half."""
    return ((draws & np.uint64(0xFFFFFFFF)).astype(float) + 0.5) / 2.0**32


def triangular(u, low, mode, high):
    share = (mode - low) / (high - low)
    rising = low + np.sqrt(u * (high - low) * (mode - low))
    falling = high - np.sqrt((1 - u) * (high - low) * (high - mode))
    return np.where(u <= share, rising, falling)


def pert(u, low, mode, high):
    """Beta distribution with a + b = 6 and the mode at (a - 1)/4."""
    a = 1 + 4 * (mode - low) / (high - low)
    return low + (high - low) * betaincinv(a, 6 - a, u)


def cut_normal(u, mean, sd, low, high):
    """Normal cut to [low, high]; counted from whichever tail is nearer."""
    below, above = ndtr((low - mean) / sd), ndtr((mean - high) / sd)
    p, q = below + u * (1 - below - above), above + (1 - u) * (1 - below - above)
    return np.clip(mean + sd * np.where(p <= q, ndtri(p), -ndtri(q)), low, high)


def discrete(u, values, weights):
    edges = np.cumsum(weights) / np.sum(weights)
    return np.asarray(values)[np.minimum(np.searchsorted(edges, u, side="left"), len(values) - 1)]


SHAPES: dict[str, Any] = {
    "uniform": lambda u, low, high: low + u * (high - low),
    "triangular": triangular,
    "pert": pert,
    "discrete": discrete,
}


def quantile(spread, u, low, high):
    """Inverse distribution function of a spread; low and high are the range of its field."""
    a = spread.arguments
    if spread.shape == "normal":
        return cut_normal(u, *a, low, high)  # type: ignore[call-arg]
    return SHAPES[spread.shape](u, *a)


class Draws:
    """All chance of some trials of a trip: streams by (seed, purpose, trial), quantities by their dotted path."""

    def __init__(self, seed, trials, days, sky_days=0):
        # days: of the clock, that the trip touches; sky_days: of the weather
        self.seed, self.trials, self.days = seed, list(trials), days
        self.longest = max(days, sky_days)
        self._draws = cache(self._make_draws)

    def __len__(self):
        return len(self.trials)

    def _make_draws(self, name, count):
        keys = (SeedSequence(self.seed, spawn_key=(purpose(name), t)) for t in self.trials)
        return np.array([PCG64(key).random_raw(count) for key in keys], dtype=np.uint64).reshape(len(self), count)

    def daily_draws(self, name, draws_a_day):
        """(trials, days + 1, draws): one day more than the trip touches, as its last evening looks ahead."""
        return self._draws(name, draws_a_day * (self.longest + 1)).reshape(len(self), self.longest + 1, draws_a_day)

    def of_spread(self, spread, path, low, high, daily=False):
        """(trials,), or (trials, days) of a spread that is drawn anew each day."""
        u = uniform_of(self._draws("spread." + path, self.days if daily else 1))
        return quantile(spread, u if daily else u[:, 0], low, high)

    def of_shape(self, shape, numbers, path, daily=False):
        """Of a distribution that the model itself sets; not cut."""
        u = uniform_of(self._draws("spread." + path, self.days if daily else 1))
        return SHAPES[shape](u if daily else u[:, 0], *numbers)

    def quantity(self, record, field, path, otherwise=None):
        """A number of a record as its trials draw it, (trials,) or (trials, days); `otherwise` where it is None."""
        value = getattr(record, field)
        declared = record.schema.field(field)
        if value is None:
            value = otherwise
        if not hasattr(value, "quantile"):
            return np.full(len(self), float(value))
        daily = (value.per or declared.variation) == "day"
        return self.of_spread(value, path + declared.draw_name, declared.low, declared.high, daily)

    def normal_score(self, name):
        """A trait: one standard normal a trial, cut at 5."""
        return cut_normal(uniform_of(self._draws(name, 1))[:, 0], 0.0, 1.0, -5.0, 5.0)


def on_day(quantity, day):
    """A quantity's values on one day."""
    return quantity if quantity.ndim == 1 else quantity[:, day]


def by_day(quantity, days):
    """(trials, days) whatever it is drawn by."""
    return quantity if quantity.ndim == 2 else np.repeat(quantity[:, None], days, axis=1)
