"""What is asked of a van's parts in many places."""

import ridethrough as rt
from ridethrough.model.van_parts import heaters_of, is_lithium, rated_ah, roof_array


def test_batteries_heaters_and_the_roof() -> None:
    two = rt.Van(batteries=[rt.AgmBattery(capacity_ah=100), rt.AgmBattery(capacity_ah=90)])
    assert rated_ah(two) == 190 and not is_lithium(two)
    assert is_lithium(rt.Van(battery=rt.LithiumBattery(capacity_ah=rt.spreads.uniform(90, 110))))
    assert [heater.name for heater in heaters_of(rt.Van(loads=[rt.Lights(), rt.Heater()]))] == ["heater"]
    folding, fixed = rt.PortableArray(name="folding"), rt.SolarArray(name="roof", rated_w=100)
    found = roof_array(rt.Van(arrays=[folding, fixed]))
    assert found is not None and found[1] == fixed and roof_array(rt.Van(arrays=[folding])) is None
