"""Clear skies: against pvlib's Haurwitz, and the clearest days against those of the typical years that pvlib has."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from ridethrough import _checks

pvlib = pytest.importorskip("pvlib")
sys.path.insert(0, str(Path(__file__).parents[2] / "long"))


def test_a_clear_sky_is_pvlibs_haurwitz() -> None:
    zenith = np.linspace(0, 89, 90)
    theirs = pvlib.clearsky.haurwitz(pd.Series(zenith))["ghi"].to_numpy()
    np.testing.assert_allclose(_checks.haurwitz_w_m2(np.cos(np.radians(zenith))), theirs, rtol=1e-12)
    assert not _checks.haurwitz_w_m2(np.array([-0.1, 0.0])).any()


@pytest.mark.parametrize(("latitude", "month"), [(60, 12), (60, 6), (45, 3), (0, 9), (-35, 6)])
def test_the_clearest_day_is_a_tenth_over_that_of_the_month(latitude: float, month: int) -> None:
    """The month by pvlib's positions of the Sun, every third day; the Sun at its mean distance, as Haurwitz's is."""
    days = pd.date_range(f"2001-{month:02d}-01", periods=30, freq="D")[::3]
    times = pd.DatetimeIndex(np.concatenate([pd.date_range(d, periods=288, freq="5min") for d in days]), tz="UTC")
    zenith = pvlib.solarposition.get_solarposition(times, latitude, 0.0).zenith
    clear = pvlib.clearsky.haurwitz(zenith).ghi.sum()
    top = (1361 * np.cos(np.radians(zenith)).clip(lower=0)).sum()
    clearest = _checks.clearest_days(latitude, 0.0)[month - 1]
    assert clearest == pytest.approx(1.1 * clear / top, rel=0.01)


def test_hardly_a_day_of_typical_years_is_clearer() -> None:
    """Greensboro, Sand Point in Alaska and Miami: at most one day in a hundred by more than 3 %."""
    import open_data

    for station in open_data.in_pvlib():
        t = station.table()
        most = np.array(_checks.clearest_days(station.latitude, 0.0))[t.month.to_numpy()]
        above = t.k.to_numpy() / most
        print(f"{station.name}: clearest day {above.max():.3f}, one in a hundred {np.quantile(above, 0.99):.3f}")
        assert (above > 1.03).mean() < 0.01
        assert np.quantile(above, 0.99) > 0.85  # and not far above what happens
