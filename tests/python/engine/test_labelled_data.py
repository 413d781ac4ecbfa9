"""Comparing, sizing and ranking as labelled data: the same numbers, intervals and units beside them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from demo_studies import demo
from optional import there
from ridethrough.engine.mean_chance import mean_chance

pytest.importorskip("xarray")


VAN, TRIP = demo()


MORE = VAN.replace(**{"solar.rated_w": 260})


FEW: dict[str, Any] = {"trials": 200, "seed": 1}


def interval(found, name, **at):
    cell = found.sel(at)
    return cell[name].item(), cell[f"{name}_low"].item(), cell[f"{name}_high"].item()


def test_a_comparison():
    trips = {"short": TRIP.replace(nights=2), "long": TRIP}
    c = rt.compare(VAN, {"more": MORE, "lithium": rt.lithium_bundle(VAN)}, trips, **FEW)
    found = c.to_xarray()
    assert list(found.van.values) == ["base", "more", "lithium"] and list(found.trip.values) == ["short", "long"]
    gap, risk = there(c.differences["lithium", "long"]["risk"].difference), c.risks["more", "short"].cutout
    assert interval(found, "risk_difference", van="lithium", trip="long") == (gap.value, gap.low, gap.high)
    assert interval(found, "risk", van="more", trip="short") == (risk.value, risk.low, risk.high)
    everything = c["more"]["curtailed_wh"]
    assert found.curtailed_wh_all_trips.sel(van="more") == everything.other
    assert found.curtailed_wh_all_trips.sel(van="base") == everything.base
    np.testing.assert_allclose(found.risk_all_trips, found.risk.mean("trip"))
    assert found.risk_all_trips.dims == ("van",)
    over_all = mean_chance([c.risks["more", trip].columns["cutout_cause"] > 0 for trip in trips])
    assert interval(found, "risk_all_trips", van="more") == (over_all.value, over_all.low, over_all.high)
    together = there(c["lithium"]["risk"].difference)
    assert interval(found, "risk_difference_all_trips", van="lithium") == (together.value, together.low, together.high)
    assert (found.risk_difference_high.sel(van="base") == 0).all()
    warm = c.risks["more", "long"].chances["food_warm_4h"]
    assert interval(found, "food_warm_4h", van="more", trip="long") == (warm.value, warm.low, warm.high)
    cost = c.cost["lithium"]
    assert interval(found, "cost", van="lithium") == (cost.value, cost.low, cost.high)
    assert found.hours_off.attrs["units"] == "h" and found.mass_kg.dims == ("van",)
    assert found.attrs["trials"] == 200 and "sampling error alone" in found.attrs["interval"]
    assert found.attrs["trip"] == "; ".join(map(repr, trips.values()))
    assert found["latitude"].values.tolist() == [TRIP.site.latitude] * 2
    assert (found["trip_start"].values == np.datetime64(TRIP.start)).all()
    units = {name: found[name].attrs["units"] for name in ("days_full", "failed_starts", "hours_off")}
    assert units == {"days_full": "d", "failed_starts": "1", "hours_off": "h"}, "those of a risk and a sweep"
    assert "trials in which both cut out" in found["warning_h_difference"].attrs["long_name"]
    one = rt.compare(VAN, {"more": MORE}, TRIP, trials=2).to_xarray()
    assert not [name for name in map(str, one) if name.endswith("all_trips")], "of one trip there is no mean"
    assert one.attrs["trip"] == repr(TRIP) and one.attrs["start"] == TRIP.start
    assert one.attrs["latitude"] == TRIP.site.latitude and one.attrs["place"]


def test_the_tables_of_a_comparison(tmp_path):
    xarray = pytest.importorskip("xarray")
    c = rt.compare(VAN, {"more": MORE}, {"short": TRIP.replace(nights=2), "long": TRIP}, base_name="140 W", **FEW)
    frame = c.to_dataframe()
    assert sorted(set(frame["trip"])) == ["long", "short"] and len(frame) == 4
    assert len(c.to_dataframe(all_trips=True)) == 6 and "risk_all_trips" not in frame, "a row, and no column"
    tidy = c.to_dataframe(long=True)
    assert list(tidy.columns)[:6] == ["van", "trip", "outcome", "value", "low", "high"] and len(tidy) % 4 == 0
    row = tidy.query("van == 'more' and trip == 'long' and outcome == 'risk'").iloc[0]
    risk, gap = c.risks["more", "long"].cutout, there(c["more", "long"]["risk"].difference)
    assert (row.value, row.low, row.high) == (risk.value, risk.low, risk.high)
    assert (row.difference, row.difference_low, row.difference_high, row.unit) == (gap.value, gap.low, gap.high, "1")
    c.to_xarray().to_netcdf(tmp_path / "two.nc", engine="scipy")  # several trips: no lists in the attributes
    with xarray.open_dataset(tmp_path / "two.nc", engine="scipy") as kept:
        xarray.testing.assert_identical(kept.load(), c.to_xarray())


def test_a_ranking():
    names = ("100 W more panel on the roof", "inverter never left on overnight")
    ranked = rt.upgrades(VAN, TRIP, [c for c in rt.catalogue(VAN, TRIP) if c.name in names], **FEW)
    found = ranked.to_xarray()
    panel = ranked[names[0]]
    assert list(found.upgrade.values) == [e.name for e in ranked.all] and found.pair.sum() == 1
    assert interval(found, "removed", upgrade=panel.name) == (
        panel.removed.value,
        panel.removed.low,
        panel.removed.high,
    )
    assert interval(found, "per_100", upgrade=panel.name)[0] == there(panel.per_100).value
    assert np.isnan(found.per_100.sel(upgrade=names[1])), "it is free"
    assert found.on_front.sum() == len(ranked.front)


def test_sizes():
    curve = rt.iso_risk(VAN, TRIP, [220, 300], 0.05, step=20, **FEW)
    found = curve.to_xarray()
    size = curve.points[1].size
    assert found.battery_ah.sel(panel_w=300) == size.value and found.battery_ah.attrs["units"] == "Ah"
    assert found.roof_m2.values.tolist() == [p.roof_m2 for p in curve.points]
    tried = size.to_xarray()
    at, risk = {"battery.capacity_ah": size.value}, there(size.risk)
    assert interval(tried, "risk", **at) == (risk.value, risk.low, risk.high)
    assert tried.attrs["value"] == size.value and tried.sizes["battery.capacity_ah"] == len(size.tried)
