"""Mistakes of an owner in a scenario file: each ends in one line that is clear and says what to do, or in a warning
before the number, or is understood. The file is the one that ``new`` writes.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from ridethrough.console import main
from ridethrough.files.starter_file import starter_text
from verdict_text import one_line

ANSWERS = {"latitude": "44.5", "longitude": "-110", "start": "2026-10-06 16:00", "nights": "5"}
BASE = starter_text("trip.toml", ANSWERS)
CAPACITY, PANEL, VOLUME, KIND = "capacity_ah = 100", "rated_w = 160", "volume_l = 55", 'kind = "AgmBattery"'
FRIDGE_C, NIGHTS, START = "\nset_point_c = 4", "nights = 5", 'start = "2026-10-06 16:00"'
HEATER_C, WEST = "# set_point_c = 19", "longitude = -110"
TEMPERATURES = "air_temp_c = [-10, -8, -4, 1, 6, 11, 15, 14, 9, 3, -5, -10]"
SUN = "ghi_kwh_m2_day = [1.9, 2.9, 4.2, 5.3, 6.1, 6.9, 7.1, 6.1, 4.7, 3.1, 2.0, 1.6]"
FAHRENHEIT = "air_temp_c = [14, 18, 25, 34, 43, 52, 59, 57, 48, 37, 23, 14]"
MJ = "ghi_kwh_m2_day = [6.8, 10.4, 15.1, 19.1, 22.0, 24.8, 25.6, 22.0, 16.9, 11.2, 7.2, 5.8]"
SUMS = "ghi_kwh_m2_day = [59, 81, 130, 159, 189, 207, 220, 189, 141, 96, 60, 50]"
END = "\n# --- taken as usual"

# What stands in the file, what an owner writes in its place, and what the one line says.
REFUSED = {
    "capacity": (CAPACITY, "capacity = 150", "van.battery.capacity: no such field; did you mean capacity_ah?"),
    "frige": ("[van.fridge]", "[van.frige]", "van.frige: no such key; did you mean fridge?"),
    "[battery]": ("[van.battery]", "[battery]", "battery belongs under [van]"),
    "setpoint_c": (FRIDGE_C, "\nsetpoint_c = 4", "did you mean set_point_c?"),
    "watts": (PANEL, "watts = 220", "did you mean rated_w?"),
    "liters": (VOLUME, "liters = 55", "did you mean volume_l?"),
    "days": (NIGHTS, "days = 5", "trip.days: no such field; did you mean nights?"),
    "set_c": (FRIDGE_C, "\nset_c = 4", "did you mean set_point_c?"),
    "type": (KIND, 'type = "AgmBattery"', "did you mean kind?"),
    "[trip.climate]": (END, "[trip.climate]" + END, "trip.climate: no such key; it belongs under [trip.site]"),
    "supply_awg": (END, "[van.dc_dc]\nsupply_awg = 10" + END, "did you mean supply_section_mm2? 10 AWG are 5.3 mm2"),
    "voltage_v": (CAPACITY, "voltage_v = 24", "12 V systems only, and no field changes that"),
    "24 V": ("[van]\n", "[van]\nsystem_v = 24\n", "van.system_v: no such field; 12 V systems only"),
    "AGM": (KIND, 'kind = "AGM"', "van.battery.kind = 'AGM': allowed AgmBattery or LithiumBattery"),
    "tv": (END, "[van.loads.tv]" + END, "no load is known by that name; known are lights"),
    "a decimal comma": (CAPACITY, "capacity_ah = 150,5", "decimals are written with a point: 1.5"),
    "a quoted comma": (CAPACITY, 'capacity_ah = "150,5 Ah"', "decimals are written with a point: 150.5"),
    "55 l": (VOLUME, "volume_l = 55 l", 'a number with its unit stands in quotes: "55 l"'),
    "6 nights": (NIGHTS, "nights = 6 nights", 'a number with its unit stands in quotes: "6 nights"'),
    "another unit": (PANEL, 'rated_w = "12 V"', "V measures a voltage, and this is a power; allowed a number of W"),
    "air in degF": (
        END,
        f"[trip.site.climate]\n{SUN}\n{FAHRENHEIT}{END}",
        "(June) = 52 C: allowed -60 to 50 C; are degF",
    ),
    "fridge in degF": (FRIDGE_C, "\nset_point_c = 40", "are degF meant? 40 degF are 4.4 degC"),
    "heater in degF": (HEATER_C, "set_point_c = 68", "are degF meant? 68 degF are 20 degC"),
    "sun in MJ": (END, f"[trip.site.climate]\n{MJ}\n{TEMPERATURES}{END}", "are MJ/m2 meant?"),
    "sun in sums": (END, f"[trip.site.climate]\n{SUMS}\n{TEMPERATURES}{END}", "is this a sum of the month? divide by"),
    "latitude's sign": ("latitude = 44.5", "latitude = -44.5", "it lies in the sea"),
    "latitude's sign, with normals": (
        "latitude = 44.5",
        f"latitude = -44.5\nclimate = {{ {SUN}, {TEMPERATURES} }}",
        "is the sign of the latitude right?",
    ),
    "swapped": ("latitude = 44.5", "latitude = -110", "trip.site.latitude = -110 deg: allowed -90 to 90 deg"),
    "1 Nov": (START, 'start = "1 Nov"', 'not a date and time; write "YYYY-MM-DD HH:MM"'),
    "the month first": (START, 'start = "11/01/2026 16:00"', "here 2026-01-11 16:00 or 2026-11-01 16:00"),
    "litres": ("volume_l = 55", "liters = 55", "did you mean volume_l? ridethrough explain Fridge and"),
    "9/24/2026": (START, 'start = "9/24/2026"', "did you mean '2026-09-24'?"),
    "24.9.2026": (START, 'start = "24.9.2026"', "did you mean '2026-09-24'?"),
    "Sept 24": (START, 'start = "Sept 24"', "here YYYY-09-24 with its year"),
    "31 Sep": (START, 'start = "2026-09-31 16:00"', "there is no such day in that month"),
    "half past": (START, 'start = "2026-09-30 16:30"', 'must be a full hour, written "YYYY-MM-DD HH:00"'),
    "a date and hour without quotes": (START, "start = 2026-10-06 16:00", "dates stand in quotes"),
    "-6 nights": (NIGHTS, "nights = -6", "trip.nights = -6: allowed whole number, 1 to 365"),
    "6.5 nights": (NIGHTS, "nights = 6.5", "trip.nights = 6.5: allowed whole number, 1 to 365"),
    "a drive after the end": (END, "[[trip.drives]]\ndays = [9]" + END, "days = 9: allowed 1 to 6"),
    "no charger": (
        END,
        "[[trip.shore_power]]\nnights = [3]" + END,
        "give the van a MainsCharger, in a file [van.mains]",
    ),
    "not filled in": (CAPACITY, 'capacity_ah = "?"', "van.battery.capacity_ah: not filled in yet"),
}
# Likewise what runs, with a warning before the number, or with nothing to warn of.
WARNED = {
    "kW": (PANEL, "rated_w = 0.22", "are kW meant? 0.22 kW are 220 W"),
    "Wh": (CAPACITY, "capacity_ah = 1800", "are Wh meant? 1,800 Wh are 141 Ah at 12.8 V"),
    "a large roof": (PANEL, "rated_w = 2200", "a van's roof has room for about 1000 W"),
    "a small panel": (PANEL, "rated_w = 5", "hardly charges a battery"),
    "longitude's sign, beside the clock": (WEST, "longitude = 110\nutc_offset_h = -6", "is the sign of the longitude"),
    "longitude's sign, beside normals": (
        WEST,
        f"longitude = 110\nclimate = {{ {SUN}, {TEMPERATURES} }}",
        "(Asia/Ulaanbaatar, UTC+8)",  # its normals would do there too: the clock tells
    ),
    "no DC-DC charger": (
        "only_these_loads = false",
        'dc_dc = "none"\n[[trip.drives]]\ndays = [2]\n[van.snow_and_frost]',
        "the trip has drives, but the van has no DC-DC charger: driving charges nothing",
    ),
}
UNDERSTOOD = {
    "quotes": (CAPACITY, 'capacity_ah = "150"', "150 Ah AGM"),
    "quotes and unit": (PANEL, 'rated_w = "220 W"', "220 W"),
    "degF": (FRIDGE_C, '\nset_point_c = "41 degF"', "fridge at 5 degC"),
    "a bare date": (START, "start = 2026-10-06", "Tue 6 Oct 2026 15:00"),
    "a bare date and time": (START, "start = 2026-10-06 16:00:00", "Tue 6 Oct 2026 16:00"),
    "a date in the past": (START, 'start = "2020-10-06 16:00"', "Tue 6 Oct 2020 16:00"),
    "quoted nights": (NIGHTS, 'nights = "6"', "6 nights, "),
}


def outcome(old: str, new: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    assert BASE.count(old) == 1
    file = folder / "trip.toml"
    file.write_text(BASE.replace(old, new), encoding="utf-8")
    status = main(["run", str(file), "--trials", "20"])
    return (status, *capsys.readouterr())


@pytest.mark.parametrize("mistake", REFUSED)
def test_a_mistake_is_one_line_that_says_what_to_do(mistake: str, tmp_path: Path, capsys: Any) -> None:
    old, new, told = REFUSED[mistake]
    status, out, err = outcome(old, new, tmp_path, capsys)
    assert (status, out, err.count("\n")) == (2, "", 1) and err.startswith("error: ")
    assert told in err


@pytest.mark.parametrize("mistake", WARNED)
def test_what_runs_is_told_of(mistake: str, tmp_path: Path, capsys: Any) -> None:
    old, new, told = WARNED[mistake]
    status, out, err = outcome(old, new, tmp_path, capsys)
    assert (status, err) == (0, "") and told in one_line(out)
    assert one_line(out).index(told) < one_line(out).index("WILL THE FRIDGE STAY ON?")


@pytest.mark.parametrize("written", UNDERSTOOD)
def test_what_is_meant_is_understood(written: str, tmp_path: Path, capsys: Any) -> None:
    old, new, told = UNDERSTOOD[written]
    status, out, err = outcome(old, new, tmp_path, capsys)
    assert (status, err) == (0, "") and told in one_line(out)
