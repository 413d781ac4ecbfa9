"""Dotted paths into a van and a trip: ``"solar.rated_w"`` is the van's, ``"trip.nights"`` the trip's.

A path that starts with ``trip.`` goes to the trip, any other to the van (``van.`` in front may be said). Members of
lists go by their names (``loads.inverter.duration_h``, ``arrays.roof.rated_w``) or their places, counted from 1
(``batteries.2.capacity_ah``), as in ``Configuration.replace``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

import ridethrough._core as _core

from .classes import Trip, Van
from .declaration_text import fields_of
from .errors import bad_input, with_prefix
from .values import to_python_value

_OFTEN_SIZED = ("capacity_ah", "rated_w", "set_point_c", "volume_l", "current_a", "power_w")  # examples of an error
_FEW = 2


def replace_values(van: Van, trip: Trip, changes: Mapping[str, Any]) -> tuple[Van, Trip]:
    """The van and the trip with the values of `changes` at their paths; InputError names path, value and range."""
    sides: dict[str, dict[str, Any]] = {"van": {}, "trip": {}}
    for path, value in changes.items():
        side, inner = split_path(path)
        sides[side][inner] = to_python_value(value)
    try:
        return (
            van.replace(**sides["van"]) if sides["van"] else van,
            trip.replace(**sides["trip"]) if sides["trip"] else trip,
        )
    except _core.InputError as error:
        told = with_prefix(", ".join(f"{p} = {v!r}" for p, v in changes.items()), error)
        if len(changes) == 1:
            told.path, told.value = next(iter(changes.items()))
        raise told from None


def value_at(van: Van, trip: Trip, path: str) -> Any:
    """The value at a path."""
    side, inner = split_path(path)
    return (van if side == "van" else trip).get(inner)


def field_at(van: Van, trip: Trip, path: str) -> _core.Field:
    """The declaration at a path (``.unit``, ``.doc``, ``.variation``, ``.allowed``), as van and trip have it."""
    side, inner = split_path(path)
    parent, _, name = inner.rpartition(".")
    root = van if side == "van" else trip
    holder = root.get(parent) if parent else root
    if holder is None:
        raise bad_input(path, reason=f"there is no {parent} so far")
    if not isinstance(holder, _core.Configuration):
        raise bad_input(path, reason=f"there is nothing inside {holder!r}")
    return holder.schema.field(name)


def number_at(van: Van, trip: Trip, path: str, left_out: Collection[str] = ()) -> _core.Field:
    """The declaration of a number; of a part an InputError with a few that it has, but those with such an ending."""
    side, inner = split_path(path)
    found: Any = (van if side == "van" else trip).get(inner)
    where = path
    if isinstance(found, tuple) and found and isinstance(found[0], _core.Configuration):
        found, where = found[0], f"{path}.{getattr(found[0], 'name', 1)}"
    if isinstance(found, _core.Configuration):
        few = [one for one in numbers_inside(found, where) if not one.endswith(tuple(left_out))][:_FEW]
        raise bad_input(path, allowed="the path of a number", hint=f"such as {', '.join(few)}" if few else "")
    field = field_at(van, trip, path)
    if field.type not in ("number", "integer"):
        raise bad_input(path, allowed="the path of a number")
    return field


def numbers_inside(part: _core.Configuration, path: str) -> list[str]:
    """Paths of a part's numbers that have a value, those often sized first."""
    named = [field.name for field in part.schema.fields if field.type in ("number", "integer")]
    ordered = [*(name for name in _OFTEN_SIZED if name in named), *named]
    return [f"{path}.{name}" for name in dict.fromkeys(ordered) if getattr(part, name) is not None]


def split_path(path: str) -> tuple[str, str]:
    """``("van" or "trip", the path inside it)``."""
    if not isinstance(path, str) or not path:
        raise bad_input("path", path, allowed='a dotted path such as "solar.rated_w" or "trip.nights"')
    first, dot, rest = path.partition(".")
    if dot and first in ("van", "trip"):
        return first, rest
    of_van, of_trip = ({field.name for field in fields_of(_declaration_of(kind))} for kind in ("Van", "Trip"))
    if first in of_trip - of_van:
        raise bad_input(path, reason="a van has no such field, a trip has", suggestion=f"trip.{path}", quoted=True)
    return "van", path


def _declaration_of(kind: str) -> _core.Schema:
    declaration: _core.Schema = _core.Configuration._classes[kind]._declaration
    return declaration
