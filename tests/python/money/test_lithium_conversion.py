"""What has to be bought and set beside a lithium battery."""

from __future__ import annotations

import pytest
import ridethrough as rt
from demo_studies import demo

VAN, _ = demo()


def test_the_bundle_is_more_than_a_battery():
    van = VAN.replace(
        dc_dc=rt.AlternatorCable(supply_mohm=55),
        mains=rt.MainsCharger(charge_profile=rt.ChargeProfile(ready_made="converter")),
        batteries=[rt.AgmBattery(capacity_ah=200, location="engine_bay"), rt.AgmBattery(capacity_ah=100)],
        disconnect=rt.SystemDisconnect(cutout_v=10.05),
        **{"solar.charge_profile": rt.ChargeProfile(ready_made="agm")},
    )
    bundle = rt.lithium_bundle(van)
    new = bundle.van
    assert new.battery.capacity_ah == 240 and new.battery.location == "living_space" and len(new.batteries) == 1
    assert type(new.dc_dc).__name__ == "DcDcCharger" and new.get("dc_dc.supply_mohm") == 55
    assert (
        new.get("solar.charge_profile") is None and new.get("mains.charge_profile") is None
    )  # stages that suit the chemistry
    items = {p.item for p in bundle.parts}
    assert items == {
        "lithium_battery",
        "battery_monitor",
        "battery_fuse",
        "installer_labour",
        "dc_dc_small",
        "mains_charger",
    }
    notes = " ".join(bundle.notes)
    assert "engine bay" in notes and "above the BMS cut-off" in notes and "competent person" in notes
    assert {p.item for p in rt.lithium_bundle(VAN).parts} == items - {"dc_dc_small", "mains_charger"}
    with pytest.raises(rt.InputError, match="allowed AgmBattery"):
        rt.lithium_bundle(new)
