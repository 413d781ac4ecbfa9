"""Warnings for a reader: in words where the library says paths of parameters."""

from __future__ import annotations

import re

# Whole phrases first, then names in a path; what is not listed is said by its name without the unit at its end.
_PHRASES = {
    "Van.dc_dc = AlternatorCable: a": "a",
    "Van.dc_dc.line_closed = False: the": "the",
    "Van.solar.rated_w: the": "the",
    "Van.water is given, but the van has no WaterPump": "the van has water tanks, but no water pump",
    "Give max_discharge_a": "Give the largest discharge current",
    "Give step_min = 1": "Give a step of 1 minute",
    "give supply_length_m and supply_section_mm2": "give the cable's length and section",
    "gives cycling_share of its current": "gives a share of its current",
    "(cutout_v ": "(",
    "take by their charge_c_rate": "take by their charge rate",
    "a charge_profile with compensation_mv_per_k": "a charge profile with temperature compensation",
}
_NAMES = {
    "van": "",
    "trip": "",
    "site": "",
    "climate": "",
    "loads": "",
    "wiring": "",
    "dc_dc": "DC-DC charger",
    "mains": "mains charger",
    "solar": "panel",
    "arrays": "panel",
    "batteries": "battery",
    "current_a": "current",
    "max_discharge_a": "largest discharge current",
    "power_w": "power",
    "rated_w": "rated power",
    "capacity_ah": "capacity",
    "measured_capacity_ah": "measured capacity",
    "set_point_c": "set point",
    "cutout_v": "cut-out voltage",
    "restart_v": "restart voltage",
    "lockout_v": "lock-out voltage",
    "bms_cutoff_v": "BMS cut-off voltage",
    "supply_mohm": "supply cable resistance",
    "shared_mohm": "resistance of the shared cable",
    "fridge_branch_mohm": "resistance of the fridge's cable",
    "charge_block_c": "lowest charging temperature",
    "initial_soc": "charge at the start",
    "air_temp_c": "air temperature",
    "ghi_kwh_m2_day": "sun of the climate",
    "utc_offset_h": "UTC offset",
    "step_min": "step",
}
_PATH = re.compile(r"(?<![\w/.])(?:[A-Z][A-Za-z]*(?:\.\w+)+|[a-z]+(?:_[a-z0-9]+)+)(?: \([A-Z][a-z]+\))?(?: = )?")
_CLASS = re.compile(r"\b[A-Z][a-z]+(?:[A-Z][a-z]+)+\b")
_UNIT = re.compile(r"_(?:ah|a|v|wh|w|c|k|h|m|mm2|mohm|l|kg|deg|min)$")


def in_prose(text: str) -> str:
    """A warning without paths, such as "Battery capacity 1800 Ah: ..." of "Van.battery.capacity_ah = 1800 Ah: ..."."""
    said = text
    for phrase, plain in _PHRASES.items():
        said = said.replace(phrase, plain)
    said = _CLASS.sub(_class_in_words, _PATH.sub(_path_in_words, said))
    return text if said == text else f"{said[:1].upper()}{said[1:]}"


def _path_in_words(match: re.Match[str]) -> str:
    path = re.sub(r"\.\d+ \((\w+)\)", r" of \1", match[0])  # a month
    names = path.removesuffix(" = ").split(".")
    words = " ".join(filter(None, map(_name_in_words, names)))
    return f"{words} " if path.endswith(" = ") else words


def _name_in_words(name: str) -> str:
    name, of, month = name.partition(" of ")
    said = _NAMES.get(name if "_" in name else name.lower(), _UNIT.sub("", name).replace("_", " "))
    return f"{said}{of}{month}"


def _class_in_words(match: re.Match[str]) -> str:
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", match[0]).lower()
