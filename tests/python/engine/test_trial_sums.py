"""Counts and sums of trials against their columns."""

from __future__ import annotations

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.engine import simulation
from small_runs import run


def test_a_summary_counts_what_the_columns_hold(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(simulation, "_CHUNK", 1500)
    summary, columns = run(keep="summary", trials=5000), run(trials=5000)
    assert not summary.columns
    device = columns.columns["cutout_cause"]
    assert summary.cutout == columns.cutout == rt.stats.wilson(int(np.count_nonzero(device)), 5000)
    assert list(summary.cutout_causes.values()) == np.bincount(device, minlength=len(rt.CUTOUT_CAUSES)).tolist()
    first = columns.columns["first_cutout_h"]
    hours = np.minimum(first[np.isfinite(first)].astype(int), summary.hours - 1)
    assert summary.cutouts_by_hour.tolist() == np.bincount(hours, minlength=summary.hours).tolist()
    for name, mean in summary.means.items():
        assert mean == pytest.approx(float(columns.columns[name].mean(dtype=float)), rel=1e-12)
    shares = [0.05, 0.5, 0.95]
    assert np.array_equal(summary.soc_quantiles(shares), columns.soc_quantiles(shares))
    lowest = np.quantile(columns.columns["min_soc"], shares)  # to within a bin: all that are empty lie in the first
    assert summary.min_soc_quantiles(shares) == pytest.approx(lowest, abs=0.0025)
