"""Comparing, sizing and ranking as labelled data: the same numbers, intervals and units beside them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from demo_studies import demo
from optional import there

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
    assert list(found.van.values) == ["base", "more", "lithium"] and found.sizes["trip"] == 3
    gap, risk = there(c.differences["lithium", "long"]["risk"].difference), c.risks["more", "short"].cutout
    assert interval(found, "risk_difference", van="lithium", trip="long") == (gap.value, gap.low, gap.high)
    assert interval(found, "risk", van="more", trip="short") == (risk.value, risk.low, risk.high)
    everything = c["more"]["curtailed_wh"]
    assert found.curtailed_wh.sel(van="more", trip="all trips") == everything.other
    assert found.curtailed_wh.sel(van="base", trip="all trips") == everything.base
    assert np.isnan(found.risk.sel(trip="all trips")).all() and np.isnan(found.risk_difference.sel(van="base")).all()
    cost = c.cost["lithium"]
    assert interval(found, "cost", van="lithium") == (cost.value, cost.low, cost.high)
    assert found.hours_off.attrs["units"] == "h" and found.mass_kg.dims == ("van",)
    assert found.attrs["trials"] == 200 and "sampling error alone" in found.attrs["interval"]
    assert found.attrs["trip"] == [repr(trip) for trip in trips.values()]
    assert found.attrs["places_of_trip"] == [1, 1] and found.attrs["latitude"] == [TRIP.site.latitude] * 2
    one = rt.compare(VAN, {"more": MORE}, TRIP, trials=2).to_xarray()
    assert one.attrs["trip"] == repr(TRIP) and one.attrs["start"] == TRIP.start and len(one.attrs["place"]) == 1


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


def test_cutouts():
    table = rt.cutout_settings(VAN, TRIP, [10.75, 11.25], makers_range_v=(10, 12), dedicated_house_battery=True, **FEW)
    found, row = table.to_xarray(), table.settings[1]
    assert interval(found, "risk", cutout_v=11.25) == (row.risk.value, row.risk.low, row.risk.high)
    assert found.restart_v.sel(cutout_v=11.25) == row.restart_v and found.attrs["present_v"] == table.present_v
