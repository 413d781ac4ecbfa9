"""Changes of a van and a trip as the command line says them.

"nights=4", "solar.rated_w=300 W", "battery=lithium 100 Ah", "loads.heater=none".
"""

from __future__ import annotations

import tomllib
from typing import Any

import ridethrough._core as _core

from ..files.starter_file import listed_days
from ..model.classes import CLASSES, AgmBattery, LithiumBattery, Trip, Van
from ..model.configuration import Configuration
from ..model.declaration_text import fields_of
from ..model.dict_format import Measured, parse_value
from ..model.errors import bad_input, with_new_path, with_prefix
from ..model.given_values import PART_WORDS
from ..model.parameter_help import homes_of
from ..model.parameter_paths import numbers_inside
from ..model.quantities import NOMINAL_V, read_quantity

_BATTERIES = {"agm": AgmBattery, "lithium": LithiumBattery}
_NONE = "none"
_FEW = 3  # an error names the paths that may be meant, up to so many
_WORDS = {"true": True, "yes": True, "false": False, "no": False}


def apply_change(van: Van, trip: Trip, change: str) -> tuple[Van, Trip]:
    """The van and trip with a change.

    Parameters
    ----------
    van, trip : Van, Trip
        As they are.
    change : str
        ``path=value``, with the unit that people use; paths as in scenario files, ``van.`` and ``trip.`` may be left
        out. Several are joined by ``;``.

    Returns
    -------
    Van, Trip
        With it.

    Raises
    ------
    InputError
        There is no such path, or its value is not allowed.
    """
    for part in change.split(";"):
        path, equals, text = part.partition("=")
        if not equals or not path.strip() or not text.strip():
            raise bad_input("--change", part.strip(), allowed='a path and its value, such as "solar.rated_w=300 W"')
        try:
            owner, path = _owner(van, trip, path.strip())
            changed = _changed(owner, path, text.strip())
        except _core.InputError as error:
            raise with_prefix(f'--change "{part.strip()}"', error) from None
        van, trip = (changed, trip) if isinstance(changed, Van) else (van, changed)
    return van, trip


def _changed(owner: Any, path: str, text: str) -> Any:
    list_name, _, member = path.partition(".")
    if list_name == "loads" and member and "." not in member and text.lower() == _NONE:
        return owner.without(member)
    return owner.replace(path, _value(owner, path, text))


def whole_path(van: Van, trip: Trip, path: str) -> str:
    """A path with its van. or trip. left out where it is the van's, as studies take it."""
    owner, path = _owner(van, trip, path)
    return path if isinstance(owner, Van) else f"trip.{path}"


def _owner(van: Van, trip: Trip, path: str) -> tuple[Any, str]:
    """Van or trip, whichever has a path, and the path in it."""
    first, _, rest = path.partition(".")
    if first in ("van", "trip") and rest:
        return (van if first == "van" else trip), rest
    owners = {name: owner for owner in (trip, van) for name in _names(owner)}
    if first not in owners:
        homes = [f"{home.strip('[]')}.{path}" for home in homes_of(first)][:_FEW]
        homes = [f"loads.{path}"] if first in [load.name for load in van.loads] else homes
        hint = f"is {' or '.join(homes)} meant?" if homes else "explain van and explain trip list what there is"
        near = "" if homes else PART_WORDS.get(first.lower()) or _core.nearest_name(first, list(owners))
        raise bad_input(path, reason="neither a van nor a trip has that", hint="" if near else hint, suggestion=near)
    return owners[first], path


def _names(owner: Configuration) -> list[str]:
    return [field.name for field in (*fields_of(owner.schema), *owner.schema.singulars)]


def _value(owner: Configuration, path: str, text: str) -> Any:
    """What a text says for the field at a path."""
    where, _, name = path.rpartition(".")
    part = owner.get(where) if where else owner
    if not isinstance(part, Configuration):
        raise bad_input(path, text, reason=f"there is no {where} so far", hint=f'write "{where}={{{name}={text}}}"')
    schema = part.schema
    field = next((f for f in schema.singulars if f.name == name), None) or schema.field(name)
    if text.lower() == _NONE and (field.optional or field.type == "parts"):
        return None if field.optional else []
    if field.type == "flag" and text.lower() in _WORDS:
        return _WORDS[text.lower()]
    if field.name == "battery" and not text.startswith("{"):
        return _battery(part, path, text)
    if field.type == "parts" and len(field.choices) == 1 and not text.startswith("["):
        return _planned(CLASSES[field.choices[0]], path, text)
    present = getattr(part, field.name) if field.type == "part" else None
    if isinstance(present, Configuration) and not text.startswith("{"):
        few = numbers_inside(present, path)[:_FEW]
        raise bad_input(path, text, reason="a part, which has numbers of its own", hint=f"such as {', '.join(few)}")
    value = parse_value(schema, field, _plain(field, text))
    return value.value if isinstance(value, Measured) else value


def _planned(cls: Any, path: str, text: str) -> list[Configuration]:
    """From "2, Friday" what is planned on these days, at its usual hours."""
    name = next((field.name for field in cls._declaration.fields if field.type == "days" and field.required), None)
    if name is None:
        raise bad_input(path, text, allowed="a list of tables, as in a scenario file")
    return [cls(**{name: [int(day) if day.isdecimal() else day for day in listed_days(text)]})]


def _battery(van: Any, path: str, text: str) -> Configuration:
    """From "lithium 100 Ah" a new battery of that kind, at the place of the one before."""
    kind, _, size = text.partition(" ")
    if kind.lower() not in _BATTERIES or not size.strip():
        kinds = " or ".join(_BATTERIES)
        raise bad_input(path, text, allowed=f'a kind ({kinds}) and a capacity, such as "lithium 100 Ah"')
    cls = _BATTERIES[kind.lower()]
    capacity_ah = read_quantity(f"{path}.capacity_ah", size, "Ah", NOMINAL_V[cls.__name__])
    try:
        made: Configuration = cls(capacity_ah=capacity_ah, location=van.batteries[0].location)
        return made
    except _core.InputError as error:
        raise with_new_path(cls.__name__, path, error) from None


def _plain(field: _core.Field, text: str) -> Any:
    """A list, a table, a number or true and false as in a file; anything else is a text."""
    if field.type in ("text", "choice"):
        return text
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text
