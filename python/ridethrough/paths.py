"""Dotted paths over a van and its trip: ``battery.capacity_ah`` is the van's, ``trip.nights`` the trip's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import ridethrough._core as _core

if TYPE_CHECKING:
    from ridethrough import Trip, Van

_TRIP = "trip."


def replaced(van: Van, trip: Trip, changes: Mapping[str, Any]) -> tuple[Van, Trip]:
    """Van and trip with other values at dotted paths; ``van`` and ``trip`` themselves are replaced first."""
    for name, whole in (("van", van), ("trip", trip)):
        given = changes.get(name, whole)
        if type(given) is not type(whole):
            raise _core.InputError(f"{name} = {given!r}: must be a {name.capitalize()}")
    van, trip = changes.get("van", van), changes.get("trip", trip)
    of_van = {path: value for path, value in changes.items() if not path.startswith(_TRIP) and path != "van"}
    of_van.pop("trip", None)
    of_trip = {path.removeprefix(_TRIP): value for path, value in changes.items() if path.startswith(_TRIP)}
    return van.replace(**of_van) if of_van else van, trip.replace(**of_trip) if of_trip else trip


def value_at(van: Van, trip: Trip, path: str) -> Any:
    """What stands at a dotted path."""
    return trip.get(path.removeprefix(_TRIP)) if path.startswith(_TRIP) else van.get(path)


def field_at(van: Van, trip: Trip, path: str) -> Any:
    """Declaration of the field at a dotted path (``.unit``, ``.low``, ``.high``, ``.level``)."""
    root: Any = trip if path.startswith(_TRIP) else van
    owner, _, name = path.removeprefix(_TRIP).rpartition(".")
    record = root.get(owner) if owner else root
    if not isinstance(record, _core.Record):
        raise _core.InputError(f"{path}: there is nothing inside {record!r}")
    return record.schema.field(name)
