"""Changes of a van and a trip as the command line says them.

"nights=4", "solar.rated_w=300 W", "battery=lithium 100 Ah", "loads.heater=none".
"""

from __future__ import annotations

import tomllib
from typing import Any

import ridethrough._core as _core

from ..model.classes import AgmBattery, Configuration, LithiumBattery, Trip, Van
from ..model.declaration_text import fields_of
from ..model.dict_format import parse_value
from ..model.errors import bad_input, unknown_name, with_new_path
from ..model.quantities import NOMINAL_V, read_quantity

_BATTERIES = {"agm": AgmBattery, "lithium": LithiumBattery}
_NONE = "none"
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
        owner, path = _owner(van, trip, path.strip())
        changed = _changed(owner, path, text.strip())
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
        raise unknown_name(path, list(owners), "neither a van nor a trip has that", name=first)
    return owners[first], path


def _names(owner: Configuration) -> list[str]:
    return [field.name for field in (*fields_of(owner.schema), *owner.schema.singulars)]


def _value(owner: Configuration, path: str, text: str) -> Any:
    """What a text says for the field at a path."""
    where, _, name = path.rpartition(".")
    part = owner.get(where) if where else owner
    if not isinstance(part, Configuration):
        raise bad_input(path, text, reason=f"there is nothing inside {where}")
    schema = part.schema
    field = next((f for f in schema.singulars if f.name == name), None) or schema.field(name)
    if text.lower() == _NONE and field.optional:
        return None
    if field.type == "flag" and text.lower() in _WORDS:
        return _WORDS[text.lower()]
    if field.name == "battery" and (battery := _battery(part, path, text)):
        return battery
    return parse_value(schema, field, _plain(field, text))


def _battery(van: Any, path: str, text: str) -> Configuration | None:
    """From "lithium 100 Ah" a new battery of that kind, at the place of the one before."""
    kind, _, size = text.partition(" ")
    if kind.lower() not in _BATTERIES:
        return None
    cls = _BATTERIES[kind.lower()]
    if not size.strip():
        raise bad_input(path, text, allowed=f'a kind and a capacity, such as "{kind} 100 Ah"')
    capacity_ah = read_quantity(f"{path}.capacity_ah", size, "Ah", NOMINAL_V[cls.__name__])
    try:
        return cls(capacity_ah=capacity_ah, location=van.batteries[0].location)
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
