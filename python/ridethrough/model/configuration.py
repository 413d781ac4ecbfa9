"""The base of all configuration classes: access and replacement by dotted path, and plain dicts."""

from __future__ import annotations

import datetime
import inspect
from abc import abstractmethod
from collections.abc import Mapping
from typing import Any, ClassVar, Self, cast

import ridethrough._core as _core

from . import coordinates, dict_format, start_times, time_zones
from .checks import validate_mapping
from .configuration_table import configuration_html
from .declaration_text import fields_of
from .errors import bad_input, checked_call, require_whole_characters
from .given_values import facts_of, plain_values, unknown_names
from .named_parts import NamedParts

_core.Origin.__doc__ = """Whether a value is the default, was given, or was given as measured.

Attributes
----------
type : {"default", "given", "measured"}
    Where it is from.
date : str
    Of what was measured, the day; else empty.

Examples
--------
>>> checked = van.with_measured({"battery.capacity_ah": 142}, "2026-05-01")
>>> str(checked.origin("battery.capacity_ah")), checked.origin("fridge.volume_l").type
('measured on 2026-05-01', 'given')
"""
_DECLARATIONS = {schema.name: schema for schema in _core.schemas()}


def declaration(name: str) -> _core.Schema:
    """What the core declares of a class."""
    return _DECLARATIONS[name]


class Configuration(_core.Configuration):
    """Base of all configuration classes; `van.battery.capacity_ah` has the path ``"battery.capacity_ah"``.

    Examples
    --------
    >>> bigger = van.replace("battery.capacity_ah", 200)
    >>> bigger.get("battery.capacity_ah"), van.battery.capacity_ah, isinstance(van, rt.Configuration)
    (200.0, 150.0, True)
    """

    __slots__ = ()
    _declaration: ClassVar[_core.Schema]

    def __init_subclass__(cls, **_: Any) -> None:
        """A class of a declaration is told by the core's values, and signed with its fields."""
        cls.__module__ = "ridethrough"
        cls.__signature__ = _signature(cls._declaration)  # type: ignore[attr-defined]
        _core.Configuration._classes[cls.__name__] = cls

    def __init__(self, *unnamed: Any, **values: Any) -> None:
        """Values by the names of the parameters above; InputError for what is out of its range."""
        if unnamed:
            schema = type(self)._declaration
            raise bad_input(schema.name, unnamed[0], reason=_keyword_hint(schema, unnamed[0]))
        with facts_of(type(self)._declaration, values):
            super().__init__(type(self)._declaration, self._prepared(values, values))
        _check_zone(values)

    @checked_call
    def get(self, path: str) -> Any:
        """Value at a dotted path.

        Parameters
        ----------
        path : str
            Such as "battery.capacity_ah"; a member of a list goes by its name, or by its place, counted from 1.

        Returns
        -------
        object
            The number, spread, text or part there.

        Raises
        ------
        InputError
            A step that does not exist, with the nearest name or all that there are.
        """
        value: Any = self
        if not isinstance(path, str):
            raise bad_input("path", path, allowed="a dotted path, such as 'battery.capacity_ah'")
        for step in path.split("."):
            if isinstance(value, tuple):
                value = value[NamedParts(value).place_of(step, path)]
            elif isinstance(value, Configuration):
                value.schema.field(step)  # InputError with the nearest name
                value = getattr(value, step)
            else:
                absent = ", which is not given" if value is None else ""
                raise bad_input(path, reason=f"there is nothing inside the value before {step!r}{absent}")
        return value

    def replace(self, *path_and_value: Any, **changes: Any) -> Self:
        """Return a copy with other values: ``van.replace(towed=True)``, ``van.replace("loads.kettle.power_w", 900)``.

        Parameters
        ----------
        *path_and_value : (str, object), optional
            One dotted path and the value there.
        **changes : object
            Values by name; several dotted paths are given as ``**{"battery.capacity_ah": 200, "solar.rated_w":
            300}``.

        Returns
        -------
        same class
            The copy; this one does not change.

        Raises
        ------
        InputError
            A name that does not exist, or a value out of its range.
        """
        if path_and_value:
            changes = {**_one_path(path_and_value), **changes}
        changes = {_dotted(self, name): value for name, value in changes.items()}
        direct, inner = _group_by_first_step(changes)
        for name, deeper in inner.items():
            value = direct[name] if name in direct else self.get(name)
            direct[name] = _replace_inside(value, deeper, name)
        with facts_of(type(self)._declaration, direct):
            made = cast(Self, super().replace(**self._prepared(direct, {**self.values(), **direct})))
        _check_zone(direct)
        return made

    @classmethod
    def _prepared(cls, changes: dict[str, Any], all_values: Mapping[str, Any]) -> dict[str, Any]:
        """Values in the form in which the core takes them, with what they need of the others."""
        for name, value in changes.items():
            if isinstance(value, str):
                require_whole_characters(f"{cls._declaration.name}.{name}", value)
        changes = coordinates.read_all(cls._declaration.name, plain_values(cls._declaration, changes))
        changes = _give_climate_its_place(changes, {**all_values, **changes})
        if cls._declaration.name != "Trip":
            return changes
        if "start" not in all_values and not unknown_names(cls._declaration, changes):
            raise bad_input("Trip.start", reason="must be given", allowed=start_times.ALLOWED)
        if "start" not in changes:
            return changes
        return {**changes, "start": start_times.start_text(changes["start"], all_values)}

    @checked_call
    def origin(self, path: str) -> _core.Origin:
        """Whether a value is the ``default``, was ``given``, or was given as ``measured``, and when.

        Values that are equal are equal whatever their origin; no answer hangs on it.

        Parameters
        ----------
        path : str
            Dotted path of the value.

        Returns
        -------
        Origin
            ``.type`` and, of what was measured, ``.date``.
        """
        owner, name = _owner_and_name(path)
        return _core.Configuration.origin(self._part(owner, path), name)

    @checked_call
    def with_measured(self, values: Mapping[str, Any], date: str | datetime.date) -> Self:
        """Return a copy with numbers that were measured on a day.

        Parameters
        ----------
        values : dict of str to float or Spread
            By dotted path: ``van.with_measured({"battery.capacity_ah": 92}, "2026-05-01")``.
        date : str or date
            Of the measurement.

        Returns
        -------
        same class
            The copy, which a scenario file keeps with the day.

        Raises
        ------
        InputError
            A path that does not exist, a value that is no number or out of its range, or no date.
        """
        values = validate_mapping("values", values, "a dict of dotted paths to what was measured")
        if isinstance(date, datetime.date):
            date = date.isoformat()[:10]
        if not isinstance(date, str):
            raise bad_input("date", date, allowed='a day, such as "2026-05-01"')
        by_owner: dict[str, dict[str, Any]] = {}
        for path, value in values.items():
            owner, name = _owner_and_name(path)
            by_owner.setdefault(owner, {})[name] = value
        made = self
        for owner, own in by_owner.items():
            part = _core.Configuration.with_measured(made._part(owner, owner), own, date)
            made = made.replace(**{owner: part}) if owner else cast(Self, part)
        return made

    def _part(self, path: str, asked: str) -> Configuration:
        part = self.get(path) if path else self
        if not isinstance(part, Configuration):
            raise bad_input(asked, reason=f"there is nothing inside {part!r}")
        return part

    def _repr_html_(self) -> str:
        """What is not at its default, as a table for notebooks."""
        return configuration_html(self)

    def to_dict(self) -> dict[str, Any]:
        """Plain dict of all that is not at its default or was measured, for scenario files.

        Returns
        -------
        dict
            Numbers, texts, lists and dicts; :meth:`from_dict` reads it.
        """
        return dict_format.configuration_to_dict(self)

    @classmethod
    @checked_call
    def from_dict(cls, data: Mapping[str, Any]) -> Self:
        """Inverse of :meth:`to_dict`; what is left out takes its default.

        Parameters
        ----------
        data : dict
            As :meth:`to_dict` gives it, or a table of a scenario file.

        Returns
        -------
        same class
            The configuration.

        Raises
        ------
        InputError
            A name that does not exist, or a value out of its range.
        """
        return cast(Self, dict_format.configuration_from_dict(cls, data))


def _signature(schema: _core.Schema) -> inspect.Signature:
    nothing, by_name = inspect.Parameter.empty, inspect.Parameter.KEYWORD_ONLY
    return inspect.Signature(
        [
            inspect.Parameter(field.name, by_name, default=nothing if field.required else field.default_value)
            for field in fields_of(schema)
        ]
    )


_REPLACE_HINT = (
    'or takes one path and its value: replace(battery=...), replace("battery.capacity_ah", 200) or '
    'replace(**{"battery.capacity_ah": 200})'
)


def _one_path(path_and_value: tuple[Any, ...]) -> dict[str, Any]:
    if len(path_and_value) != 2 or not isinstance(path_and_value[0], str):
        raise bad_input("replace", path_and_value[0], reason="takes its values by name", hint=_REPLACE_HINT)
    return {path_and_value[0]: path_and_value[1]}


def _dotted(part: Configuration, name: str) -> str:
    """The name of a field; InputError with the dotted path where a path was written with underscores."""
    fields = [field.name for field in fields_of(part.schema)]
    first, *rest = name.split(".")
    if first not in fields and not rest:
        for field in fields:
            inner = name.removeprefix(field).lstrip("_")
            if name.startswith(f"{field}_") and inner and _reaches(part, f"{field}.{inner}"):
                path = f"{field}.{inner}"
                hint = f'paths have dots: replace("{path}", ...)'
                where, what = f"{part.schema.name}.{name}", "no such field"
                raise bad_input(where, reason=what, choices=fields, hint=hint, suggestion=path)
    return name


def _reaches(part: Configuration, path: str) -> bool:
    try:
        part.get(path)
    except _core.InputError:
        return False
    return True


def _check_zone(values: Mapping[str, Any]) -> None:
    """The core has no list of time zones."""
    if isinstance(name := values.get("time_zone"), str):
        time_zones.require_zone(name)


def _keyword_hint(schema: _core.Schema, value: object) -> str:
    if isinstance(value, _core.Configuration):
        names = [field.name for field in fields_of(schema) if type(value).__name__ in field.choices]
        such = f", such as {schema.name}({names[0]}=...)" if names else ""
        return f"{schema.name} takes its values by name{such}"
    kinds = ("number", "integer", "days") if isinstance(value, (int, float)) else ("text", "choice")
    fields = fields_of(schema)
    name = next((field.name for field in fields if field.type in kinds), fields[0].name)
    return f"{schema.name} takes its values by name, such as {schema.name}({name}={value!r})"


def _owner_and_name(path: object) -> tuple[str, str]:
    if not isinstance(path, str):
        raise bad_input("path", path, allowed="a dotted path, such as 'battery.capacity_ah'")
    owner, _, name = path.rpartition(".")
    return owner, name


class Unplaced:
    """What was measured at a place that is not known yet; the site that it is given to knows it."""

    @abstractmethod
    def at(self, latitude: float, longitude: float) -> Configuration:
        """The configuration for a place [deg]."""


def _give_climate_its_place(changes: dict[str, Any], all_values: Mapping[str, Any]) -> dict[str, Any]:
    """Measured weather of no known place takes that of the site it is given to."""
    climate = changes.get("climate")
    if not isinstance(climate, Unplaced) or not {"latitude", "longitude"} <= all_values.keys():
        return changes
    return {**changes, "climate": climate.at(all_values["latitude"], all_values["longitude"])}


def _group_by_first_step(changes: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, dict[str, Any]]]:
    direct: dict[str, Any] = {}
    inner: dict[str, dict[str, Any]] = {}
    for path, value in changes.items():
        first, dot, rest = path.partition(".")
        if dot:
            inner.setdefault(first, {})[rest] = value
        else:
            direct[first] = value
    return direct, inner


def _replace_inside(value: Any, changes: Mapping[str, Any], path: str) -> Any:
    if isinstance(value, Configuration):
        return value.replace(**changes)
    if not isinstance(value, (tuple, list)) or not all(isinstance(member, Configuration) for member in value):
        raise bad_input(path, reason=f"there is nothing inside {value!r}")
    members, places = list(value), NamedParts(value)
    direct, inner = _group_by_first_step(changes)
    for step, member in direct.items():
        if member is None:
            hint = f'van.without("{step}") takes it away' if path == "loads" else "give the whole list without it"
            raise bad_input(f"{path}.{step}", None, reason="a member of a list can't be None", hint=hint)
        members[places.place_of(step, path)] = member
    for step, deeper in inner.items():
        i = places.place_of(step, path)
        members[i] = members[i].replace(**deeper)
    return members
