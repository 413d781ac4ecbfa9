"""Numbers with units, against definitions: exact ones of the inch, the pound and the degree, and the wire gauge's."""

from __future__ import annotations

import math
import tomllib
from typing import Any

import pytest
import ridethrough as rt
from ridethrough import _core
from ridethrough.files.scenario import demo_path, scenario_from_tables
from ridethrough.model.quantities import read_quantity

INCH_MM = 25.4  # exact by definition (1959)
MIL_MM = INCH_MM / 1000
CIRCULAR_MIL_MM2 = math.pi / 4 * MIL_MM**2
NUMBER_FIELDS = [
    field
    for cls in _core.Configuration._classes.values()
    for field in cls._declaration.fields
    if field.type in ("number", "integer", "numbers")
]


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("68 degF", "degC", 20),  # 1.8 degF to a kelvin, from 32 on: exact by definition
        ("40\u00b0F", "C", (40 - 32) / 1.8),
        ("-40 F", "degC", -40),
        ("300 K", "degC", 26.85),  # 273.15 K, exact by definition
        ("9 degF", "K", 5),
        ("0.36 %/K", "1/K", 0.0036),
        ("0.36 %/\u00b0C", "1/K", 0.0036),
        ("0.36 %/C", "1/K", 0.0036),
        ("0.2 %/degF", "1/K", 0.0036),
        ("1.2 kWh", "Wh", 1200),
        ("1,200 Wh", "Wh", 1200),
        ("0.22 kW", "W", 220),
        ("160 Wp", "W", 160),
        ("160 Watt", "W", 160),
        ("100 Amp Hours", "Ah", 100),
        ("55 LITERS", "l", 55),
        ("2 mW", "W", 0.002),
        ("2 MW", "W", 2e6),
        ("200 mA", "A", 0.2),
        ("2 amps", "A", 2),
        ("0.1 kAh", "Ah", 100),
        ("62 %", "", 0.62),
        ("62 per cent", "", 0.62),
        ("0.62", "", 0.62),
        ("5 gal", "l", 5 * 231 * INCH_MM**3 / 1e6),  # the US gallon is 231 cubic inches
        ("2 cu ft", "l", 2 * (12 * INCH_MM) ** 3 / 1e6),
        ("20 ft", "m", 20 * 12 * INCH_MM / 1000),
        ("2 lb", "kg", 0.90718474),  # exact by definition
        ("18 MJ/m2", "kWh/m2", 5),
        ("4250 Wh/m2 a day", "kWh/m2", 4.25),
        ("90 min", "h", 1.5),
        ("17:30", "h", 17.5),
        ("5:30 pm", "h", 17.5),
        ("12 am", "h", 0),
        ("noon", "h", None),
        ("3 m\u03a9", "mohm", 3),
        ("0.003 ohm", "mohm", 3),
        ("2 weeks", "d", 14),
        ("20 a day", "1/d", 20),
        ("2 gal/day", "l/d", 2 * 231 * INCH_MM**3 / 1e6),
        ("0.5 C", "1/h", 0.5),
        ("4/0 AWG", "mm2", 211_600 * CIRCULAR_MIL_MM2),  # .46 inches, exact by definition (ASTM B258)
        ("36 AWG", "mm2", 25 * CIRCULAR_MIL_MM2),  # .005 inches, likewise
        ("12 AWG", "mm2", 6530 * CIRCULAR_MIL_MM2),  # 6,530 circular mils in tables of wires (from memory)
        ("6 awg", "mm2", 26_240 * CIRCULAR_MIL_MM2),
        ("16 mm\u00b2", "mm2", 16),
    ],
)
def test_units_that_people_write(text: str, unit: str, value: float | None) -> None:
    if value is None:
        with pytest.raises(rt.InputError, match='a clock such as "17:30"'):
            read_quantity("field", text, unit)
    else:
        rel = 5e-4 if "awg" in text.lower() else 1e-9  # tables of wires round to a tenth of a mil
        assert read_quantity("field", text, unit) == pytest.approx(value, rel=rel)


@pytest.mark.parametrize(
    ("text", "unit", "told"),
    [
        ("100 W", "Ah", "field = '100 W': W measures a power, and this is a charge; allowed a number of Ah"),
        ("1.28 kWh", "Ah", "kWh measures an energy, and this is a charge"),
        ("60 W", "A", "W measures a power, and this is a current; allowed a number of A; 60 W are 4.69 A at 12.8 V"),
        ("12 V", "", "V measures a voltage, and this is a pure number"),
        ("3 furlongs", "degC", "furlongs measures a length, and this is a temperature"),
        ("3 qqq", "W", "there is no unit 'qqq' here; allowed a number of W"),
        ("150,5", "Ah", "decimals are written with a point: 150.5"),
        ("big", "W", "allowed a number of W"),
        ("", "W", "allowed a number of W"),
        ("3 * 4", "W", "there is no unit '* 4' here"),
        ("5 W/0", "W", "there is no unit 'W/0' here"),
        ("5 __import__('os')", "W", "there is no unit"),
        ("5 delta_degC", "degC", "delta_degC measures a difference of temperatures, and this is a temperature"),
        ("nan", "W", "allowed a number of W"),
    ],
)
def test_what_is_refused_says_what_it_measures(text: str, unit: str, told: str) -> None:
    with pytest.raises(rt.InputError) as refused:
        read_quantity("field", text, unit)
    assert told in str(refused.value)


def test_an_energy_is_a_charge_of_a_battery_only() -> None:
    """At the nominal voltage: 12.8 V of four lithium cells, 12 V of lead (common practice, no source)."""
    assert read_quantity("field", "1.28 kWh", "Ah", 12.8) == 100
    assert read("[van.battery]", 'kind = "AgmBattery"\ncapacity_ah = "1.2 kWh"').van.get("battery.capacity_ah") == 100


@pytest.mark.parametrize("unit", sorted({field.unit for field in NUMBER_FIELDS}))
def test_every_declared_unit_is_known(unit: str) -> None:
    """Written as declared; and an unknown one beside it is refused by name, which needs the declared one."""
    assert read_quantity("field", f"2 {unit}", unit) == 2
    with pytest.raises(rt.InputError, match="there is no unit 'qqq'"):
        read_quantity("field", "2 qqq", unit)
    with pytest.raises(rt.InputError, match="measures a luminosity, and this is a|candela measures"):
        read_quantity("field", "2 candela", unit)


def test_a_spread_has_units_of_its_own() -> None:
    """The second number of a normal spread is a difference, the weights of a discrete one are pure numbers."""

    def spread(text: str) -> Any:
        return read("[van.fridge]", f"initial_inside_c = {text}").van.get("fridge.initial_inside_c")

    assert spread('{ normal = ["41 degF", "1.8 degF"] }') == rt.spreads.normal(5, 1)
    assert spread('{ uniform = ["41 degF", "7 degC"], per = "trial" }') == rt.spreads.uniform(5, 7, per="trial")
    assert spread('{ discrete = [["41 degF", 7], ["75 %", 0.25]] }') == rt.spreads.discrete([5, 7], [0.75, 0.25])
    assert spread('{ value = "41 degF", measured_on = 2026-05-01 }') == 5


def test_standard_deviations_of_the_air_are_differences() -> None:
    text = 'air_temp_sd_c = ["9 degF", 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4]'
    assert read("[trip.site.climate]", text).trip.get("site.climate.air_temp_sd_c")[0] == 5


def test_counts_may_have_their_noun() -> None:
    assert read("[trip]", 'start = "2026-11-06"\nnights = "4 nights"').trip.nights == 4
    with pytest.raises(rt.InputError, match="trip.nights = '4 weeks': weeks measures a time.*a whole number"):
        read("[trip]", 'start = "2026-11-06"\nnights = "4 weeks"')
    with pytest.raises(rt.InputError, match="trip.nights = 4.5: allowed whole number"):
        read("[trip]", 'start = "2026-11-06"\nnights = "4.5"')


def read(head: str, lines: str) -> Any:
    """The demo with other lines in one table."""
    tables = table = tomllib.loads(demo_path().read_text(encoding="utf-8"))
    for step in head.strip("[]").split("."):
        table = table.setdefault(step, {})
    table.update(tomllib.loads(lines))
    return scenario_from_tables(tables, "demo")


def test_a_horizon_has_units_too() -> None:
    data = tomllib.loads(demo_path().read_text(encoding="utf-8"))
    for said in ({"E": "15 deg", "S": "0.1 rad"}, [["90 deg", "15°"], [180, "0.1 rad"]]):
        data["trip"]["horizon_deg"] = said
        (east, south) = scenario_from_tables(data, "demo").trip.horizon_deg
        assert east == (90, 15) and south[0] == 180 and south[1] == pytest.approx(math.degrees(0.1), rel=1e-9)
    for wrong, told in (({"E": "15 m"}, "m measures a length"), ([["E", 15]], "horizon_deg")):
        data["trip"]["horizon_deg"] = wrong
        with pytest.raises(rt.InputError, match=told):
            scenario_from_tables(data, "demo")


def test_the_options_of_a_run_are_read_as_the_command_reads_them() -> None:
    data = tomllib.loads(demo_path().read_text(encoding="utf-8"))
    data["run"] = {"trials": "20,000", "seed": "2e4", "charge_limit": "50 %"}
    read = scenario_from_tables(data, "demo")
    assert (read.trials, read.seed, read.charge_limit) == (20_000, 20_000, 0.5)
    wrong: list[tuple[str, Any, str]] = [
        ("trials", "many", "run.trials = 'many': allowed whole numbers 1 to"),
        ("trials", "100 W", "run.trials = '100 W': allowed whole numbers"),
        ("charge_limit", "50 W", "run.charge_limit = '50 W': W measures a power"),
        ("charge_limit", True, "run.charge_limit = True: allowed 0.01 to 0.99"),
        ("charge_limit", 0, "run.charge_limit = 0: allowed 0.01 to 0.99"),
    ]
    for key, value, told in wrong:
        data["run"] = {key: value}
        with pytest.raises(rt.InputError, match=told):
            scenario_from_tables(data, "demo")
