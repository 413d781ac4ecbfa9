"""The chance of an event on a trip picked from several that were played with the same trials, with its interval."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core


def mean_chance(happened: Sequence[NDArray[np.bool_]]) -> _core.Estimate:
    """The mean over the trips of the chances of an event, with its 95 % interval.

    Trial i has the same van and habits on all trips, so that only trials are independent, and events on two trips count
    for less than two. The score interval (Wilson 1927) is taken with so many trials as would have the variance that the
    trials' means have (the design effect of Kish 1965): the trials where all trips fail together, at most those of all
    trips, where they fail apart. Where nothing or everything happened nothing tells: then it is that of the trials.

    Parameters
    ----------
    happened : sequence of arrays of bool
        By trip, whether each trial has the event; all of one length.

    Returns
    -------
    Estimate
        Without a count of events, as the mean is not of whole ones; ``trials`` are those of each trip.
    """
    shares = np.mean(happened, axis=0)
    trials, chance = len(shares), float(shares.mean())
    single, spread = chance * (1 - chance), float(shares.var())
    as_many = np.clip(single / spread, 1, len(happened)) if spread > 0 else 1 if single == 0 else len(happened)
    low, high = _core.score_interval(chance, trials * float(as_many))
    return _core.Estimate(value=chance, low=max(low, 0.0), high=min(high, 1.0), events=None, trials=trials)
