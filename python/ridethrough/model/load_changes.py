"""Changes of a van's loads by name: replace one of the same name in its place, add others, remove some."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import ridethrough._core as _core


def replace_loads(loads: Iterable[Any], changes: Iterable[Any], where: str) -> tuple[Any, ...]:
    """The loads with these changes; ``where`` begins the text of an error."""
    by_name: dict[str, Any] = {load.name: load for load in loads}
    given: set[str] = set()
    if not isinstance(changes, (list, tuple)):
        raise _core.InputError(f"{where} = {changes!r}: allowed a list of loads")
    kinds = _core.Configuration._classes["Van"]._declaration.field("loads").choices
    for load in changes:
        if getattr(getattr(load, "schema", None), "name", None) not in kinds:
            raise _core.InputError(
                f"{where}: {load!r} is no load; allowed Lights(...), Heater(...), Appliance(...) ..."
            )
        if load.name in given:
            raise _core.InputError(f"{where}: the name {load.name!r} is used twice")
        given.add(load.name)
        by_name[load.name] = load
    return tuple(by_name.values())


def remove_loads(loads: Iterable[Any], names: Iterable[str], where: str) -> tuple[Any, ...]:
    """The loads but for those of these names, each of which there must be."""
    kept = {load.name: load for load in loads}
    for name in names:
        if not isinstance(name, str) or name not in kept:
            raise _core.InputError(f"{where}: {no_such_load_text(name, list(kept))}")
        del kept[name]
    return tuple(kept.values())


def no_such_load_text(name: str, names: list[str]) -> str:
    near = _core.nearest_name(str(name), names)
    there = f"did you mean {near}?" if near else f"the loads are {', '.join(names) or 'none but the fridge'}"
    return f"no load {name!r} to take away; {there}"


def with_loads(van: Any, *loads: Any) -> Any:
    """A copy of the van with these loads too: one of the same name is replaced, others are added at the end."""
    return van.replace(loads=replace_loads(van.loads, loads, "with_loads"))


def without(van: Any, *names: str) -> Any:
    """A copy of the van without the loads of these names; ``InputError`` where it has no such load."""
    return van.replace(loads=remove_loads(van.loads, names, "without"))
