"""Cut-out settings side by side."""

from __future__ import annotations

from typing import Any

import pytest
import ridethrough as rt
from demo_studies import demo

pytest.importorskip("xarray")


VAN, TRIP = demo()


FEW: dict[str, Any] = {"trials": 200, "seed": 1}


def interval(found, name, **at):
    cell = found.sel(at)
    return cell[name].item(), cell[f"{name}_low"].item(), cell[f"{name}_high"].item()


def test_cutouts():
    table = rt.cutout_settings(VAN, TRIP, [10.75, 11.25], makers_range_v=(10, 12), dedicated_house_battery=True, **FEW)
    found, row = table.to_xarray(), table.settings[1]
    assert interval(found, "risk", cutout_v=11.25) == (row.risk.value, row.risk.low, row.risk.high)
    assert found.restart_v.sel(cutout_v=11.25) == row.restart_v and found.attrs["present_v"] == table.present_v
