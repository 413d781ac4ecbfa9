"""A charge that an owner keeps to: which trips fall below it, and for how many nights it holds."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..engine.error_estimates import nights_within
from ..engine.risk import LEVELS, Risk
from ..engine.run_options import RunOptions
from ..engine.simulation import run_trip

_BINS = 400  # in which `Risk.below_soc` counts the lowest charge


def failing(risk: Risk, charge_limit: float | None) -> NDArray[np.bool_]:
    """Which trials have a cut-out or, where the owner keeps to a charge, fall below it; the columns must be there."""
    cut = np.asarray(risk.columns["cutout_cause"] > 0)
    return cut if charge_limit is None else cut | _below(risk, charge_limit)


def nights_kept(risk: Risk, options: RunOptions, charge_limit: float) -> tuple[int, ...]:
    """Most nights without a cut-out and above a charge, at each of the usual risks.

    As `Risk.nights_at` counts them with the model's error for this van, in which the causes do what they do to the
    chance of a cut-out; of the first trials, which are played again for their hourly charge.
    """
    run = run_trip(risk.van, risk.trip, options, clock=risk.clock, time_series=["soc"])
    first_h = np.minimum(run.columns["first_cutout_h"], _first_below_h(run, charge_limit))
    lost = [_core.wilson(int((first_h < 24 * night).sum()), options.trials) for night in range(1, risk.nights + 1)]
    return tuple(nights_within(risk, lost, level) for level in LEVELS)


def _below(risk: Risk, charge_limit: float) -> NDArray[np.bool_]:
    """As `Risk.below_soc` counts them."""
    return np.asarray(np.floor(risk.columns["min_soc"] * _BINS) < round(charge_limit * _BINS))


def _first_below_h(run: Risk, charge_limit: float) -> NDArray[np.float64]:
    """Begin of the first hour that ends below the limit; of a dip within an hour, that of the lowest end of one."""
    soc = run.time_series_values["soc"]
    low = np.floor(soc * _BINS) < round(charge_limit * _BINS)
    hour = np.where(low.any(axis=1), low.argmax(axis=1), soc.argmin(axis=1))
    return np.where(low.any(axis=1) | _below(run, charge_limit), hour, np.inf)
