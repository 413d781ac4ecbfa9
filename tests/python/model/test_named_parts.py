"""Loads, arrays and stops go by their names as well as by their places."""

import copy
import pickle

import pytest
import ridethrough as rt
from study_fixture import VAN


def test_by_name_and_by_place() -> None:
    assert VAN.loads["laptop"] == VAN.get("loads.laptop") == VAN.loads[VAN.loads.names.index("laptop")]
    assert "laptop" in VAN.loads and rt.Laptop() in VAN.loads and "lamp" not in VAN.loads
    assert isinstance(VAN.loads, tuple) and tuple(VAN.loads) == VAN.loads and len(VAN.loads[1:3]) == 2
    assert rt.Van(arrays=[rt.SolarArray(name="awning"), rt.PortableArray()]).arrays["awning"].rated_w == 220


def test_a_name_that_is_not_there() -> None:
    with pytest.raises(rt.InputError, match="no 'labtop' in the list; did you mean 'laptop'"):
        VAN.loads["labtop"]
    with pytest.raises(rt.InputError, match="loads: no 'labtop' in the list"):
        VAN.replace("loads.labtop", rt.Laptop())


def test_replace_by_a_path() -> None:
    strong = rt.Laptop(current_a=5)
    assert VAN.replace("loads.laptop", strong).loads["laptop"] == strong
    assert VAN.replace("loads.laptop.current_a", 5).loads["laptop"] == strong
    assert VAN.replace("battery.capacity_ah", 90, towed=True) == VAN.replace(**{"battery.capacity_ah": 90}, towed=True)
    for wrong in (("battery.capacity_ah",), (1, 2), ("towed", True, 3)):
        with pytest.raises(rt.InputError, match="takes one path and its value"):
            VAN.replace(*wrong)


def test_copies_stay_what_they_are() -> None:
    for twin in (pickle.loads(pickle.dumps(VAN.loads)), copy.copy(VAN.loads)):
        assert twin == VAN.loads and twin["laptop"] == VAN.loads["laptop"]
