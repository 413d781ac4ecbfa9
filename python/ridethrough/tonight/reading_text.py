"""What a text of a reading says: the thing read, its value, and how far the display's last digit rounds it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

import ridethrough._core as _core

from ..model.errors import bad_input
from ..model.quantities import read_quantity

PATH = "Reading.text"
EXAMPLES = (
    '"62 %", "12.1 V", "38 Ah used", "93 Ah left", "4.2 A out", "310 Wh today", "14 h left", "5 degC", '
    '"2 nights of water", "charger in float"'
)


@dataclass(frozen=True)
class Quantity:
    """What can be read: its unit, its bounds, how its canonical text ends."""

    name: str
    unit: str
    lowest: float
    highest: float
    words: str
    ending: str


QUANTITIES = {
    one.name: one
    for one in (
        Quantity("soc", "", 0, 1, "charge as a share of full", "%"),
        Quantity("ah_used", "Ah", 0, 16_000, "ampere-hours used since full", "Ah used"),
        Quantity("ah_left", "Ah", 0, 16_000, "ampere-hours left", "Ah left"),
        Quantity("volts", "V", 8, 16, "volts of a 12 V battery", "V"),
        Quantity("amps", "A", -1000, 1000, "amperes of the battery, out positive", "A"),
        Quantity("yield_wh", "Wh", 0, 100_000, "the day's yield", "Wh"),
        Quantity("yield_ah", "Ah", 0, 8_000, "the day's yield in ampere-hours", "Ah"),
        Quantity("hours_left", "h", 0, 10_000, "hours left", "h left"),
        Quantity("fridge_c", "C", -40, 50, "the fridge's temperature", "degC"),
        Quantity("water_nights", "d", 0, 365, "nights of water left", "nights of water"),
        Quantity("water_l", "l", 0, 1000, "litres of water left", "l of water"),
    )
}
CHARGER = "charger"
# What a charger or a tank's panel says in words: the canonical text, and other words for it.
WORDS = {
    "vehicle feed present": ("alternator present", "vehicle present", "engine feed present", "car feed present"),
    "vehicle feed absent": ("no vehicle feed", "no alternator", "alternator absent", "car feed absent"),
    "sun present": ("solar present", "panel present"),
    "sun absent": ("no sun", "no solar", "solar absent"),
    "charger in bulk": ("bulk", "stage bulk", "bulk stage"),
    "charger in absorption": ("absorption", "stage absorption", "absorption stage"),
    "charger in float": ("float", "stage float", "float stage", "charger done", "fully charged"),
    "charger set to agm": ("set to agm", "charge type agm"),
    "charger set to gel": ("set to gel", "charge type gel"),
    "charger set to wet": ("set to wet", "set to flooded", "charge type wet"),
    "charger set to lithium": ("set to lithium", "set to lifepo4", "charge type lithium"),
    "grey valve open": ("grey water valve open", "gray valve open"),
    "grey valve shut": ("grey water valve shut", "gray valve shut", "grey valve closed"),
}
_CANONICAL = {other: text for text, others in WORDS.items() for other in (text, *others)}

_NUMBER = re.compile(r"(?P<sign>[-+]?)\s*(?P<digits>\d[\d,]*(?:\.(?P<decimals>\d+))?|\.(?P<bare>\d+))\s*(?P<rest>.*)")
_MINUS = str.maketrans({"\u2212": "-", "\u2013": "-", "\u00a0": " ", "\u202f": " "})
_DAY_WORDS = ("today", "yesterday")


@dataclass(frozen=True)
class Meaning:
    """What a text says.

    Attributes
    ----------
    quantity : str
        One of `QUANTITIES`, or "charger".
    value : float
        In the quantity's unit; 0 of words.
    low, high : float
        What the display rounds to that value.
    text : str
        The same, in the form that is kept.
    day : str
        "today" or "yesterday" of a yield, else empty.
    """

    quantity: str
    value: float
    low: float
    high: float
    text: str
    day: str = ""


@lru_cache(maxsize=1024)
def meaning_of(text: str) -> Meaning:
    """What a text says; InputError where it says nothing that can be read, or nothing that can be true.

    Examples
    --------
    >>> said = meaning_of("-38 Ah")
    >>> said.quantity, said.low, said.high, said.text
    ('ah_used', 37.5, 38.5, '38 Ah used')
    """
    plain = re.sub(r"\s+", " ", text.translate(_MINUS)).strip()
    if (words := plain.lower().removeprefix("the ")) in _CANONICAL:
        return Meaning(CHARGER, 0.0, 0.0, 0.0, _CANONICAL[words])
    plain = re.sub(r"^(soc|charge|battery|fridge|volts?|yield|solar)\s*[:=]?\s+(?=[-+.\d])", "", plain, flags=re.I)
    found = _NUMBER.fullmatch(plain)
    if found is None:
        near = _core.nearest_name(words, list(_CANONICAL))
        raise bad_input(PATH, text, reason="not a reading", allowed=f"such as {EXAMPLES}", suggestion=near, quoted=True)
    if re.search(r"\d,\d{1,2}(?!\d)", plain):
        raise bad_input(PATH, text, hint="decimals are written with a point")
    unit, ending = _unit_and_ending(found["rest"])
    name = _quantity_of(text, found["sign"], unit, ending)
    return _measured(text, QUANTITIES[name], found, unit, ending)


_UNIT = re.compile(
    r"(?P<unit>%|per cent|percent|pct|amp[- ]hours?|nights?|days?|deg(?:rees?)? ?[cf]|\u00b0 ?[cf]|[a-z]+)"
    r"(?:\s+(?P<end>.*))?",
    re.IGNORECASE,
)


def _unit_and_ending(rest: str) -> tuple[str, str]:
    found = _UNIT.fullmatch(rest.strip())
    if found is None:
        return "", rest.strip().lower()
    return found["unit"], re.sub(r"[.!]", "", (found["end"] or "").lower()).strip()


_LEFT = {"left", "remaining", "to go", "still there"}
_USED = {"used", "taken", "used since full", "consumed", "since full"}
_YIELD = {"today", "yesterday", "today's yield", "yield", "yield today", "of sun", "of sun today", "from the sun"}
_OUT = {"out", "discharge", "discharging", "from the battery", "drawn"}
_IN = {"in", "charge", "charging", "into the battery"}
_WATER = {"of water", "of water left", "water", "water left"}
_KIND_OF_UNIT = {
    **dict.fromkeys(("%", "per cent", "percent", "pct"), "%"),
    **dict.fromkeys(("v", "mv", "volt", "volts"), "V"),
    **dict.fromkeys(("a", "ma", "amp", "amps", "ampere", "amperes"), "A"),
    **dict.fromkeys(("ah", "mah", "amp hour", "amp hours", "amp-hour", "amp-hours"), "Ah"),
    **dict.fromkeys(("wh", "kwh"), "Wh"),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours", "min", "mins", "minutes"), "h"),
    **dict.fromkeys(("c", "degc", "celsius", "f", "degf", "fahrenheit"), "C"),
    **dict.fromkeys(("night", "nights", "day", "days"), "d"),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), "l"),
}
# By kind of unit and the words that follow: which quantity that is.
_ENDINGS: dict[str, tuple[tuple[set[str], str], ...]] = {
    "%": (({"", "full", "charge", "charged", "soc", *_LEFT}, "soc"),),
    "V": (({""}, "volts"),),
    "A": (({"", *_OUT, *_IN}, "amps"),),
    "Ah": ((_LEFT, "ah_left"), (_USED, "ah_used"), (_YIELD, "yield_ah")),
    "Wh": (({"", *_YIELD}, "yield_wh"),),
    "h": ((_LEFT, "hours_left"),),
    "C": (({"", "inside", "in the fridge", "fridge"}, "fridge_c"),),
    "d": ((_WATER, "water_nights"),),
    "l": ((_WATER, "water_l"),),
}


def _kind(unit: str) -> str:
    """Volts, amperes and so on; "" of what is none of them."""
    return _KIND_OF_UNIT.get(re.sub(r"\u00b0 ?|deg(?:rees?)? (?=[cf]$)", "", unit.lower()), "")


def _quantity_of(text: str, sign: str, unit: str, ending: str) -> str:
    kind = _kind(unit)
    if kind == "Ah" and not ending and sign == "-":
        return "ah_used"
    for endings, name in _ENDINGS.get(kind, ()):
        if ending in endings:
            return name
    hints = {
        "": f"a unit is needed: {EXAMPLES}",
        "Ah": 'which ampere-hours? write "38 Ah used", "93 Ah left" or "25 Ah today" (the day\'s yield)',
        "h": 'write "14 h left"',
        "d": 'write "2 nights of water"',
        "l": 'write "30 l of water"',
    }
    raise bad_input(PATH, text, reason="not a reading", hint=hints.get(kind, f"such as {EXAMPLES}"))


def _measured(text: str, quantity: Quantity, found: re.Match[str], unit: str, ending: str) -> Meaning:
    """The value with its interval of rounding, within the quantity's bounds."""
    digits, sign = found["digits"].replace(",", ""), found["sign"]
    decimals = len(found["decimals"] or found["bare"] or "")
    number, half = float(digits), 0.5 * 10.0**-decimals
    if quantity.name == "water_nights":
        unit = "day"
    elif quantity.name == "fridge_c":
        unit = "degF" if unit.lower().endswith(("f", "fahrenheit")) else "degC"
    if sign == "-" and quantity.name in ("fridge_c", "volts"):
        number = -number
    elif sign == "-" and quantity.name not in ("amps", "ah_used"):
        raise bad_input(
            PATH, text, reason=f"{quantity.words} is never negative", hint=_SIGN_HINT.get(quantity.name, "")
        )
    ends = [_in_unit(x, unit, quantity.unit) for x in (number - half, number, number + half)]
    low, value, high = ends
    if quantity.name == "amps" and (ending in _IN or (sign == "+" and ending not in _OUT)):
        low, value, high = -high, -value, -low
    if not quantity.lowest <= value <= quantity.highest:
        raise _out_of_bounds(text, quantity)
    canonical, day = _canonical(quantity, digits, number, unit, value, ending)
    return Meaning(quantity.name, value, low, high, canonical, day)


_SIGN_HINT = {"ah_left": 'what was used since full is written "38 Ah used"', "soc": "0 to 100 %"}


def _in_unit(number: float, written: str, unit: str) -> float:
    if unit == "C":
        return number if written == "degC" else (number - 32) / 1.8
    value = read_quantity(PATH, f"{number:.12g} {written}".replace("e", "E"), unit)
    return float(value)


def _out_of_bounds(text: str, quantity: Quantity) -> _core.InputError:
    shown = {
        "soc": "0 to 100 %",
        "volts": "8 to 16 V",
        "fridge_c": "-40 to 50 degC",
    }.get(quantity.name, f"{quantity.lowest:,.0f} to {quantity.highest:,.0f} {quantity.unit}")
    hint = "only 12 V systems are modelled" if quantity.name == "volts" else ""
    return bad_input(PATH, text, reason=f"{quantity.words} cannot be that", allowed=shown, hint=hint)


def _canonical(quantity: Quantity, digits: str, number: float, unit: str, value: float, ending: str) -> tuple[str, str]:
    """The text in the form that is kept, with the digits as they were typed, and the day of a yield."""
    if quantity.name in ("yield_wh", "yield_ah"):
        day = "yesterday" if ending == "yesterday" else "today"
        return f"{digits} {_spelled(unit)} {day}", day
    if quantity.name == "amps":
        return f"{digits} {_spelled(unit)} {'in' if value < 0 else 'out'}", ""
    if quantity.name == "fridge_c":
        return f"{'-' if number < 0 else ''}{digits} {unit}", ""
    if quantity.name in ("ah_used", "ah_left", "volts"):
        return f"{digits} {_spelled(unit)}{quantity.ending[len(quantity.unit) :]}", ""
    if quantity.name == "hours_left":
        return f"{digits} {_spelled(unit)} left", ""
    return f"{digits} {quantity.ending}", ""


def _spelled(unit: str) -> str:
    """Symbols as they are written: "ah" as "Ah"."""
    symbols = {"ah": "Ah", "mah": "mAh", "wh": "Wh", "kwh": "kWh", "v": "V", "mv": "mV", "a": "A", "ma": "mA"}
    long = {"V": "V", "A": "A", "Ah": "Ah", "Wh": "Wh", "h": "h"}
    small = unit.lower()
    if small in symbols:
        return symbols[small]
    return "min" if small.startswith("min") else long.get(_kind(unit), unit)
