"""Configurations as plain dicts of numbers, strings and lists, as scenario files hold them, and back.

``False`` stands for "not there" (None), which TOML cannot say. A number that was measured says when:
``{"value": 92, "measured_on": "2026-05-01"}``, or ``measured_on`` beside what else a spread says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import ridethrough._core as _core

from .coordinates import AXES
from .errors import bad_input, renamed, unknown_name, with_new_path, with_prefix
from .former_names import name_now
from .quantities import NOMINAL_V, difference_unit, read_quantity
from .values import to_python_value

MEASURED_ON = "measured_on"
# What each maker takes, in the order of its list.
SPREAD_ARGUMENTS = {
    "uniform": "low, high",
    "triangular": "low, mode, high",
    "pert": "low, mode, high",
    "normal": "mean, sd",
    "discrete": "values, weights",
}
_TWO = {"normal", "discrete"}
_SERIES = (  # arguments of a measured series
    *("latitude", "longitude", "utc_offset_h", "first_hour", "ghi_w_m2", "air_temp_c", "dhi_w_m2"),
    *("wraps", "splices"),
)


def configuration_to_dict(configuration: Any, *, hours: bool = True) -> dict[str, Any]:
    """Plain dict of what is not at its default, or was measured.

    Without ``hours`` a line of text stands for measured weather.
    """
    out: dict[str, Any] = {}
    ones = {one.only_of: one for one in configuration.schema.singulars}
    for field in configuration.schema.fields:
        value = getattr(configuration, field.name)
        origin = _core.Configuration.origin(configuration, field.name)
        if origin.type == "measured" and value is not None:
            plain = _plain_value(field, value, hours)
            out[field.name] = (plain if isinstance(plain, dict) else {"value": plain}) | {MEASURED_ON: origin.date}
        elif value == field.default_value and not _has_measured(value):
            continue
        elif field.name in ones and len(value) < 2:
            out[ones[field.name].name] = _plain_value(ones[field.name], value[0] if value else None, hours)
        else:
            out[field.name] = _plain_value(field, value, hours)
    return out


def _has_measured(value: Any) -> bool:
    """Whether there is a measured number in a part, or in one of a list."""
    parts = value if isinstance(value, tuple) else (value,)
    return any(
        _core.Configuration.origin(part, field.name).type == "measured" or _has_measured(getattr(part, field.name))
        for part in parts
        if isinstance(part, _core.Configuration)
        for field in part.schema.fields
    )


def _plain_value(field: _core.Field, value: Any, hours: bool) -> Any:
    if value is None:
        return False
    if isinstance(value, _core.Spread):
        return _plain_spread(value)
    if isinstance(value, _core.Configuration):
        return _with_kind(field, value, hours)
    if isinstance(value, _core.HourlySeries):
        return _plain_series(value) if hours else f"{value!r}, digest {value.digest:016x}"
    if field.type == "parts":
        members = [_with_kind(field, member, hours) for member in value]
        names = [getattr(member, "name", None) for member in value]
        if not has_named_members(field) or None in names or len({*names}) < len(names):
            return members
        for member in members:
            member.pop("name", None)
        return dict(zip(names, members, strict=True))
    return list(value) if isinstance(value, tuple) else value


def _plain_series(series: _core.HourlySeries) -> dict[str, Any]:
    """What makes the same series again."""
    values = {name: getattr(series, name) for name in _SERIES}
    return {name: value.tolist() if hasattr(value, "tolist") else value for name, value in values.items()}


def _with_kind(field: _core.Field, configuration: Any, hours: bool) -> dict[str, Any]:
    """The dict says its class where the field leaves a choice."""
    kind = {} if field.choices == (configuration.schema.name,) else {"kind": configuration.schema.name}
    return kind | configuration_to_dict(configuration, hours=hours)


def _plain_spread(spread: _core.Spread) -> dict[str, Any]:
    arguments = [list(a) if isinstance(a, tuple) else a for a in spread.arguments]
    return {spread.shape: arguments} | ({} if spread.per is None else {"per": spread.per})


def has_named_members(field: _core.Field) -> bool:
    """Whether all members of a list of configurations have a name, and so become a dict."""
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
    if wrong := [key for key in data if not isinstance(key, str)]:
        raise bad_input(schema.name, wrong[0], reason="names of fields are texts")
    data = dict(data)
    if (kind := data.pop("kind", schema.name)) != schema.name:
        raise bad_input("kind", kind, allowed=repr(schema.name))
    return construct(cls, {key: parse_value(schema, schema.field(key), value) for key, value in data.items()})


@dataclass(frozen=True)
class Measured:
    """A value of :func:`parse_value` that was measured on a day."""

    value: Any
    date: str


def construct(cls: Any, values: Mapping[str, Any]) -> Any:
    """A configuration of values as :func:`parse_value` gives them."""
    made = cls(**{name: value.value if isinstance(value, Measured) else value for name, value in values.items()})
    for name, value in values.items():
        if isinstance(value, Measured):
            made = made.with_measured({name: value.value}, value.date)
    return made


def parse_value(schema: _core.Schema, field: _core.Field, value: Any) -> Any:
    """A field's value from its plain form."""
    if value is False and field.optional and field.type != "flag":
        return None
    where = f"{schema.name}.{field.name}"
    if isinstance(value, Mapping) and MEASURED_ON in value and field.type not in ("part", "parts"):
        plain, date = dict(value), to_python_value(value[MEASURED_ON])
        del plain[MEASURED_ON]
        if not isinstance(date, str):
            raise bad_input(f"{where}.{MEASURED_ON}", date, allowed="a date such as '2026-05-01'")
        if "value" in plain and len(plain) > 1:
            raise bad_input(where, dict(value), allowed=f"value or a spread beside {MEASURED_ON}, not both")
        return Measured(parse_value(schema, field, plain.get("value", plain)), date)
    if field.name == "weather_series" and isinstance(value, Mapping):
        if set(value) != set(_SERIES):
            raise bad_input(where, allowed=f"a table of {', '.join(_SERIES)}")
        return _core.HourlySeries(**value)
    if field.type in ("number", "integer", "numbers") and field.name not in AXES:
        return _parse_numbers(schema, field, value)
    if field.type == "bearings":
        return _parse_bearings(where, field.unit, value)
    if field.type == "part" and isinstance(value, Mapping):
        return configuration_from_dict(class_for_table(where, field, value, field.default_value), value)
    if field.type == "parts" and isinstance(value, Mapping):
        if not has_named_members(field):
            raise bad_input(where, allowed="a list of tables, as its members have no names")
        return [_parse_member(f"{where}.{name}", field, inner, {"name": name}) for name, inner in value.items()]
    if field.type == "parts" and isinstance(value, list):
        return [_parse_member(f"{where}.{i}", field, inner, {}) for i, inner in enumerate(value, 1)]
    return value


def _parse_numbers(schema: _core.Schema, field: _core.Field, value: Any) -> Any:
    """A number, numbers or a spread, of which each number may be a text with its unit."""
    where, nominal_v, whole = f"{schema.name}.{field.name}", NOMINAL_V.get(schema.name), field.type == "integer"

    def read(inner: Any, unit: str) -> Any:
        if isinstance(inner, str):
            return read_quantity(where, _without_noun(field, inner), unit, nominal_v, whole=whole)
        return [read(x, unit) for x in inner] if isinstance(inner, (list, tuple)) else inner

    unit = difference_unit(field.unit) if "_sd_" in field.name else field.unit
    if not isinstance(value, Mapping):
        return read(value, unit)
    spread = {key: inner if key == "per" else read(inner, unit) for key, inner in value.items() if key not in _TWO}
    for key in _TWO & value.keys():  # the second is no value of the field
        given = value[key]
        other = difference_unit(unit) if key == "normal" else ""
        two = isinstance(given, list) and len(given) == 2
        spread[key] = [read(given[0], unit), read(given[1], other)] if two else given
    return _parse_spread(where, spread)


def _parse_bearings(where: str, unit: str, value: Any) -> Any:
    """Pairs of bearing and height, or heights by a point's name, of which each may be a text with its unit."""

    def read(inner: Any) -> Any:
        if isinstance(inner, str) and inner[:1] in "-+.0123456789":
            return read_quantity(where, inner, unit)
        return [read(x) for x in inner] if isinstance(inner, (list, tuple)) else inner  # the core knows the rest

    return {name: read(inner) for name, inner in value.items()} if isinstance(value, Mapping) else read(value)


def _without_noun(field: _core.Field, text: str) -> str:
    """The number of "5 nights"."""
    number, _, noun = text.strip().partition(" ")
    return number if field.type == "integer" and noun and noun.strip() in (field.name, field.name[:-1]) else text


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
    if (now := name_now(str(name))) in allowed:
        raise renamed(f"{where}.kind", now, name)
    near = _core.nearest_name(str(name), allowed)
    raise bad_input(f"{where}.kind", name, allowed=" or ".join(allowed), suggestion=near)


def _parse_spread(where: str, data: Mapping[str, Any]) -> _core.Spread:
    shapes = [key for key in data if key != "per"]
    if len(shapes) != 1:
        raise bad_input(
            where, dict(data), allowed=f"one of {', '.join(SPREAD_ARGUMENTS)}, and per; value with {MEASURED_ON}"
        )
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
        told = with_prefix(where, error)
        told.path, told.value = where, dict(data)
        raise told from None
