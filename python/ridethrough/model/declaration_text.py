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
    if field.level != "fixed":
        parts.append(f"may be a spread per {field.level}")
    return "; ".join(parts)


def default_text(field: Any) -> str:
    standard = list(field.standard) if isinstance(field.standard, tuple) else field.standard
    return repr(standard).removesuffix(".0")


def docstring(schema: Any) -> str:
    return "\n".join([schema.doc, "", "Parameters", "----------", *(describe(field) for field in schema.fields)])
