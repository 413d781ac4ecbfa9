"""Texts made from declarations: one line on a field, and the docstring of a class."""

from __future__ import annotations

import ridethrough._core as _core


def fields_of(schema: _core.Schema) -> list[_core.Field]:
    """All that may be given by name: the fields in their order, a list's only member before the list."""
    ones = {one.only_of: one for one in schema.singulars}
    return [f for field in schema.fields for f in (ones.get(field.name), field) if f is not None]


def describe(field: _core.Field) -> str:
    """One line on a field: unit, what it is, what is allowed, its default and where that is from, its level."""
    unit = f" [{field.unit}]" if field.unit else ""
    parts = [f"{field.name}{unit}: {field.doc}", field.allowed]
    if field.required:
        parts.append("must be given")
    else:
        source = f" ({field.source})" if field.source else ""
        parts.append(f"default {default_text(field)}{source}")
    if field.variation != "fixed":
        parts.append(f"may be a spread per {field.variation}")
    return "; ".join(parts)


def default_text(field: _core.Field) -> str:
    """A field's default as it is written."""
    standard = list(field.default_value) if isinstance(field.default_value, tuple) else field.default_value
    return repr(standard).removesuffix(".0")


_TYPES = {
    "number": "float",
    "integer": "int",
    "flag": "bool",
    "text": "str",
    "numbers": "sequence of float",
    "bearings": "sequence of (float, float)",
    "series": "WeatherSeries",
    "days": "int, str, date or sequence of them",
}
_TYPES_OF_FIELDS = {"start": "str, date or datetime"}  # NumPy's and pandas' too


# Arguments of a call that shows a class; one that is not here is called without any.
_SITE = "latitude=36.1, longitude=-79.95"
EXAMPLES = {
    "AgmBattery": "capacity_ah=100",
    "Appliance": "name='radio', current_a=0.4, duration_min=120",
    "Climate": f"{_SITE}, ghi_kwh_m2_day=[3.0] * 12, air_temp_c=[12.0] * 12",
    "DayTrip": "days=['Sunday']",
    "Drive": "days=[2, 4]",
    "Fridge": "volume_l=50",
    "GeneratorRun": "days=[3]",
    "Idle": "days=[3]",
    "InverterAppliance": "name='iron', power_w=800, duration_min=10",
    "LithiumBattery": "capacity_ah=200",
    "ShorePower": "nights=[2]",
    "Site": _SITE,
    "SolarArray": "rated_w=300",
    "Stop": f"name='beach', site=rt.Site({_SITE})",
    "Trip": f"site=rt.Site({_SITE}), start='2026-11-06 15:00', nights=3",
    "Van": "battery=rt.LithiumBattery(capacity_ah=200)",
}


def docstring(schema: _core.Schema) -> str:
    """The docstring of a configuration class: its parameters with type, unit, range, default and source."""
    lines = [schema.doc, "", "Parameters", "----------"]
    for field in fields_of(schema):
        lines += [f"{field.name} : {_type_text(field)}", f"    {_meaning(field)}"]
    arguments = EXAMPLES.get(schema.name, "")
    shown = arguments.replace("rt.", "").replace("[3.0] * 12", "...").replace("[12.0] * 12", "...")
    lines += ["", "Examples", "--------", f">>> rt.{schema.name}({arguments})", f"{schema.name}({shown})"]
    return "\n".join(lines) + "\n"


def _type_text(field: _core.Field) -> str:
    if field.type == "choice":
        text = "{" + ", ".join(f'"{choice}"' for choice in field.choices) + "}"
    elif field.type in ("part", "parts"):
        unplaced = ["UnplacedClimate"] if "Climate" in field.choices else []  # of which the site makes one
        parts = " or ".join([*field.choices, *unplaced])
        text = parts if field.type == "part" else f"sequence of {parts}"
    else:
        text = _TYPES_OF_FIELDS.get(field.name, _TYPES[field.type])
    text += " or Spread" if field.type == "number" and field.variation != "fixed" else ""
    text += " or None" if field.optional else ""
    return text if field.required else f"{text}, optional"


def _meaning(field: _core.Field) -> str:
    unit = f" [{field.unit}]" if field.unit else ""
    parts = [f"{field.doc[:1].upper()}{field.doc[1:]}{unit}", f"{field.allowed[:1].upper()}{field.allowed[1:]}"]
    if not field.required:
        parts.append(f"Default {default_text(field)}" + (f" ({field.source})" if field.source else ""))
    if field.variation != "fixed":
        parts.append(f"May be a spread per {field.variation}")
    return ". ".join(parts) + "."
