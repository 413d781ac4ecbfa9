"""Scenario files: a van, a trip and a run in TOML, under the API's own names.

Tables: ``[van]``, ``[van.battery]`` (with ``kind``), ``[van.solar]``, ``[van.dc_dc]``, ``[van.fridge]``,
``[van.loads.<name>]`` ..., ``[trip]``, ``[trip.site]``, ``[trip.site.climate]``, ``[run]`` (trials, seed). What is not
given takes its declared default; a key that nothing declares is an error.

- A part that is not there: ``solar = "none"``.
- A spread: ``dirt_loss = { triangular = [0.02, 0.05, 0.12], per = "trial" }``.
- Stops of a trip: ``[trip.stops.<name>]`` with ``[trip.stops.<name>.site]``, in their order, instead of
  ``[trip.site]`` and ``nights``.
- Ready-made habits: ``[van] habits = "remote_work"`` gives the loads and the trip's party. ``[van.loads]`` then changes
  and adds loads (``fan = "none"`` takes one away), ``[trip.party]`` changes the party.
- Without them, ``[van.loads]``, where given, holds exactly the van's loads; where absent, the van has the default ones.
  A load under its class's default name (lights, kettle, phones, ...) needs no ``kind``; any other name does.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ridethrough._core as _core

from . import hints, plain, toml_text
from .habits import habits
from .parameters import RUN, homes_of, table_of
from .places import places_of
from .records import CLASSES

_NONE = "none"
_FEW_HOMES = 3  # tables that a key may belong to, to be told of


@dataclass(frozen=True, kw_only=True)
class Scenario:
    """A named van and trip, with the trials and the seed to simulate them."""

    name: str
    title: str = ""
    van: Any
    trip: Any
    trials: int = 10_000
    seed: int = 0


def demo_path() -> Path:
    """The shipped demo scenario."""
    return Path(__file__).parent / "data" / "demo.toml"


def load_scenario(path: str | Path) -> Scenario:
    """Read a scenario file; an InputError names file, key and what is allowed. ``name`` defaults to the file's."""
    path = Path(path)
    try:
        text = path.read_bytes().decode()
    except OSError as error:
        raise _core.InputError(f"{path}: {error.strerror or error}") from None
    except UnicodeDecodeError as error:
        raise _core.InputError(f"{path}: not TOML: {error}") from None
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _core.InputError(f"{path}: not TOML: {error}{hints.of_toml(text, str(error))}") from None
    try:
        return _scenario(data, path.stem)
    except _core.InputError as error:
        raise _core.InputError(f"{path}: {error}") from None


def _scenario(data: dict[str, Any], stem: str) -> Scenario:
    _known("", data, ["name", "title", "van", "trip", "run"])
    for key in ("name", "title"):
        if not isinstance(data.get(key, ""), str):
            raise _core.InputError(f"{key} = {data[key]!r}: allowed a text")
    if "trip" not in data:
        raise _core.InputError(
            "[trip]: must be given, with start, nights and [trip.site], or start and [trip.stops.<name>]"
        )
    run = _table("run", data.get("run", {}))
    _known("run.", run, list(RUN))
    for key, value in run.items():
        low, high, _ = RUN[key]
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise _core.InputError(f"run.{key} = {value!r}: allowed whole numbers {low} to {high}")
    van_table, trip_table = _with_habits(_table("van", data.get("van", {})), _table("trip", data["trip"]))
    van = _record("van", CLASSES["Van"], van_table)
    trip = _record("trip", CLASSES["Trip"], trip_table)
    return Scenario(name=data.get("name", stem), title=data.get("title", ""), van=van, trip=trip, **run)


def _with_habits(van: Mapping[str, Any], trip: Mapping[str, Any]) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
    """The tables with the ready-made habits that the van names written out."""
    if "habits" not in van:
        return van, trip
    try:
        ready = habits(van["habits"])
    except _core.InputError as error:
        raise _core.InputError(f"van.{error}") from None
    rest = {key: value for key, value in van.items() if key != "habits"}
    loads: dict[str, Any] = {}
    for load in ready.loads:
        table = plain.from_record(load)
        table.pop("name", None)
        loads[str(load.name)] = {"kind": type(load).__name__, **table}
    for name, change in _table("van.loads", rest.get("loads", {})).items():
        if change == _NONE and name in loads:
            del loads[name]
        elif name in loads and isinstance(change, Mapping):
            same = change.get("kind", loads[name]["kind"]) == loads[name]["kind"]
            loads[name] = {**(loads[name] if same else {}), **change}
        else:
            loads[name] = change
    party = trip.get("party", {})
    if party != _NONE:
        party = {**plain.from_record(ready.party), **_table("trip.party", party, f', or "{_NONE}"')}
    return {**rest, "loads": loads}, {**trip, "party": party}


def _known(where: str, table: Mapping[str, Any], names: list[str]) -> None:
    for key in table:
        if key not in names:
            near, home = _core.nearest_name(key, names), table_of(key)
            hint = f"did you mean {near}?" if near else f"allowed {', '.join(names)}"
            if home and not near:
                hint += f"; {key} belongs under [{home}]"
            raise _core.InputError(f"{where}{key}: no such key; {hint}")


def _table(where: str, value: Any, otherwise: str = "") -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise _core.InputError(f"{where} = {value!r}: allowed a table{otherwise}")
    return value


def _record(where: str, cls: Any, table: Mapping[str, Any]) -> Any:
    """Inner tables first, so that an error names the table it is in."""
    schema = cls._declaration
    values: dict[str, Any] = {}
    for key, value in table.items():
        _require_known(where, schema, key)
        with _at(where, schema):
            field = schema.field(key)
        if field.kind == "record":
            values[key] = _inner(f"{where}.{key}", field, value)
        elif field.kind == "records":
            loads = _table(f"{where}.{key}", value)
            values[key] = [_load(f"{where}.{key}.{name}", name, field, inner) for name, inner in loads.items()]
        else:
            with _at(where, schema):
                values[key] = plain._to_value(schema, field, value)
    with _at(where, schema):
        return cls(**values)


def _require_known(where: str, schema: Any, key: str) -> None:
    """Says more of a wrong key than the declaration can, which knows of no other table."""
    if key in [field.name for field in schema.fields]:
        return
    if key == "type":
        raise _core.InputError(f"{where}.type: no such key; did you mean kind?")
    if 0 < len(homes := homes_of(key)) <= _FEW_HOMES:
        raise _core.InputError(f"{where}.{key}: no such key; it belongs under {' or '.join(f'[{h}]' for h in homes)}")


class _at:
    """Errors of the core say ``AgmBattery.capacity_ah``; the file's reader wants ``van.battery.capacity_ah``."""

    def __init__(self, where: str, schema: Any) -> None:
        self.where, self.schema = where, schema

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: Any, error: BaseException | None, trace: Any) -> None:
        if isinstance(error, _core.InputError):
            text = re.sub(rf"\b{self.schema.name}\.(?=\w)", f"{self.where}.", str(error))
            raise _core.InputError(text if text != str(error) else f"{self.where}: {text}") from None


def _inner(where: str, field: Any, value: Any) -> Any:
    if value == _NONE and field.optional:
        return None
    table = dict(_table(where, value, f', or "{_NONE}"' if field.optional else ""))
    cls = plain._kind(where, field, table, field.standard)
    table.pop("kind", None)
    return _record(where, cls, table)


def _default_names(field: Any) -> dict[str, Any]:
    """Load classes by the name that their declaration gives them."""
    names = {CLASSES[kind]._declaration.field("name").standard: CLASSES[kind] for kind in field.choices}
    names.pop(None, None)
    return names


def _load(where: str, name: str, field: Any, value: Any) -> Any:
    table = dict(_table(where, value))
    if "name" in table:
        raise _core.InputError(f"{where}.name: the name is that of the table")
    if len(field.choices) == 1:  # stops: one class, any name
        return _record(where, CLASSES[field.choices[0]], table | {"name": name})
    known = _default_names(field)
    if "kind" not in table and name not in known:
        near = _core.nearest_name(name, list(known))
        hint = f"did you mean {near}?" if near else f"known are {', '.join(known)}."
        raise _core.InputError(
            f'{where}: no load is known by that name; {hint} A load of your own has kind = "Appliance"'
            if field.name == "loads"
            else f"{where}: known without a kind are {', '.join(known)}; else allowed kind {' or '.join(field.choices)}"
        )
    cls = plain._kind(where, field, table, None) if "kind" in table else known[name]
    table.pop("kind", None)
    return _record(where, cls, table | {"name": name})


def dump_scenario(scenario: Scenario) -> str:
    """TOML text that reads back as an equal scenario; what is at its default is left out."""
    climates = [place.site.climate for place in places_of(scenario.trip)]
    if any(climate is not None and climate.record is not None for climate in climates):
        raise _core.InputError("climate.record: a scenario file holds normals only, not measured hours")
    van = scenario.van.to_dict()
    known = {name: cls.__name__ for name, cls in _default_names(type(scenario.van)._declaration.field("loads")).items()}
    for name, load in van.get("loads", {}).items():
        if load["kind"] == known.get(name):
            del load["kind"]
    head = {"name": scenario.name} | ({"title": scenario.title} if scenario.title else {})
    run = {"trials": scenario.trials, "seed": scenario.seed}
    return toml_text.dumps(head | {"run": run} | ({"van": van} if van else {}) | {"trip": scenario.trip.to_dict()})
