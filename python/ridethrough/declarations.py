"""What a declaration says, in words: docstrings, and `explain` for one parameter."""

from __future__ import annotations

from typing import Any

import ridethrough._core as _core


def describe(field: Any) -> str:
    """One line on a field: unit, what it is, what is allowed, its default and where that is from, its level."""
    unit = f" [{field.unit}]" if field.unit else ""
    parts = [f"{field.name}{unit}: {field.doc}", field.allowed]
    if field.required:
        parts.append("must be given")
    else:
        standard = list(field.standard) if isinstance(field.standard, tuple) else field.standard
        source = f" ({field.source})" if field.source else ""
        parts.append(f"default {repr(standard).removesuffix('.0')}{source}")
    if field.level != "fixed":
        parts.append(f"may be a spread per {field.level}")
    return "; ".join(parts)


def docstring(schema: Any) -> str:
    return "\n".join([schema.doc, "", "Parameters", "----------", *(describe(field) for field in schema.fields)])


def explain(path: str) -> str:
    """Declaration of a parameter, ``explain("Van.battery.capacity_ah")``, or of a whole class, ``explain("Van")``."""
    schemas = {schema.name: schema for schema in _core.schemas()}
    first, *steps = path.split(".")
    if first not in schemas:
        near = _core.nearest_name(first, list(schemas))
        raise _core.InputError(f"{first}: no such class" + (f"; did you mean {near}?" if near else ""))
    if first == "Van" and steps[:1] == ["habits"]:  # of scenario files
        from .habits import explained

        return explained(".".join(steps[1:]))
    found = [schemas[first]]
    while steps:
        step, *steps = steps
        having = [schema for schema in found if step in _names(schema)] or found[:1]
        fields = [schema.field(step) for schema in having]  # InputError with the nearest name
        if not steps:
            return "\n".join(f"{s.name}.{describe(f)}" for s, f in zip(having, fields, strict=True))
        found = [schemas[name] for name in dict.fromkeys(name for field in fields for name in _inside(field))]
        if any(field.kind == "records" for field in fields) and (named := _by_default_name(found, steps[0])):
            found, steps = named, steps[1:]
        elif any(field.kind == "records" for field in fields) and not any(steps[0] in _names(s) for s in found):
            steps = steps[1:] or steps  # the name of a member that the default has not
        if not found:
            raise _core.InputError(f"{path}: there is nothing inside {having[0].name}.{step}")
    return "\n\n".join(docstring(schema) for schema in found)


def _by_default_name(schemas: list[Any], name: str) -> list[Any]:
    """Classes whose members are called so where they are given no other name: ``kettle`` is a Kettle."""
    return [s for s in schemas if "name" in _names(s) and s.field("name").standard == name]


def _names(schema: Any) -> list[str]:
    return [field.name for field in schema.fields]


def _inside(field: Any) -> list[str]:
    return list(field.choices) if field.kind in ("record", "records") else []
