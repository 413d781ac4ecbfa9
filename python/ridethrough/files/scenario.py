"""Scenario files: a van, a trip and a run in TOML, under the API's own names.

Tables: ``[van]``, ``[van.battery]`` (with ``kind``), ``[van.solar]``, ``[van.dc_dc]``, ``[van.fridge]``,
``[van.loads.<name>]`` ..., ``[trip]``, ``[trip.site]``, ``[trip.site.climate]``, ``[run]`` (trials, seed,
charge_limit). What is not given takes its declared default; a key that nothing declares is an error.

- A part that is not there: ``solar = "none"``.
- Several arrays or batteries, which are then all that the van has: ``[van.arrays.<name>]``, or ``[[van.arrays]]`` for
  each, in place of ``[van.solar]``; ``[van.batteries.<name>]`` or ``[[van.batteries]]`` in place of ``[van.battery]``.
- A number with its unit: ``set_point_c = "40 degF"``; one that is not filled in yet: ``"?"``, which is an error.
- A spread: ``soiling_loss = { triangular = [0.02, 0.05, 0.12], per = "trial" }``.
- What was measured: ``capacity_ah = { value = 92, measured_on = 2026-05-01 }``, of a spread ``measured_on`` beside it.
- Drives: ``[[trip.drives]]`` with ``days = [2, "Friday", 2026-09-25]``, ``start_h`` and ``duration_h``, once for each
  kind of drive; likewise ``[[trip.day_trips]]``, ``[[trip.idling]]``, ``[[trip.generator_runs]]`` and
  ``[[trip.shore_power]]`` with ``nights``. Numbers count from 1.
- Stops of a trip: ``[trip.stops.<name>]`` with ``[trip.stops.<name>.site]``, in their order, instead of
  ``[trip.site]`` and ``nights``.
- Ready-made habits: ``[van] habits = "remote_work"`` gives the loads and the trip's party, which ``[trip.party]``
  changes. Without them the van has the default loads.
- ``[van.loads]`` changes these loads and adds others; ``fan = "none"`` takes one away. With
  ``[van] only_these_loads = true`` the van has the loads of ``[van.loads]`` and no others.
- A load under its class's default name (lights, kettle, phones, ...) needs no ``kind``; any other new name does.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from os import PathLike
from pathlib import Path
from typing import Any

import ridethrough._core as _core

from ..model import dict_format
from ..model.classes import CLASSES, Site, Trip, Van
from ..model.declaration_text import fields_of
from ..model.errors import NOT_GIVEN, bad_input, checked_call, renamed, unknown_name, with_new_path, with_prefix
from ..model.former_names import name_now
from ..model.habit_profiles import habits
from ..model.load_changes import no_such_load
from ..model.parameter_help import RUN, VAN_KEYS, homes_of, table_of
from . import toml_hints
from .named_scenario import Scenario as Scenario
from .run_values import require_run_value

OPEN = "?"  # a value that is not filled in yet
_TEXTS = ("name", "title", "source")  # where it is a text like any other
_NONE = "none"
_FEW_HOMES = 3  # an error names the tables that a wrong key may belong to, if they are no more than this


def demo_path() -> Path:
    """The shipped demo scenario."""
    return Path(__file__).parents[1] / "data" / "demo.toml"


@checked_call
def load_scenario(path: str | Path, *, site: Site | None = None) -> Scenario:
    """Read a scenario file.

    Parameters
    ----------
    path : str or path
        A TOML file, under the API's own names: see python/docs/scenario_files.md.
    site : Site, optional
        Where the trip goes if the file names neither a site nor stops.

    Returns
    -------
    Scenario
        Van, trip, trials and seed; ``name`` defaults to the file's.

    Raises
    ------
    InputError
        The file can't be read, or something in it is not allowed: file, key and what is allowed are named.

    Examples
    --------
    >>> rt.load_scenario("nowhere.toml")
    Traceback (most recent call last):
    ridethrough.InputError: nowhere.toml: No such file or directory; ridethrough new nowhere.toml writes one
    """
    if not isinstance(path, (str, PathLike)):
        raise bad_input("path", path, allowed="the path of a scenario file")
    path = Path(path)
    try:
        text = path.read_bytes().decode("utf-8-sig")  # editors of Windows begin a file with a mark
    except OSError as error:
        hint = f"ridethrough new {path.name} writes one" if isinstance(error, FileNotFoundError) else ""
        raise bad_input(str(path), reason=error.strerror or str(error), hint=hint) from None
    except UnicodeDecodeError as error:
        raise bad_input(str(path), reason=f"not TOML: {error}") from None
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        why = toml_hints.explain_toml_error(text, str(error)) or "; ridethrough new FILE writes a file to begin with"
        raise bad_input(str(path), reason=f"not TOML: {error}{why}") from None
    try:
        return scenario_from_tables(data, path.stem, site)
    except _core.InputError as error:
        told = with_prefix(str(path), error)
        told.args = (str(told).replace(", or None", ""),)  # a file has no None
        raise told from None


def scenario_from_tables(data: dict[str, Any], stem: str, site: Site | None = None) -> Scenario:
    """The scenario of a file's tables; ``stem``: its name where they don't say one."""
    _require_filled_in(data)
    _known("", data, ["name", "title", "van", "trip", "run"])
    for key in ("name", "title"):
        if not isinstance(data.get(key, ""), str):
            raise bad_input(key, data[key], allowed="a text")
    if "trip" not in data:
        raise bad_input(
            "trip",
            reason="must be given as [trip], with start, nights and [trip.site], or start and [trip.stops.<name>]",
        )
    run = _table("run", data.get("run", {}))
    _known("run.", run, list(RUN))
    run = {key: require_run_value(f"run.{key}", key, value) for key, value in run.items()}
    van_table, trip_table, notes = _with_habits(_table("van", data.get("van", {})), _table("trip", data["trip"]))
    van = _configuration("van", Van, van_table)
    if site is not None and not {"site", "stops"} & trip_table.keys():
        trip_table = {**trip_table, "site": dict_format.configuration_to_dict(site)}
    trip = _configuration("trip", Trip, trip_table)
    return Scenario(name=data.get("name", stem), title=data.get("title", ""), van=van, trip=trip, notes=notes, **run)


def _require_filled_in(data: Mapping[str, Any]) -> None:
    """Names all that a starter file left open at once."""
    left = list(_open_keys(data, ""))
    if left:
        also = f", nor are {', '.join(left[1:])}" if left[1:] else ""
        raise bad_input(left[0], reason=f'not filled in yet{also}; write a value in place of "{OPEN}"')


def _open_keys(table: Mapping[str, Any], where: str) -> Iterator[str]:
    for key, value in table.items():
        if value == OPEN and key not in _TEXTS:
            yield f"{where}{key}"
        elif isinstance(value, Mapping):
            yield from _open_keys(value, f"{where}{key}.")
        elif isinstance(value, list):
            yield from _open_keys({str(place): one for place, one in enumerate(value, 1)}, f"{where}{key}.")


def _with_habits(
    van: Mapping[str, Any], trip: Mapping[str, Any]
) -> tuple[Mapping[str, Any], Mapping[str, Any], tuple[str, ...]]:
    """The tables with the loads and the party of habits written out, and what a reader has to know of it."""
    schema = Van._declaration
    known = [*(f.name for f in fields_of(schema)), *VAN_KEYS]
    for key in van:
        _require_not_moved("van", schema, key)
        if key not in known and not _core.nearest_name(key, known):
            _tell_the_hint(schema, key)
    _known("van.", van, known, schema)
    rest = {key: value for key, value in van.items() if key not in VAN_KEYS}
    ready = None
    if "habits" in van:
        try:
            ready = habits(van["habits"])
        except _core.InputError as error:
            raise with_new_path("habits", "van.habits", error) from None
        party = trip.get("party", {})
        if party != _NONE:
            party = {**dict_format.configuration_to_dict(ready.party), **_table("trip.party", party, f', or "{_NONE}"')}
        trip = {**trip, "party": party}
    usual = schema.field("loads").default_value if ready is None else ready.loads
    notes: tuple[str, ...] = ()
    if _only_these(van):
        rest["loads"] = _changed_loads({}, van["loads"])
    elif ready is not None or "loads" in van:
        rest["loads"] = _changed_loads({load.name: load for load in usual}, van.get("loads", {}))
        if ready is None and "only_these_loads" not in van:
            notes = _loads_note(van["loads"], [load.name for load in usual])
    return rest, trip, notes


def _tell_the_hint(schema: _core.Schema, key: str) -> None:
    """The declaration's own error of a key that it knows more of than that there is none."""
    try:
        schema.field(key)
    except _core.InputError as error:
        if error.hint:
            raise with_new_path("Van", "van", error) from None


def _only_these(van: Mapping[str, Any]) -> bool:
    only = van.get("only_these_loads", False)
    if not isinstance(only, bool):
        raise bad_input("van.only_these_loads", only, allowed="true or false")
    if only and "loads" not in van:
        raise bad_input(
            "van.only_these_loads",
            reason="there are no loads in the file; write [van.loads], empty for a van that has none but its fridge",
        )
    return only


def _changed_loads(usual: Mapping[str, Any], changes: Any) -> dict[str, Any]:
    """Tables of the usual loads with what a file's ``[van.loads]`` changes, adds and takes away."""
    loads: dict[str, Any] = {}
    for load in usual.values():
        table = dict_format.configuration_to_dict(load)
        table.pop("name", None)
        loads[load.name] = {"kind": type(load).__name__, **table}
    for name, change in _table("van.loads", changes).items():
        if name in VAN_KEYS:
            raise bad_input(f"van.loads.{name}", reason=f"no such load; {name} belongs under [van]")
        if change == _NONE:
            if name not in loads:
                raise no_such_load(f"van.loads.{name}", name, list(loads), _NONE)
            del loads[name]
        elif name in usual and isinstance(change, Mapping):
            same = change.get("kind", loads[name]["kind"]) == loads[name]["kind"]
            loads[name] = {**(loads[name] if same else {}), **change}
        else:
            loads[name] = change
    return loads


def _loads_note(loads: Mapping[str, Any], usual: list[str]) -> tuple[str, ...]:
    """What the default van's loads add to those of a file that does not say whether it means only its own."""
    given = [name for name, load in loads.items() if load != _NONE]
    added = [name for name in usual if name not in loads]
    if not added:
        return ()
    said, more = (", ".join(names).replace("_", " ") for names in (given, added))
    return (
        f"Loads: besides those in the file ({said or 'none'}) the van has the default ones: {more}. [van] "
        f'only_these_loads = true leaves these out, {added[0]} = "{_NONE}" under [van.loads] one of them, '
        "only_these_loads = false this note.",
    )


def _known(where: str, table: Mapping[str, Any], names: list[str], declaration: Any = None) -> None:
    for key in (key for key in table if key not in names):
        path, home = f"{where}{key}", table_of(key)
        if now := name_now(f"{declaration.name}.{key}") if declaration else "":
            raise renamed(path, now)
        hint = f"{key} belongs under [{home}]" if home and not _core.nearest_name(key, names) else ""
        error = unknown_name(path, NOT_GIVEN, names, "no such key", name=key, quoted=False, hint=hint)
        error.value = table[key]  # a table would make the text long
        raise error


def _table(where: str, value: Any, otherwise: str = "") -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise bad_input(where, value, allowed=f"a table{otherwise}")
    return value


def _configuration(where: str, cls: Any, table: Mapping[str, Any]) -> Any:
    """Inner tables first, so that an error names the table it is in."""
    schema = cls._declaration
    values: dict[str, Any] = {}
    for key, value in table.items():
        try:
            _require_known(where, schema, key)
            with _at(where, schema):
                field = schema.field(key)
        except _core.InputError as error:
            error.value = value
            raise
        if field.type == "part":
            values[key] = _inner(f"{where}.{key}", field, value)
        elif field.type == "parts" and (
            not dict_format.has_named_members(field) or (isinstance(value, list) and _goes_by_place(schema, field))
        ):
            values[key] = _members(f"{where}.{key}", field, value)
        elif field.type == "parts":
            members = _table(f"{where}.{key}", value)
            values[key] = [_member(f"{where}.{key}.{name}", name, field, inner) for name, inner in members.items()]
        else:
            with _at(where, schema):
                values[key] = dict_format.parse_value(schema, field, value)
    with _at(where, schema):
        return dict_format.construct(cls, values)


def _require_known(where: str, schema: Any, key: str) -> None:
    """Says more of a wrong key than the declaration can, which knows of no other table."""
    names = [field.name for field in fields_of(schema)]
    if key in names or name_now(f"{schema.name}.{key}"):
        return  # the declaration tells of a former name
    _require_not_moved(where, schema, key)
    if key == "type":
        raise bad_input(f"{where}.type", reason="no such key", choices=names, suggestion="kind")
    if 0 < len(homes := homes_of(key)) <= _FEW_HOMES:
        hint = f"it belongs under {' or '.join(homes)}"
        raise bad_input(f"{where}.{key}", reason="no such key", choices=names, hint=hint)


def _require_not_moved(where: str, schema: _core.Schema, key: str) -> None:
    """Says where a key of an earlier version is now."""
    if key in schema.moved:
        now, example = schema.moved[key]
        raise bad_input(f"{where}.{key}", reason=f"no such key; it is now {now}", hint=example)


def _goes_by_place(schema: _core.Schema, field: _core.Field) -> bool:
    """Whether a list's members need no names."""
    return any(one.only_of == field.name for one in schema.singulars)


@contextmanager
def _at(where: str, schema: _core.Schema) -> Iterator[None]:
    """Errors of the core say ``AgmBattery.capacity_ah``; the file's reader wants ``van.battery.capacity_ah``."""
    try:
        yield
    except _core.InputError as error:
        raise with_new_path(schema.name, where, error) from None


def _inner(where: str, field: Any, value: Any) -> Any:
    if value == _NONE and field.optional:
        return None
    table = dict(_table(where, value, f', or "{_NONE}"' if field.optional else ""))
    usual = next(iter(field.default_value), None) if field.type == "parts" else field.default_value
    cls = dict_format.class_for_table(where, field, table, usual)
    table.pop("kind", None)
    return _configuration(where, cls, table)


def _members(where: str, field: Any, value: Any) -> list[Any]:
    """Members of a list that have no names: ``[[trip.drives]]``."""
    if not isinstance(value, list):
        raise bad_input(where, value, allowed=f"a list of tables, each [[{where}]]")
    return [_inner(f"{where}.{place}", field, inner) for place, inner in enumerate(value, 1)]


def default_names(field: Any) -> dict[str, Any]:
    """Load classes by the name that their declaration gives them."""
    names = {CLASSES[kind]._declaration.field("name").default_value: CLASSES[kind] for kind in field.choices}
    names.pop(None, None)
    return names


def _member(where: str, name: str, field: Any, value: Any) -> Any:
    table = dict(_table(where, value, f', or "{_NONE}"' if field.name == "loads" else ""))
    if "name" in table:
        raise bad_input(f"{where}.name", reason="the name is that of the table")
    if len(field.choices) == 1:  # stops have one class and any name
        return _configuration(where, CLASSES[field.choices[0]], table | {"name": name})
    known = default_names(field)
    if not known:  # batteries have any name, and a usual kind
        return _inner(where, field, table | {"name": name})
    if "kind" not in table and name not in known:
        near = _core.nearest_name(name, list(known))
        hint = f"did you mean {near}?" if near else f"known are {', '.join(known)}."
        if field.name == "loads":
            reason = f'no load is known by that name; {hint} A load of your own has kind = "Appliance"'
        else:
            kinds = " or ".join(field.choices)
            reason = f"known without a kind are {', '.join(known)}; else allowed kind {kinds}"
        raise bad_input(where, reason=reason)
    cls = dict_format.class_for_table(where, field, table, None) if "kind" in table else known[name]
    table.pop("kind", None)
    return _configuration(where, cls, table | {"name": name})
