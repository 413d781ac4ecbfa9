"""Warnings in words: what a reader sees has no path of a parameter; what programs read keeps it."""

from __future__ import annotations

import re
import warnings
from typing import Any

import pytest
import ridethrough as rt
from demo_studies import demo
from ridethrough.report.plain_paths import in_prose
from verdict_text import one_line

VAN, TRIP = demo()
PATH = r"\b[A-Za-z]+\.[a-z]\w*|\b[a-z]+_[a-z_]+"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Van.battery.capacity_ah = 1800 Ah: few vans have", "Battery capacity 1800 Ah: few vans have"),
        ("Van.batteries.2.capacity_ah = 1200 Ah", "Battery 2 capacity 1200 Ah"),
        (
            "Van.loads.kettle: hangs on an inverter, the van has no Inverter",
            "Kettle: hangs on an inverter, the van has",
        ),
        ("Van.battery.location = engine_bay: no place", "Battery location engine bay: no place"),
        ("Climate.air_temp_c.8 (August) = 48 C: hotter", "Air temperature of August 48 C: hotter"),
        ("Site.longitude = 110 deg beside utc_offset_h = -6 h", "Longitude 110 deg beside UTC offset -6 h"),
        ('beside time_zone = "America/New_York": 1.5 h apart', 'Beside time zone "America/New_York": 1.5 h apart'),
        (
            "the trip has drives, but the van has no DC-DC charger",
            "the trip has drives, but the van has no DC-DC charger",
        ),
    ],
)
def test_paths_are_said_in_words(text: str, said: str) -> None:
    assert in_prose(text).startswith(said)


VANS: dict[str, dict[str, Any]] = {
    "Wh": {"battery.capacity_ah": 1800},
    "beside the engine": {"battery.location": "engine_bay"},
    "a weak cable": {"dc_dc.supply_mohm": 200},
    "a strong charger": {"dc_dc.current_a": 90},
    "an open breaker": {"dc_dc.line_closed": False},
    "a large roof": {"solar.rated_w": 2200},
    "warm food": {"fridge.set_point_c": 8},
    "a high restart": {"fridge.restart_v": 13.5},
    "a thin wire": {"wiring.fridge_branch_mohm": 300},
    "an empty start": {"battery.initial_soc": 0.01},
    "a kettle": {"battery": rt.LithiumBattery(), "loads": [rt.Kettle(power_w=2500)]},
    "no pump": {"water": rt.WaterTanks(), "loads": []},
    "lithium on a cable": {"battery": rt.LithiumBattery(), "dc_dc": rt.AlternatorCable()},
}


@pytest.mark.parametrize("name", VANS)
def test_a_reader_sees_no_path_and_a_program_does(name: str) -> None:
    van, trip = VAN.replace(**VANS[name]), TRIP.replace(drives=[rt.Drive(days=[2])])
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        risk = rt.simulate(van, trip, trials=20, seed=1, progress=False)
    assert risk.warnings and set(risk.warnings) <= {str(one.message) for one in caught}
    verdict, details = one_line(risk.verdict(suggest=False)), one_line(risk.verdict(suggest=False, details=True))
    warned = verdict[: verdict.index("WILL THE FRIDGE")].replace("America/New_York", "")
    assert "Warning: " in warned and not re.search(PATH, warned), warned
    for text in risk.warnings:
        assert one_line(in_prose(text)) in verdict and f"Warning: {text}" in details
