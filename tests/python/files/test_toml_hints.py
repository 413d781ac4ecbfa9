"""A refusal says what was probably meant and what to write: the likely unit, a number for a text, another name.

Conversions are exact by definition; 12.8 V, the nominal voltage of four lithium cells in series, is the trade's."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import ridethrough
from input_fixture import AIR, GHI, PLACE, climate, trip
from ridethrough.files.scenario import demo_path

rt: Any = ridethrough  # as calls here are wrong on purpose

DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
FRIDGE, BATTERY, PANEL, LFP = rt.Fridge, rt.AgmBattery, rt.SolarArray, rt.LithiumBattery
MJ = [round(3.6 * g, 1) for g in GHI]
SUMS = [round(g * n) for g, n in zip(GHI, DAYS, strict=True)]
FAHRENHEIT = [round(1.8 * t + 32) for t in AIR]  # 1 degC is 1.8 degF, from 32 on: exact by definition
HINTS: dict[str, tuple[Callable[[], object], str]] = {
    "fridge in degF": (
        lambda: FRIDGE(set_point_c=40),
        "= 40 degC: allowed -2 to 12 degC; are degF meant? 40 degF are 4.4 degC",
    ),
    "heater in degF": (lambda: rt.Heater(set_point_c=68), "are degF meant? 68 degF are 20 degC"),
    "fridge in K": (lambda: FRIDGE(set_point_c=277), "are K meant? 277 K are 3.9 degC"),
    "air in degF": (
        lambda: climate(air=FAHRENHEIT),
        "Climate.air_temp_c.3 (March) = 53 C: allowed -60 to 50 C; are degF meant? 53 degF are 11.7",
    ),
    "a spread in degF": (
        lambda: FRIDGE(initial_inside_c=rt.spreads.uniform(60, 90)),
        "are degF meant? 90 degF are 32.2 degC",
    ),
    "share in per cent": (lambda: BATTERY(initial_soc=62), "= 62: allowed 0 to 1; is per cent meant? write 0.62"),
    "efficiency in per cent": (lambda: rt.DcDcCharger(efficiency=92), "is per cent meant? write 0.92"),
    "shares of a table in per cent": (
        lambda: LFP(open_circuit_soc=[0, 1, 2, 3, 5, 9, 30, 98, 99, 100]),
        ".3 = 2: allowed 0 to 1; is per cent meant? write 0.02",
    ),
    "sun in MJ": (lambda: climate(MJ), "are MJ/m2 meant? 15.3 MJ/m2 are 4.25 kWh/m2; divide by 3.6"),
    "sun in sums of the month": (lambda: climate(SUMS), "is this a sum of the month? divide by its days"),
    "sun in Wh": (lambda: climate([1000 * g for g in GHI]), "are Wh/m2 meant? 2,410 Wh/m2 are 2.41 kWh/m2"),
    "Wh": (lambda: BATTERY(capacity_ah=2400), "are Wh meant? 2,400 Wh are 188 Ah at 12.8 V"),
    "kWh": (lambda: BATTERY(capacity_ah=1.8), "are kWh meant? 1.8 kWh are 141 Ah at 12.8 V"),
    "kW": (lambda: FRIDGE(compressor_w=0.06), "are kW meant? 0.06 kW are 60 W"),
    "W for A": (lambda: rt.Laptop(current_a=60), "are W meant? 60 W are 4.69 A at 12.8 V"),
    "mA for A": (lambda: rt.Standby(current_a=200), "are mA meant? 200 mA are 0.2 A"),
    "ohm": (lambda: BATTERY(resistance_mohm_100ah=0.006), "are ohm meant? 0.006 ohm are 6 mohm"),
    "cm": (lambda: rt.DcDcCharger(supply_length_m=600), "are cm meant? 600 cm are 6 m"),
    "minutes": (lambda: rt.Laptop(duration_h=90), "are min meant? 90 min are 1.5 h"),
    "m3": (lambda: FRIDGE(volume_l=0.055), "are m3 meant? 0.055 m3 are 55 l"),
    "10 pm": (lambda: trip().replace(bedtime_h=10), "= 10 h: allowed 18 to 24 h; is 10 pm meant? write 22"),
    "volts of 24 V": (lambda: FRIDGE(cutout_v=21.6), "are these volts of a 24 V system? 12 V systems only"),
    "a text": (lambda: BATTERY(capacity_ah="150"), "= '150': allowed 5 to 2000 Ah; write a number without quotes: 150"),
    "a text with its unit": (
        lambda: PANEL(rated_w="220 W"),
        "write a number without quotes: 220; Python takes plain numbers; units are for files and the command line",
    ),
    "a text with another unit": (
        lambda: FRIDGE(set_point_c="40 \u00b0F"),
        "write a number in degC without quotes: 4.44",
    ),
    "a text in per cent": (lambda: BATTERY(initial_soc="62 %"), "write a number without quotes: 0.62"),
    "a text with a comma": (
        lambda: rt.Laptop(duration_h="1,5"),
        "write a number without quotes and with a decimal point",
    ),
    "a list in quotes": (
        lambda: rt.Climate(**PLACE, ghi_kwh_m2_day="2.4, 3.1", air_temp_c=AIR),
        "write the numbers in brackets and without quotes",
    ),
    "a text in a list": (
        lambda: rt.Climate(**PLACE, ghi_kwh_m2_day=["2.4", *GHI[1:]], air_temp_c=AIR),
        "= '2.4': allowed 12 numbers, 0 to 12 kWh/m2; write a number without quotes: 2.4",
    ),
    "words": (lambda: PANEL(rated_w="big"), "write a number in W without quotes"),
    "a text for nights": (lambda: trip().replace(nights="6"), "write a number without quotes: 6"),
    "latitude's sign, out of range": (
        lambda: climate(latitude=-36.1),
        "the twelve follow the Sun of the other hemisphere: is the sign of the latitude right?",
    ),
    "24 V of a van": (lambda: rt.Van(system_v=24), "Van.system_v: no such field; 12 V systems only"),
    "24 V of a battery": (
        lambda: BATTERY(voltage_v=24),
        "12 V systems only, and no field changes that. A 24 V system has to",
    ),
    "watts": (lambda: PANEL(watts=220), "SolarArray.watts: no such field; did you mean rated_w?"),
    "liters": (lambda: FRIDGE(liters=55), "did you mean volume_l?"),
    "set_c": (lambda: FRIDGE(set_c=4), "did you mean set_point_c?"),
    "days": (lambda: trip().replace(days=6), "did you mean nights?"),
    "awg": (lambda: rt.DcDcCharger(supply_awg=10), "did you mean supply_section_mm2? 10 AWG are 5.3 mm2"),
    "a word of others": (lambda: rt.Wiring(branch=3), "no such field; there are fridge_branch_mohm"),
    "nothing near": (lambda: rt.Wiring(qqq=3), "no such field; it has shared_mohm, fridge_branch_mohm"),
    "the wrong way round": (lambda: rt.simulate(*[trip(), rt.Van()]), "the van comes first, then the trip"),
}


@pytest.mark.parametrize("case", HINTS.values(), ids=HINTS)
def test_a_refusal_says_what_was_probably_meant(case: tuple[Callable[[], object], str]) -> None:
    call, words = case
    with pytest.raises(rt.InputError, match=re.escape(words)):
        call()


@pytest.mark.parametrize(
    "call",
    [
        lambda: FRIDGE(set_point_c=20),  # -6.7 degC, were it degF
        lambda: BATTERY(initial_soc=1.5),  # rather too much of a share than 1.5 %
        lambda: BATTERY(capacity_ah=-1),
        lambda: PANEL(rated_w=math.inf),
        lambda: rt.Site(latitude=200, longitude=0),
        lambda: climate([13.0] * 11 + [600.0]),  # neither all MJ nor all sums of a month
        lambda: trip(nights=400),
        lambda: trip().replace(wake_h=700),  # no minutes of a clock
    ],
)
def test_no_guess_where_none_fits(call: Callable[[], object]) -> None:
    with pytest.raises(rt.InputError) as refused:
        call()
    assert "meant" not in str(refused.value) and "divide" not in str(refused.value)


def test_a_value_without_its_name_is_told_how() -> None:
    with pytest.raises(rt.InputError, match=r"takes its values by name, such as AgmBattery\(capacity_ah=150\)"):
        rt.AgmBattery(150)
    with pytest.raises(rt.InputError, match=r"such as SolarArray\(rated_w=220\)"):
        rt.SolarArray(220)


FILES = {
    "capacity_ah = 150,5": ("capacity_ah = 150", "not TOML", "decimals are written with a point"),
    "capacity_ah = 1,500": ("capacity_ah = 150", "not TOML", "thousands have no comma, and decimals a point"),
    "capacity_ah = 150 Ah": ("capacity_ah = 150", "not TOML", 'a number with its unit stands in quotes: "150 Ah"'),
    "capacity_ah = .5": ("capacity_ah = 150", "a number begins with a digit"),
    "capacity_ah = 150\ninitial_soc = 62 %": ("capacity_ah = 150", 'stands in quotes: "62 %"'),
    "capacity_ah = 150\nlocation = locker": ("capacity_ah = 150", "words stand in quotes"),
    "start = 6 Nov 2026": ('start = "2026-11-06 15:00"', 'dates stand in quotes: "2026-09-22 15:00"'),
    "start = 2026-11-06 15:30:00": ('start = "2026-11-06 15:00"', "trip.start = ", "must be a full hour"),
    'capacity_ah = "150 W"': (
        "capacity_ah = 150",
        "van.battery.capacity_ah = '150 W'",
        "W measures a power",
    ),
    'capacity_ah = "150,5"': ("capacity_ah = 150", "decimals are written with a point: 150.5"),
    'type = "LithiumBattery"': ("capacity_ah = 150", "van.battery.type: no such key; did you mean kind?"),
    "capacity = 150": ("capacity_ah = 150", "van.battery.capacity: no such field; did you mean capacity_ah?"),
    'kind = "AGM"': ('kind = "AgmBattery"', "van.battery.kind = 'AGM': allowed AgmBattery or LithiumBattery"),
    "[battery]": ("[van.battery]", "battery: no such key", "battery belongs under [van]"),
    "[van.sollar]": ("[van.solar]", "van.sollar: no such key; did you mean solar?"),
    'start = "6 Nov 2026"': ('start = "2026-11-06 15:00"', '"6 Nov 2026": not a date and time', "YYYY-MM-DD HH:MM"),
    "voltage_v = 24": ("capacity_ah = 150", "van.battery.voltage_v: no such field; 12 V systems only"),
    "volume_l = 55": ("capacity_ah = 150", "van.battery.volume_l: no such key; it belongs under [van.fridge"),
    "[trip.climate]": ("[trip.site.climate]", "trip.climate: no such key; it belongs under [trip.site]"),
}


@pytest.mark.parametrize("wrong", FILES)
def test_a_file_says_what_to_write(wrong: str, tmp_path: Path) -> None:
    right, *words = FILES[wrong]
    text = demo_path().read_text(encoding="utf-8")
    assert text.count(right) == 1
    file = tmp_path / "mine.toml"
    file.write_text(text.replace(right, wrong), encoding="utf-8")
    with pytest.raises(rt.InputError) as refused:
        rt.load_scenario(file)
    for part in words:
        assert part in str(refused.value)
