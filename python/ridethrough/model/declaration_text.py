"""Texts made from declarations: one line on a field, and the docstring of a class."""

from __future__ import annotations

from typing import Any


def describe(field: Any) -> str:
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


def default_text(field: Any) -> str:
    standard = list(field.standard) if isinstance(field.standard, tuple) else field.standard
    return repr(standard).removesuffix(".0")


_TYPES = {"number": "float", "integer": "int", "flag": "bool", "text": "str", "numbers": "sequence of float",
          "bearings": "sequence of (float, float)", "series": "WeatherSeries"}  # fmt: skip


def docstring(schema: Any) -> str:
    """The docstring of a configuration class: its parameters with type, unit, range, default and source."""
    lines = [schema.doc, "", "Parameters", "----------"]
    for field in schema.fields:
        lines += [f"{field.name} : {_type_text(field)}", f"    {_meaning(field)}"]
    return "\n".join(lines)


def _type_text(field: Any) -> str:
    if field.type == "choice":
        text = "{" + ", ".join(f'"{choice}"' for choice in field.choices) + "}"
    elif field.type in ("part", "parts"):
        parts = " or ".join(field.choices)
        text = parts if field.type == "part" else f"sequence of {parts}"
    else:
        text = _TYPES[field.type]
    text += " or Spread" if field.type == "number" and field.variation != "fixed" else ""
    text += " or None" if field.optional else ""
    return text if field.required else f"{text}, optional"


def _meaning(field: Any) -> str:
    unit = f" [{field.unit}]" if field.unit else ""
    parts = [f"{field.doc[:1].upper()}{field.doc[1:]}{unit}", f"{field.allowed[:1].upper()}{field.allowed[1:]}"]
    if not field.required:
        parts.append(f"Default {default_text(field)}" + (f" ({field.source})" if field.source else ""))
    if field.variation != "fixed":
        parts.append(f"May be a spread per {field.variation}")
    return ". ".join(parts) + "."
