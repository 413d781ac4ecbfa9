"""Quantiles from counts in bins."""

from __future__ import annotations

import numpy as np
from small_runs import run


def test_quantiles_of_the_charge_are_right_to_within_a_bin() -> None:
    """Against NumPy's order statistics, at all hours: also where many trials are full, which all fall into one bin."""
    risk, shares = run(trials=999, time_series=["soc"]), [0.05, 0.25, 0.5, 0.75, 0.95]
    exact = np.quantile(risk.time_series_values["soc"], shares, axis=0, method="inverted_cdf")
    missed = np.abs(risk.soc_quantiles(shares) - np.clip(exact, 0, 1))
    assert 0.0025 < missed.max() < 0.005 + 1e-9, "bins of 0.005, linear within"
