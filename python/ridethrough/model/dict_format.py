"""Configurations as plain dicts of numbers, strings and lists, as scenario files hold them, and back.

``False`` stands for "not there" (None), which TOML cannot say.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import ridethrough._core as _core

from .errors import bad_input, renamed, unknown_name, with_new_path, with_prefix
from .former_names import class_now
from .quantities import read_quantity

OPEN = "?"  # in a file that is not filled in yet
# At which an energy is taken for the charge of a battery: 3.2 V a cell of lithium iron phosphate, 2 V of lead.
NOMINAL_V = {"LithiumBattery": 12.8, "AgmBattery": 12.0}

# What each maker takes, in the order of its list.
SPREAD_ARGUMENTS = {
    "uniform": "low, high",
    "triangular": "low, mode, high",
    "pert": "low, mode, high",
    "normal": "mean, sd",
    "discrete": "values, weights",
}


def configuration_to_dict(record: Any) -> dict[str, Any]:
    """Plain dict of what is not at its default."""
    out = {}
    ones = {one.only_of: one for one in record.schema.singulars}
    for field in record.schema.fields:
        value = getattr(record, field.name)
        if value == field.standard:
            continue
        if field.name in ones and len(value) < 2:
            out[ones[field.name].name] = _plain_value(ones[field.name], value[0] if value else None)
        else:
            out[field.name] = _plain_value(field, value)
    return out


def _plain_value(field: _core.Field, value: Any) -> Any:
    if value is None:
        return False
    if isinstance(value, _core.Spread):
        return _plain_spread(value)
    if isinstance(value, _core.Configuration):
        return _with_kind(field, value)
    if field.type == "parts":
        members = [_with_kind(field, member) for member in value]
        names = [getattr(member, "name", None) for member in value]
        if not has_named_members(field) or None in names or len({*names}) < len(names):
            return members
        for member in members:
            member.pop("name", None)
        return dict(zip(names, members, strict=True))
    return list(value) if isinstance(value, tuple) else value


def _with_kind(field: _core.Field, record: Any) -> dict[str, Any]:
    """The dict says its class where the field leaves a choice."""
    kind = {} if field.choices == (record.schema.name,) else {"kind": record.schema.name}
    return kind | configuration_to_dict(record)


def _plain_spread(spread: _core.Spread) -> dict[str, Any]:
    arguments = [list(a) if isinstance(a, tuple) else a for a in spread.arguments]
    return {spread.shape: arguments} | ({} if spread.per is None else {"per": spread.per})


def has_named_members(field: _core.Field) -> bool:
    """Whether all members of a list of records have a name, and so become a dict."""
    schemas = [_class(name)._declaration for name in field.choices]
    return bool(schemas) and all("name" in [f.name for f in schema.fields] for schema in schemas)


def _class(name: str) -> Any:
    return _core.Configuration._classes[name]


def is_flag_field(name: str) -> bool:
    """Whether a field of this name is a yes or no: its False says no, where any other field's says "not there"."""
    return any(
        field.name == name and field.type == "flag"
        for cls in _core.Configuration._classes.values()
        for field in cls._declaration.fields
    )


def configuration_from_dict(cls: Any, data: Mapping[str, Any]) -> Any:
    """A configuration of this class from a plain dict."""
    schema = cls._declaration
    if not isinstance(data, Mapping):
        raise bad_input(schema.name, data, allowed="a table of its fields")
    data = dict(data)
    if (kind := data.pop("kind", schema.name)) != schema.name:
        raise bad_input("kind", kind, allowed=repr(schema.name))
    return cls(**{key: parse_value(schema, schema.field(key), value) for key, value in data.items()})


def parse_value(schema: _core.Schema, field: _core.Field, value: Any) -> Any:
    """A field's value from its plain form."""
    if value is False and field.optional and field.type != "flag":
        return None
    where = f"{schema.name}.{field.name}"
    if value == OPEN:
        raise bad_input(where, value, reason="not filled in yet", allowed=field.allowed)
    if field.type in ("number", "integer", "numbers"):
        return _parse_numbers(where, field.unit, NOMINAL_V.get(schema.name), value)
    if field.type == "part" and isinstance(value, Mapping):
        return configuration_from_dict(class_for_table(where, field, value, field.standard), value)
    if field.type == "parts" and isinstance(value, Mapping):
        if not has_named_members(field):
            raise bad_input(where, allowed="a list of tables, as its members have no names")
        return [_parse_member(f"{where}.{name}", field, inner, {"name": name}) for name, inner in value.items()]
    if field.type == "parts" and isinstance(value, list):
        return [_parse_member(f"{where}.{i}", field, inner, {}) for i, inner in enumerate(value, 1)]
    return value


def _parse_numbers(where: str, unit: str, nominal_v: float | None, value: Any) -> Any:
    """A number, numbers or a spread, of which each number may be a text with its unit."""

    def read(inner: Any) -> Any:
        if isinstance(inner, str):
            return read_quantity(where, inner, unit, nominal_v)
        return [read(x) for x in inner] if isinstance(inner, (list, tuple)) else inner

    if isinstance(value, Mapping):
        return _parse_spread(where, {key: inner if key == "per" else read(inner) for key, inner in value.items()})
    return read(value)


def _parse_member(where: str, field: _core.Field, data: Any, name: dict[str, str]) -> Any:
    if not isinstance(data, Mapping):
        raise bad_input(where, data, allowed="a table of its fields")
    cls = class_for_table(where, field, data, None)
    try:
        return configuration_from_dict(cls, {**data, **name})
    except _core.InputError as error:
        raise with_new_path(cls.__name__, where, error) from None


def class_for_table(where: str, field: _core.Field, data: Mapping[str, Any], standard: Any) -> Any:
    """The class a table is for: the one it says, the only one allowed, or that of the default."""
    allowed = list(field.choices or _core.Configuration._classes)
    name = data.get("kind")
    if name is None and len(allowed) == 1:
        name = allowed[0]
    elif name is None and standard is not None:
        name = standard.schema.name
    if name in allowed:
        return _class(str(name))
    if name is None:
        raise bad_input(where, reason="needs a kind", allowed=" or ".join(allowed))
    if (now := class_now(str(name))) in allowed:
        raise renamed(f"{where}.kind", now, name)
    near = _core.nearest_name(str(name), allowed)
    raise bad_input(f"{where}.kind", name, allowed=" or ".join(allowed), suggestion=near)


def _parse_spread(where: str, data: Mapping[str, Any]) -> _core.Spread:
    shapes = [key for key in data if key != "per"]
    if len(shapes) != 1:
        raise bad_input(where, dict(data), allowed=f"one of {', '.join(SPREAD_ARGUMENTS)}, and per")
    shape = shapes[0]
    if shape not in SPREAD_ARGUMENTS:
        known, path = list(SPREAD_ARGUMENTS), f"{where}.{shape}"
        raise unknown_name(path, data[shape], known, "no such spread", name=shape, quoted=False)
    try:
        made: _core.Spread = getattr(_core, shape)(*data[shape], per=data.get("per"))
        return made
    except TypeError:
        raise bad_input(f"{where}.{shape}", data[shape], allowed=f"[{SPREAD_ARGUMENTS[shape]}]") from None
    except _core.InputError as error:
        raise with_prefix(where, error) from None
