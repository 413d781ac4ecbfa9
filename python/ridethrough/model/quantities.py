"""Numbers with a unit, as people write them: "68 degF", "1.2 kWh", "12 AWG", "62 %", "17:30".

Files and the command line take them in any field that is a number. Pint knows the units.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING, Any

from .errors import bad_input

if TYPE_CHECKING:
    import pint

# By which makers count watt-hours: 3.2 V a cell of lithium iron phosphate, 2 V of lead; common practice, no source.
NOMINAL_V = {"LithiumBattery": 12.8, "AgmBattery": 12.0}

# Units of the declarations that Pint calls by another name.
_DECLARED = {
    "": "dimensionless",
    "C": "degC",
    "K": "delta_degC",
    "W/K": "watt/delta_degC",
    "1/K": "1/delta_degC",
    "kJ/K": "kilojoule/delta_degC",
    "K m2/W": "delta_degC*meter**2/watt",
    "deg": "degree",
    "mohm": "milliohm",
    "mm2": "millimeter**2",
    "m2": "meter**2",
    "Wh/m2": "watt_hour/meter**2",
    "kWh/m2": "kilowatt_hour/meter**2",
    "years": "year",
    "d": "day",
    "1/d": "1/day",
    "l/d": "liter/day",
}
# What people write, in small letters, that Pint does not read or reads as something else.
_WRITTEN = {
    word: unit
    for line in """
        percent: %, per cent, pct
        degF: f, \u00b0f, deg f, fahrenheit
        degC: c, \u00b0c, deg c, celsius
        degree: \u00b0, degrees
        ampere: a, amp, amps
        milliampere: ma
        volt: v, volts
        millivolt: mv
        watt: w, watts, wp
        kilowatt: kw, kwp
        ampere_hour: ah, amp hours, amp-hours
        milliampere_hour: mah
        watt_hour: wh
        kilowatt_hour: kwh
        ohm: \u03c9, ohms
        milliohm: m\u03c9, mohm
        millimeter**2: sq mm, mm2, mm\u00b2
        meter**2: sq m, m2, m\u00b2
        foot**2: sq ft, ft2
        liter: litre, litres, ltr
        gallon: gal, gals
        foot**3: cu ft
        foot: ft
        kilogram: kg, kgs
        pound: lb, lbs
        hour: hr, hrs
        minute: mins
        second: secs
        year: yr, yrs
        kilowatt_hour/meter**2: kwh/m2, kwh/m\u00b2
        watt_hour/meter**2: wh/m2, wh/m\u00b2
        megajoule/meter**2: mj/m2, mj/m\u00b2
    """.strip().splitlines()
    for unit, words in [line.strip().split(": ")]
    for word in words.split(", ")
}
_PER_CELSIUS = re.compile(r"/\s*(?:\u00b0\s*)?C$")
_SYMBOL = 3  # letters that a symbol may have, in which large and small ones differ
_A_DAY = re.compile(r"\s*(?:/\s*d(?:ay)?|\ba day|\bper day)$", re.IGNORECASE)
_NUMBER = r"[-+]?(?:\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?"
_DECIMAL_COMMA = re.compile(r"\s*([-+]?\d+),(\d{1,2}|\d{4,})(?!\d)")
_QUANTITY = re.compile(rf"\s*({_NUMBER})\s*(.*?)\s*")
_CLOCK = re.compile(r"\s*(\d{1,2})(?::(\d{2}))?\s*(am|pm)?\s*", re.IGNORECASE)
_WIRE_GAUGE = re.compile(r"\s*(\d{1,2}|(\d)/0|0{1,4})\s*awg\s*", re.IGNORECASE)
_TEMPERATURES = {"degC": "delta_degC", "degF": "delta_degF", "kelvin": "delta_degC"}


def read_quantity(where: str, text: str, unit: str, nominal_v: float | None = None, *, whole: bool = False) -> float:
    """A number in a declared unit from a text.

    Parameters
    ----------
    where : str
        The field, for errors.
    text : str
        A number with or without a unit: "68 degF", "1,200 Wh", "62 %", "12 AWG"; of hours a clock too: "17:30".
    unit : str
        That of the declaration, such as "Ah"; "" for a pure number.
    nominal_v : float, optional
        Nominal voltage [V] at which an energy is taken for a charge in Ah; without it an energy is refused.
    whole : bool
        Whether errors ask for a whole number.

    Returns
    -------
    float
        In that unit.

    Raises
    ------
    InputError
        There is no number, no such unit, or the unit is of another kind.

    Examples
    --------
    >>> read_quantity("Fridge.set_point_c", "40 degF", "degC")
    4.4444
    """
    if (special := _clock_time(text) if unit == "h" else _wire_section(text) if unit == "mm2" else None) is not None:
        return special
    parts = _QUANTITY.fullmatch(text)
    if parts is None:
        raise bad_input(where, text, allowed=_examples(unit, whole))
    if comma := _DECIMAL_COMMA.match(text):
        raise bad_input(where, text, hint=f"decimals are written with a point: {comma[1]}.{comma[2]}")
    number, written = float(parts[1].replace(",", "")), parts[2]
    if written in ("", unit) or (unit == "1/h" and written == "C"):
        return number
    try:
        return _tidy(_converted(number, written, unit, nominal_v))
    except _OtherUnit as other:
        raise bad_input(where, text, reason=str(other), allowed=_examples(unit, whole), hint=other.hint) from None


def read_whole(text: str) -> int | None:
    """20000, with commas between the thousands too, as a verdict prints them, or 2e4; else None."""
    if re.fullmatch(r"[-+]?(\d+|\d{1,3}(,\d{3})+)", text):
        return int(text.replace(",", ""))
    if re.fullmatch(r"\d+(\.\d+)?[eE]\+?\d{1,2}", text) and float(text).is_integer():
        return int(float(text))
    return None


class _OtherUnit(Exception):
    """A unit that there is not, or of another kind."""

    def __init__(self, reason: str, hint: str = "") -> None:
        super().__init__(reason)
        self.hint = hint


def difference_unit(unit: str) -> str:
    """That of a difference of two such quantities: a difference of 9 degF is one of 5 K."""
    return "K" if unit in ("C", "degC") else unit


def _tidy(x: float) -> float:
    """Without the last digits, which are the conversion's."""
    return float(f"{x:.12g}")


def _examples(unit: str, whole: bool) -> str:
    if whole:
        return "a whole number"
    if unit == "h":
        return 'hours such as 1.5 or "90 min", or a clock such as "17:30"'
    return f"a number of {unit}" if unit else "a number, or a share such as 62 %"


def _clock_time(text: str) -> float | None:
    """Hours after midnight of "17:30", "5:30 pm" or "5 pm"; None where it is none of these."""
    clock = _CLOCK.fullmatch(text)
    if clock is None or not (clock[2] or clock[3]):
        return None
    hour, minute, half = int(clock[1]), int(clock[2] or 0), (clock[3] or "").lower()
    if minute > 59 or hour > 24 or (half and not 1 <= hour <= 12):
        return None
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    return hour + minute / 60


def _wire_section(text: str) -> float | None:
    """Section in mm2 of a wire gauge: the diameter is .127 mm x 92^((36 - n)/39) (ASTM B258)."""
    gauge = _WIRE_GAUGE.fullmatch(text)
    if gauge is None:
        return None
    zeros = int(gauge[2]) if gauge[2] else len(gauge[1]) if set(gauge[1]) == {"0"} else 0
    number = 1 - zeros if zeros else int(gauge[1])
    return float(f"{math.pi / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2:.6g}")


@cache
def _registry() -> pint.UnitRegistry[Any]:
    try:
        import pint
    except ImportError:
        raise bad_input("units", reason="numbers with a unit need Pint: pip install pint") from None
    return pint.UnitRegistry()


def _parsed(name: str) -> Any:
    """The unit, a word also in large letters; None where there is none."""
    for spelled in (name, name.lower()) if len(name) > _SYMBOL else (name,):
        try:
            return _registry().parse_units(spelled)
        except Exception:  # whatever Pint makes of a text that is no unit
            continue
    return None


def _converted(number: float, written: str, unit: str, nominal_v: float | None) -> float:
    registry = _registry()
    declared = registry.parse_units(_DECLARED.get(unit, unit))
    bare = _A_DAY.sub("", written)
    if unit in ("l/d", "1/d") and bare != written:
        bare = f"{_WRITTEN.get(bare.lower(), bare)}/day" if bare else "1/day"  # elsewhere sums of a day may say so
    name = _PER_CELSIUS.sub("/delta_degC", _WRITTEN.get(bare.lower(), bare))
    if "delta" in str(declared):
        name = _TEMPERATURES.get(name, name)
    given = _parsed(name)
    if given is None:
        raise _OtherUnit(f"there is no unit {written!r} here")
    if given.is_compatible_with(declared) and ("delta" in str(given)) <= ("delta" in str(declared)):
        return float(registry.Quantity(number, given).to(declared).magnitude)
    if nominal_v and declared == registry.ampere_hour and given.is_compatible_with(registry.watt_hour):
        return float(registry.Quantity(number, given).to("watt_hour").magnitude) / nominal_v
    hint = ""
    if declared == registry.ampere and given.is_compatible_with(registry.watt):
        volts = NOMINAL_V["LithiumBattery"]
        amperes = registry.Quantity(number, given).to("watt").magnitude / volts
        hint = f"{number:,g} {written} are {amperes:.3g} A at {volts:g} V"
    raise _OtherUnit(f"{written} measures {_kind_of(given)}, and this is {_kind_of(declared)}", hint)


_KINDS = {
    "watt": "a power",
    "watt_hour": "an energy",
    "ampere": "a current",
    "ampere_hour": "a charge",
    "volt": "a voltage",
    "ohm": "a resistance",
    "kelvin": "a temperature",
    "hour": "a time",
    "meter": "a length",
    "liter": "a volume",
    "meter**2": "an area",
    "kilogram": "a mass",
    "liter/day": "a flow",
    "watt_hour/meter**2": "an irradiation",
    "watt/meter**2": "an irradiance",
    "watt/kelvin": "a heat loss",
    "1/day": "a rate",
    "dimensionless": "a pure number",
}


def _kind_of(unit: Any) -> str:
    registry = _registry()
    if str(unit).startswith("delta_deg"):
        return "a difference of temperatures"
    return next(
        (kind for name, kind in _KINDS.items() if unit.is_compatible_with(registry.parse_units(name))), f"{unit}"
    )
