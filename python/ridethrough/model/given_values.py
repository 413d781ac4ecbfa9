"""Values as people give them: numbers of any kind made plain, and errors that show what was given and what was meant.

The core checks ranges, choices and names; what only Python can know of a value is said here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from functools import cache
from typing import Any

import numpy as np

import ridethrough._core as _core

from .declaration_text import fields_of
from .errors import bad_input, with_more_hint
from .former_names import name_now
from .quantities import NOMINAL_V

PART_WORDS = {"panel": "solar", "array": "solar", "pv": "solar", "bank": "battery", "climate": "site"}


@cache
def _fields(schema: _core.Schema) -> dict[str, _core.Field]:
    return {field.name: field for field in fields_of(schema)}


def plain_values(schema: _core.Schema, given: Mapping[str, Any]) -> dict[str, Any]:
    """The values as the core takes them; InputError for what is of a wrong kind. Unknown names are left to the core."""
    known = _fields(schema)
    return {name: _plain(schema, known[name], value) if name in known else value for name, value in given.items()}


def unknown_names(schema: _core.Schema, given: Mapping[str, Any]) -> list[str]:
    """Those that nothing declares."""
    return [name for name in given if name not in _fields(schema)]


def _plain(schema: _core.Schema, field: _core.Field, value: Any) -> Any:
    if field.type in ("number", "integer"):
        return _number(schema, field, value)
    if field.type == "part" and isinstance(value, type):
        raise _refused(schema, field, value, reason="a class", hint=f"call it: {value.__name__}(...)")
    if getattr(value, "ndim", 1) == 0 and hasattr(value, "__iter__"):  # NumPy has arrays without dimensions
        raise _refused(schema, field, value, reason="not a list" if field.type != "text" else "")
    if isinstance(value, datetime) and value != value and field.name != "start":  # pandas has a time that is none
        raise _refused(schema, field, value)
    if field.type in ("numbers", "bearings") and hasattr(value, "__array__") and hasattr(value, "ndim"):
        return np.asarray(value).tolist()
    if field.type == "parts":
        _check_members(schema, field, value)
    return value


def _number(schema: _core.Schema, field: _core.Field, value: Any) -> Any:
    """A number of any library as Python's: of NumPy, also without dimensions, a fraction, a decimal."""
    flag = isinstance(value, (bool, np.bool_))
    if value is None or isinstance(value, (str, _core.Spread)) or (isinstance(value, (int, float)) and not flag):
        return value  # the core says how a text is written as a number
    if hasattr(value, "__float__") and getattr(value, "ndim", 0) == 0 and not flag:
        try:
            return float(value)
        except (TypeError, ValueError):  # a complex number, a quantity with a unit of its own
            pass
    raise _refused(schema, field, value, reason="not a number", hint=_number_hint(field, value))


def _number_hint(field: _core.Field, value: Any) -> str:
    if isinstance(value, type):
        return f"call it: {value.__name__}(...)"
    if not isinstance(value, (list, tuple, np.ndarray)) or not all(isinstance(x, (int, float)) for x in value):
        return ""
    numbers = [float(x) for x in value]
    if len(numbers) == 1:
        return f"write {numbers[0]:g}, without brackets"
    if len(numbers) == 2 and field.variation != "fixed":
        low, high = sorted(numbers)
        return f"for anything in between, rt.spreads.uniform({low:g}, {high:g})"
    return ""


def _check_members(schema: _core.Schema, field: _core.Field, value: Any) -> None:
    kinds = " or ".join(f"{kind}(...)" for kind in field.choices[:2])
    if isinstance(value, _core.Configuration):
        name = type(value).__name__
        raise _refused(schema, field, value, reason="one, not a list", hint=f"write [{name}(...)], in brackets")
    if isinstance(value, (str, Mapping)) or not hasattr(value, "__iter__"):
        return  # the core says that it must be a list
    for member in value:
        if isinstance(member, type):
            hint = f"call it: {member.__name__}(...)"
            raise _refused(schema, field, member, reason="a class", hint=hint)
        if not isinstance(member, _core.Configuration):
            days = _days_of(field)
            listed = list(value) if isinstance(value, (list, tuple)) else [member]
            hint = f"write [rt.{field.choices[0]}({days}={listed!r})]" if days else f"write {kinds}"
            raise _refused(schema, field, member, hint=hint)


def _days_of(field: _core.Field) -> str:
    """The field that says on which days something of this list is planned."""
    if len(field.choices) != 1:
        return ""
    inner = _core.Configuration._classes[field.choices[0]]._declaration
    return next((one.name for one in inner.fields if one.type == "days" and one.required), "")


def _refused(
    schema: _core.Schema, field: _core.Field, value: Any, *, reason: str = "", hint: str = ""
) -> _core.InputError:
    few = field.allowed if len(field.choices) <= 4 else ""
    return bad_input(f"{schema.name}.{field.name}", value, reason=reason, allowed=few, hint=hint)


def _swapped(site: Mapping[str, Any]) -> bool:
    """Whether a place's coordinates are within their ranges the other way round."""
    north, east = site.get("latitude"), site.get("longitude")
    if not isinstance(north, (int, float)) or not isinstance(east, (int, float)):
        return False
    return 90 < abs(north) <= 180 and abs(east) <= 90


_NO_QUOTES = "without quotes"  # of a hint of the core


@contextmanager
def facts_of(schema: _core.Schema, given: Mapping[str, Any]) -> Iterator[None]:
    """Errors of the core carry the values themselves, which it knows as text, and say more of a wrong name."""
    try:
        yield
    except _core.InputError as error:
        head, dot, rest = error.path.removeprefix(f"{schema.name}.").partition(".")
        if not error.path.startswith(f"{schema.name}.") or head not in given:
            raise
        if head not in _fields(schema):
            raise _unknown(schema, head, given[head], error) from None
        error.value = _value_meant(given[head], error.value, rest)
        if isinstance(error.value, str) and _NO_QUOTES in error.hint and re.search("[A-Za-z%]", error.value):
            raise with_more_hint(
                error, "Python takes plain numbers; units are for files and the command line"
            ) from None
        if error.path == "Site.latitude" and _swapped(given):
            raise with_more_hint(error, "are latitude and longitude swapped?") from None
        raise


def _value_meant(given: Any, said: Any, place: str) -> Any:
    """What was given, or the member of it that is wrong: by its place, or as the error writes it."""
    if not isinstance(given, (list, tuple)):
        return given
    if place.isdecimal() and 1 <= int(place) <= len(given):
        return given[int(place) - 1]
    return next((one for one in given if said is not None and repr(one) in (said, repr(said))), given)


def _unknown(schema: _core.Schema, name: str, value: Any, error: _core.InputError) -> _core.InputError:
    """An error of a name that nothing declares: with what was meant, as far as the value or other parts tell."""
    error.value = value
    if name in schema.moved or name_now(f"{schema.name}.{name}"):
        return error
    meant, hint = _amp_hours(schema, name, value)
    told = bool(error.suggestion or error.hint)  # by the core
    if not meant and not told:
        meant, hint = _inner_path(schema, name)
    if not meant and not told:
        hint = _same_unit(schema, name)
    if not meant and not hint:
        return error
    path, more = f"{schema.name}.{name}", f"explain('{schema.name}') and PARAMETERS.md list all"
    made = bad_input(path, value, reason="no such field", hint=hint, suggestion=meant or error.suggestion)
    made.allowed = error.allowed or ", ".join(_fields(schema))
    text = f"{made} {more}" if made.suggestion else f"{made}; {more}"
    made.args = (text,)  # its facts stay
    return made


def _amp_hours(schema: _core.Schema, name: str, value: Any) -> tuple[str, str]:
    """Watt-hours as the ampere-hours that a battery is declared in."""
    stem, _, unit = name.rpartition("_")
    per = {"wh": 1.0, "kwh": 1000.0}.get(unit.lower())
    field = f"{stem}_ah"
    if per is None or field not in _fields(schema) or isinstance(value, bool) or not isinstance(value, (int, float)):
        return "", ""
    volts = NOMINAL_V.get(schema.name, 12.0)
    return field, f"{value:g} {'kWh' if per > 1 else 'Wh'} at {volts:g} V are {per * value / volts:.0f} Ah"


def _inner_path(schema: _core.Schema, name: str) -> tuple[str, str]:
    """The path of a field of this name in a part: ``battery.capacity_ah`` for a van's ``capacity_ah``."""
    found: list[str] = []
    first, _, rest = name.partition("_")
    lists = {one.only_of for one in schema.singulars}
    for field in _fields(schema).values():
        if field.type != "part" or field.name in lists:
            continue
        meant = [name] + [rest] * (first == field.name) + [name] * (PART_WORDS.get(first) == field.name)
        if field.name == first or PART_WORDS.get(first) == field.name:
            found = [path for path in (_near_in(field, wanted) for wanted in meant) if path][:1] or found
            break
        inner = _part_schema(field)
        if inner is not None and name in _fields(inner):
            found.append(f"{field.name}.{name}")
    if not found:
        return "", ""
    others = f"or {', '.join(found[1:])}" if len(found) > 1 else ""
    return found[0], others


def _part_schema(field: _core.Field) -> _core.Schema | None:
    """Of a part's default, or of the one kind that it may be."""
    if isinstance(field.default_value, _core.Configuration):
        return field.default_value.schema
    kinds = [_core.Configuration._classes[kind]._declaration for kind in field.choices]
    return kinds[0] if len(kinds) == 1 else None


def _near_in(field: _core.Field, name: str) -> str:
    """The path of a part's field that is called so, or nearly."""
    inner = _part_schema(field)
    if inner is None:
        return ""
    try:
        return f"{field.name}.{inner.field(name).name}"
    except _core.InputError as error:
        return f"{field.name}.{error.suggestion}" if error.suggestion else ""


def _same_unit(schema: _core.Schema, name: str) -> str:
    """Fields in the unit that the name ends with: ``rated_w`` for ``panels_w``."""
    unit = name.rpartition("_")[2].lower()
    same = [one.name for one in _fields(schema).values() if one.unit and one.name.rpartition("_")[2] == unit]
    return f"there are {', '.join(same)}" if unit and same else ""
