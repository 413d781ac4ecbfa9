"""Texts made from declarations: one line on a field."""

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
