"""Quantiles from counts in equal bins."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..model.checks import validate_numbers
from ..model.errors import bad_input


def validate_shares(given: object) -> NDArray[np.float64]:
    """Shares of trials as an array; InputError where one is none."""
    allowed = "a list of numbers 0 to 1"
    wanted = np.asarray(validate_numbers("shares", given, allowed), dtype=float)
    if not np.all((wanted >= 0) & (wanted <= 1)):
        raise bad_input("shares", given, allowed=allowed)
    return wanted


def quantiles_of_counts(histogram: NDArray[Any], shares: NDArray[np.float64]) -> NDArray[np.float64]:
    """Quantiles of each row of a histogram over equal bins of 0 to 1, linear within a bin."""
    rows, bins = histogram.shape
    out = np.empty((len(shares), rows))
    edges = np.arange(bins + 1) / bins
    for row in range(rows):
        cumulative = np.concatenate([[0], np.cumsum(histogram[row])]) / histogram[row].sum()
        rising = np.concatenate([[True], np.diff(cumulative) > 0])
        rising[:-1] |= rising[1:]  # and the point before each rise
        out[:, row] = np.interp(shares, cumulative[rising], edges[rising])
    return out
