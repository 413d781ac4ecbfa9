"""Grids of vans and trips: axes of values at dotted paths, and the cells that they span."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any, SupportsInt

import numpy as np

import ridethrough._core as _core

from ..model.checks import is_number, validate_mapping
from ..model.classes import Site, Trip, Van
from ..model.coordinates import coordinates_text
from ..model.errors import bad_input
from ..model.parameter_paths import field_at, replace_values
from ..model.values import to_python_value

MOST_CELLS = 10_000_000
Axes = Mapping[str, Iterable[object] | Mapping[Any, object]]  # values, or labels to values, by dotted path


@dataclass(frozen=True)
class Axis:
    """One dimension: what each of its values changes, and what it is called."""

    name: str
    labels: tuple[object, ...]
    changes: tuple[Mapping[str, Any], ...]
    times: bool = False  # labels are texts of what was given as times

    @property
    def coordinate(self) -> Any:
        """Labels as a dataset has them: times as times."""
        return np.array(self.labels, dtype="datetime64[ns]") if self.times else list(self.labels)

    def place_coordinates(self, taken: set[str]) -> dict[str, tuple[str, list[float], dict[str, str]]]:
        """Latitude and longitude along an axis of sites."""
        sites = [changes.get("trip.site") for changes in self.changes]
        if not all(isinstance(site, Site) for site in sites):
            return {}
        return {
            name: (self.name, [float(getattr(site, name)) for site in sites], {"units": unit, "long_name": name})
            for name, unit in (("latitude", "degrees_north"), ("longitude", "degrees_east"))
            if name not in taken
        }

    def place_of(self, given: object) -> int | None:
        """Where a label stands, or the value that it was made of."""
        value = to_python_value(given)
        for place, (label, changes) in enumerate(zip(self.labels, self.changes, strict=True)):
            if _same(label, given) or _same(changes.get(self.name, label), value):
                return place
        return None


@dataclass(frozen=True)
class Grid:
    """All combinations of the axes' values over a van and a trip; cells count with the last axis fastest."""

    van: Van
    trip: Trip
    axes: tuple[Axis, ...]

    @cached_property
    def shape(self) -> tuple[int, ...]:
        """Number of values on each axis."""
        return tuple(len(axis.labels) for axis in self.axes)

    @property
    def cells(self) -> int:
        """Number of combinations."""
        return math.prod(self.shape)

    def cell(self, index: int) -> tuple[Van, Trip]:
        """Van and trip of a cell."""
        return self._at(np.unravel_index(index, self.shape))

    def base_of(self, index: int, base: Mapping[str, int]) -> int:
        """The cell that a cell is compared with: the base's places on its axes, the cell's own on the others."""
        places = np.unravel_index(index, self.shape)
        moved = [base.get(axis.name, int(place)) for axis, place in zip(self.axes, places, strict=True)]
        return int(np.ravel_multi_index(moved, self.shape))

    def base_places(self, base: Mapping[str, Any]) -> dict[str, int]:
        """Places on the axes of the labels that name a base."""
        labels = {axis.name: axis.labels for axis in self.axes}
        if not isinstance(base, Mapping) or not base:
            raise bad_input("base", base, allowed="a dict of an axis or more to a label on it")
        for name, label in base.items():
            if name not in labels:
                near = _core.nearest_name(str(name), list(labels))
                raise bad_input(f"base[{name!r}]", label, allowed=f"axes {', '.join(labels)}", suggestion=near)
        found = {axis.name: axis.place_of(base[axis.name]) for axis in self.axes if axis.name in base}
        for name, place in found.items():
            if place is None:
                raise bad_input(f"base[{name!r}]", base[name], allowed=", ".join(map(repr, labels[name])))
        return {name: place for name, place in found.items() if place is not None}

    def edges(self) -> Iterator[tuple[Van, Trip]]:
        """Every value of every axis once, with the first ones of the other axes."""
        yield self._at([0] * len(self.axes))
        for which, axis in enumerate(self.axes):
            for i in range(1, len(axis.labels)):
                yield self._at([i if k == which else 0 for k in range(len(self.axes))])

    def dated_trips(self) -> Iterator[Trip]:
        """The trips that differ in place, start or length, each once or more."""
        moving = [any(_moves(path) for changes in axis.changes for path in changes) for axis in self.axes]
        counts = [n if moves else 1 for n, moves in zip(self.shape, moving, strict=True)]
        for places in np.ndindex(*counts):
            yield self._at(places)[1]

    def name(self, index: int) -> str:
        """What a cell is called in a message."""
        places = np.unravel_index(index, self.shape)
        return ", ".join(f"{a.name} = {a.labels[i]!r}" for a, i in zip(self.axes, places, strict=True)) or "the cell"

    def _at(self, places: Iterable[SupportsInt]) -> tuple[Van, Trip]:
        changes: dict[str, Any] = {}
        for axis, i in zip(self.axes, places, strict=True):
            changes |= axis.changes[int(i)]
        van, trip = (
            changes.pop("van", self.van),
            changes.pop("trip", self.trip),
        )  # an axis may replace the whole van or trip
        for name, value, usual in (("van", van, self.van), ("trip", trip, self.trip)):
            if type(value) is not type(usual):
                raise bad_input(name, value, reason=f"must be a {name.capitalize()}")
        return replace_values(van, trip, changes)

    def units(self, axis: Axis) -> dict[str, str]:
        """Unit and meaning of an axis that is one number of the van or trip."""
        if any(set(changes) != {axis.name} for changes in axis.changes) or axis.name in ("van", "trip"):
            return {}
        field = field_at(*self._at([0] * len(self.axes)), axis.name)
        if field.type not in ("number", "integer"):
            return {"long_name": field.doc}
        unit = {"": "1", "C": "degC"}.get(field.unit, field.unit)  # C is the coulomb's symbol
        return {"units": unit, "long_name": field.doc}


def _moves(path: str) -> bool:
    return path.split(".")[:2] in (["trip"], *(["trip", name] for name in ("start", "site", "nights", "stops")))


def grid_of(van: Van, trip: Trip, axes: Mapping[str, Any]) -> Grid:
    """The grid of ``{path: values}``; values are a list, or a dict of labels to values or to several changes each."""
    axes = validate_mapping("axes", axes, "a dict of dotted paths, or of names, to values")
    made = tuple(_axis(name, values) for name, values in axes.items())
    taken: dict[str, str] = {}
    for axis in made:
        for path in {path for changes in axis.changes for path in changes}:
            if path in taken:
                raise bad_input("axes", reason=f"{taken[path]!r} and {axis.name!r} both change {path!r}")
            taken[path] = axis.name
    grid = Grid(van, trip, made)
    if grid.cells > MOST_CELLS:
        raise bad_input("axes", reason=f"{grid.cells:,} cells", allowed=f"{MOST_CELLS:,}: sweep in parts")
    return grid


def _axis(name: str, values: object) -> Axis:
    times = False
    if isinstance(values, (str, bytes)) or not isinstance(values, Iterable) or getattr(values, "ndim", 1) == 0:
        hint = f'write {{"{name}": [{values!r}]}}' if is_number(values) else ""
        raise bad_input(f"axes[{name!r}]", values, allowed="a list of values, or a dict of labels to values", hint=hint)
    if isinstance(values, Mapping):
        labels = tuple(values)
        changes = tuple(dict(v) if isinstance(v, Mapping) else {name: v} for v in values.values())
    else:
        listed = list(values)
        plain = [to_python_value(v) for v in listed]
        times = all(
            isinstance(v, (datetime, np.datetime64)) and isinstance(p, str) and len(p) < 17
            for v, p in zip(listed, plain, strict=True)
        )  # those of a zone stay texts
        labels = _labels(plain)
        changes = tuple({name: v} for v in plain)
    if not labels:
        raise bad_input("axes", reason=f"{name} has no values")
    if len(set(labels)) < len(labels):
        raise bad_input(
            "axes", reason=f"{name} has two values called {_twice(labels)!r}; give a dict of labels to values"
        )
    return Axis(name, labels, changes, times)


def _same(a: object, b: object) -> bool:
    return (type(a) is type(b) or (is_number(a) and is_number(b))) and bool(a == b)


def _labels(values: list[object]) -> tuple[object, ...]:
    """Labels of one kind, as a coordinate has them: numbers, with NaN where there is none, yes and no, or texts."""
    if all(value is None or is_number(value) for value in values) and any(map(is_number, values)):
        return tuple(np.nan if value is None else value for value in values)
    labels = tuple(map(_label, values))
    return labels if len({*map(type, labels)}) == 1 else tuple(map(str, labels))


def _label(value: object) -> object:
    """Yes and no and texts are their own labels; configurations go by a name, or by where they are."""
    if isinstance(value, (bool, str)):
        return value
    for named in (value, getattr(value, "climate", None)):
        if isinstance(name := getattr(named, "name", None), str) and name:
            return name
    if isinstance(value, Site):
        return coordinates_text(value.latitude, value.longitude, " ")
    return "none" if value is None else str(value) if is_number(value) else repr(value)


def _twice(labels: tuple[object, ...]) -> object:
    return next(label for i, label in enumerate(labels) if label in labels[:i])
