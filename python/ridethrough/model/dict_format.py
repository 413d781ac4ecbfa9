"""Configurations as plain dicts of numbers, strings and lists, as scenario files hold them, and back.

``False`` stands for "not there" (None), which TOML cannot say.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import ridethrough._core as _core

from .coordinates import read_coordinate

# What each maker takes, in the order of its list.
SPREAD_ARGUMENTS = {
    "uniform": "low, high",
    "triangular": "low, mode, high",
    "pert": "low, mode, high",
    "normal": "mean, sd",
    "discrete": "values, weights",
}


def configuration_to_dict(record: Any) -> dict[str, Any]:
    out = {}
    for field in record.schema.fields:
        value = getattr(record, field.name)
        if value != field.standard:
            out[field.name] = _plain_value(field, value)
    return out


def _plain_value(field: Any, value: Any) -> Any:
    if value is None:
        return False
    if isinstance(value, _core.Spread):
        return _plain_spread(value)
    if isinstance(value, _core.Record):
        return _with_kind(field, value)
    if field.kind == "records":
        members = [_with_kind(field, member) for member in value]
        if not _by_name(field):
            return members
        for member in members:
            member.pop("name", None)
        return {record.name: member for record, member in zip(value, members, strict=True)}
    return list(value) if isinstance(value, tuple) else value


def _with_kind(field: Any, record: Any) -> dict[str, Any]:
    """The dict says its class where the field leaves a choice."""
    kind = {} if field.choices == (record.schema.name,) else {"kind": record.schema.name}
    return kind | configuration_to_dict(record)


def _plain_spread(spread: Any) -> dict[str, Any]:
    arguments = [list(a) if isinstance(a, tuple) else a for a in spread.arguments]
    return {spread.shape: arguments} | ({} if spread.per is None else {"per": spread.per})


def _by_name(field: Any) -> bool:
    """Whether all members of a list of records have a name, and so become a dict."""
    schemas = [_class(name)._declaration for name in field.choices]
    return bool(schemas) and all("name" in [f.name for f in schema.fields] for schema in schemas)


def _class(name: str) -> Any:
    return _core.Record._classes[name]


def is_flag_field(name: str) -> bool:
    """Whether a field of this name is a yes or no: its False says no, where any other field's says "not there"."""
    return any(
        field.name == name and field.kind == "flag"
        for cls in _core.Record._classes.values()
        for field in cls._declaration.fields
    )


def configuration_from_dict(cls: Any, data: Mapping[str, Any]) -> Any:
    schema = cls._declaration
    if not isinstance(data, Mapping):
        raise _core.InputError(f"{schema.name} = {data!r}: allowed a table of its fields")
    data = dict(data)
    if (kind := data.pop("kind", schema.name)) != schema.name:
        raise _core.InputError(f"kind = {kind!r}: allowed {schema.name!r}")
    return cls(**{key: parse_value(schema, schema.field(key), value) for key, value in data.items()})


def parse_value(schema: Any, field: Any, value: Any) -> Any:
    if value is False and field.optional and field.kind != "flag":
        return None
    where = f"{schema.name}.{field.name}"
    if field.name in ("latitude", "longitude") and isinstance(value, str):
        return read_coordinate(field.name, value, where)
    if field.kind == "number" and isinstance(value, Mapping):
        return _parse_spread(where, value)
    if field.kind == "record" and isinstance(value, Mapping):
        return configuration_from_dict(class_for_table(where, field, value, field.standard), value)
    if field.kind == "records" and isinstance(value, Mapping):
        if not _by_name(field):
            raise _core.InputError(f"{where}: allowed a list of tables, as its members have no names")
        return [_parse_member(f"{where}.{name}", field, inner, {"name": name}) for name, inner in value.items()]
    if field.kind == "records" and isinstance(value, list):
        return [_parse_member(f"{where}.{i}", field, inner, {}) for i, inner in enumerate(value)]
    return value


def _parse_member(where: str, field: Any, data: Any, name: dict[str, str]) -> Any:
    if not isinstance(data, Mapping):
        raise _core.InputError(f"{where} = {data!r}: allowed a table of its fields")
    cls = class_for_table(where, field, data, None)
    try:
        return configuration_from_dict(cls, {**data, **name})
    except _core.InputError as error:
        raise _core.InputError(f"{where}: {error}") from None


def class_for_table(where: str, field: Any, data: Mapping[str, Any], standard: Any) -> Any:
    """The class a table is for: the one it says, the only one allowed, or that of the default."""
    allowed = list(field.choices or _core.Record._classes)
    name = data.get("kind")
    if name is None and len(allowed) == 1:
        name = allowed[0]
    elif name is None and standard is not None:
        name = standard.schema.name
    if name in allowed:
        return _class(str(name))
    if name is None:
        raise _core.InputError(f"{where}: needs a kind; allowed {' or '.join(allowed)}")
    near = _core.nearest_name(str(name), allowed)
    raise _core.InputError(
        f"{where}.kind = {name!r}: allowed {' or '.join(allowed)}" + (f"; did you mean {near}?" if near else "")
    )


def _parse_spread(where: str, data: Mapping[str, Any]) -> Any:
    shapes = [key for key in data if key != "per"]
    if len(shapes) != 1:
        raise _core.InputError(f"{where} = {dict(data)!r}: allowed one of {', '.join(SPREAD_ARGUMENTS)}, and per")
    shape = shapes[0]
    if shape not in SPREAD_ARGUMENTS:
        near = _core.nearest_name(shape, list(SPREAD_ARGUMENTS))
        raise _core.InputError(
            f"{where}.{shape}: no such spread; "
            + (f"did you mean {near}?" if near else f"allowed {', '.join(SPREAD_ARGUMENTS)}")
        )
    try:
        return getattr(_core, shape)(*data[shape], per=data.get("per"))
    except TypeError:
        raise _core.InputError(f"{where}.{shape} = {data[shape]!r}: allowed [{SPREAD_ARGUMENTS[shape]}]") from None
    except _core.InputError as error:
        raise _core.InputError(f"{where}: {error}") from None
