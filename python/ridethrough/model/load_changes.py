"""Changes of a van's loads by name: replace one of the same name in its place, add others, remove some."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import ridethrough._core as _core

from .errors import NOT_GIVEN, bad_input, unknown_name

if TYPE_CHECKING:
    from .classes import Van
    from .configuration import Configuration


def replace_loads(loads: Iterable[Any], changes: Iterable[Any], where: str) -> tuple[Any, ...]:
    """The loads with these changes; ``where`` begins the text of an error."""
    by_name: dict[str, Any] = {load.name: load for load in loads}
    given: set[str] = set()
    if not isinstance(changes, (list, tuple)):
        raise bad_input(where, changes, allowed="a list of loads")
    kinds = _core.Configuration._classes["Van"]._declaration.field("loads").choices
    for load in changes:
        if getattr(getattr(load, "schema", None), "name", None) not in kinds:
            raise bad_input(
                where, reason=f"{load!r} is no load", allowed="Lights(...), Heater(...), Appliance(...) ..."
            )
        if load.name in given:
            raise bad_input(where, reason=f"the name {load.name!r} is used twice")
        given.add(load.name)
        by_name[load.name] = load
    return tuple(by_name.values())


def remove_loads(loads: Iterable[Any], names: Iterable[str], where: str) -> tuple[Any, ...]:
    """The loads but for those of these names, each of which there must be."""
    kept = {load.name: load for load in loads}
    for name in names:
        if not isinstance(name, str) or name not in kept:
            raise no_such_load(where, name, list(kept))
        del kept[name]
    return tuple(kept.values())


def no_such_load(where: str, name: object, names: list[str], value: object = NOT_GIVEN) -> _core.InputError:
    """The error of a load that a van has not."""
    return unknown_name(where, value, names, f"no load {name!r} to take away", name=str(name), quoted=False)


def with_loads(van: Van, *loads: Configuration) -> Van:
    """A copy of the van with these loads too: one of the same name is replaced, others are added at the end."""
    return van.replace(loads=replace_loads(van.loads, loads, "with_loads"))


def without(van: Van, *names: str) -> Van:
    """A copy of the van without the loads of these names; ``InputError`` where it has no such load."""
    return van.replace(loads=remove_loads(van.loads, names, "without"))
