"""Results that are used like the table inside them."""

from __future__ import annotations

import pytest
import ridethrough as rt
from made_results import TWO_YEARS, result
from study_fixture import TRIP, VAN

pytest.importorskip("xarray")


pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")


def test_copies_of_results_around_tables_are_results() -> None:
    for name in ("sweep", "hindcast", "monthly_risk"):
        found = result(name)
        twin = found.copy()
        assert type(twin) is type(found) and twin == found and twin._table is not found._table


def test_a_sweep_is_used_like_its_dataset() -> None:
    found = result("sweep")
    assert found["risk"].equals(found.dataset["risk"]) and found.risk.dims == ("solar.rated_w",) == found.axes
    assert found.sel({"solar.rated_w": 200}).risk == found.dataset.risk[1]
    assert "risk" in found and "nothing" not in found and set(found) == set(found.dataset)
    assert found.attrs["trials"] == 50 and found.to_xarray() is found.dataset and "sel" in dir(found)
    labels, risk = next(iter(found.cells()))
    plain = rt.simulate(VAN.replace(**{"solar.rated_w": 100}), TRIP, trials=50, seed=1)
    assert labels == (100,) and risk == plain.cutout and str(found).count("50 trials") == 2
    with pytest.raises(AttributeError, match="rsk"):
        found.rsk  # noqa: B018


def test_a_hindcast_and_the_risk_by_month_are_used_like_their_tables() -> None:
    found, risk = result("hindcast"), result("monthly_risk")
    assert found["cutout"].equals(found.frame["cutout"]) and found.cutout.mean() == found.frame["cutout"].mean()
    assert len(found[found.cutout > 0]) <= len(found) == len(found.index) == 366 - found.days_left_out
    assert (found.trials, found.seed) == (1, 1) and risk.risk.loc[6] == risk.frame["risk"][6]
    assert found.by_month()["low"].isna().all() and "no interval from one year" in str(found)
    months = rt.hindcast(VAN, TRIP, TWO_YEARS, trials=1, seed=1).by_month()
    assert ((months["low"] <= months["frequency"]) & (months["frequency"] <= months["high"])).all()
    assert months["start_days"].sum() == 728  # of 731 days: the last three have no whole trip
