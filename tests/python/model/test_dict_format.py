"""Configurations as plain dicts, and back."""

import pytest
import ridethrough as rt
from ridethrough import spreads


def test_plain_dicts():
    lights = rt.Lights(current_a=spreads.uniform(0.5, 1, per="trial"))
    van = rt.Van(battery=rt.LithiumBattery(capacity_ah=90), solar=None, loads=[lights])
    assert van.to_dict() == {
        "battery": {"kind": "LithiumBattery", "capacity_ah": 90},
        "solar": False,
        "loads": {"lights": {"kind": "Lights", "current_a": {"uniform": [0.5, 1], "per": "trial"}}},
    }
    assert rt.Van.from_dict({"battery": {"capacity_ah": 100}}).battery == rt.AgmBattery(capacity_ah=100)
    assert rt.Van.from_dict({"solar": {"rated_w": 300}}).get("solar.rated_w") == 300
    weights = {"discrete": [[0.9, 1.0], [1, 3]]}
    assert rt.AgmBattery.from_dict({"initial_soc": weights}).initial_soc == spreads.discrete([0.9, 1.0], [1, 3])


@pytest.mark.parametrize(
    ("data", "match"),
    [
        ({"batery": {}}, "Van.batery: no such field; did you mean battery"),
        ({"battery": {"capacity": 1}}, "did you mean capacity_ah"),
        ({"battery": {"kind": "AgmBatery"}}, "did you mean AgmBattery"),
        ({"battery": 5}, "Van.battery = 5: allowed AgmBattery or LithiumBattery"),
        ({"kind": "Trip"}, "kind = 'Trip': allowed 'Van'"),
        ({"loads": {"x": {"current_a": 1}}}, "Van.loads.x: needs a kind; allowed Lights or "),
        ({"loads": {"x": 1}}, "Van.loads.x = 1: allowed a table"),
        ({"loads": {"x": {"kind": "Lights", "current_a": -1}}}, "Van.loads.x.current_a = -1 A: allowed 0 to"),
        ({"loads": {"a.b": {"kind": "Lights"}}}, "without a dot"),
        ({"battery": {"initial_soc": {"triangle": [0, 1, 1]}}}, "did you mean triangular"),
        ({"battery": {"initial_soc": {"triangular": [0, 1]}}}, r"triangular = \[0, 1\]: allowed \[low, mode, high\]"),
        ({"battery": {"initial_soc": {"uniform": [1, 0]}}}, "AgmBattery.initial_soc: uniform.*low must be below"),
        ({"battery": {"initial_soc": {"uniform": [0, 1], "per": "week"}}}, "allowed 'trial', 'day' or 'hour'"),
        ({"battery": {"initial_soc": {}}}, "allowed one of uniform"),
    ],
)
def test_plain_dict_errors(data, match):
    with pytest.raises(rt.InputError, match=match):
        rt.Van.from_dict(data)
