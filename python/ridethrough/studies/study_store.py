"""Keeps the finished cells of a study in a Zarr store, so that the same call resumes where it stopped."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.classes import Trip
from ..model.clocks import clock_of
from ..model.errors import bad_input, missing_package
from ..model.places import places_of
from .grid import Grid

if TYPE_CHECKING:
    import xarray
    from zarr.abc.store import Store

Details = dict[str, dict[str, str]]

GROUP = "cells"
_NAMED, _TEXT = 3, 100  # differences that an error names, and the longest text of a value
_FORMAT: Literal[2] = 2  # the third has no settled form for texts yet
_MOST_CLOCKS = 2000  # kept as text, to name a difference; of more only the digest
_ROWS = 64  # of a chunk: a write rewrites this much, atomically; a million cells are 16,000 files

StorePlace: TypeAlias = "str | os.PathLike[str] | Store"  # where a study is kept: a path, or a store of Zarr


class StudyStore:
    """The rows of numbers of a study's finished cells; one process writes to it at a time.

    A row goes to the store whole and before its cell is reported as done: a process that is killed at any moment
    leaves finished rows and untouched ones (NaN in their first number, the count of trials), nothing between.
    """

    def __init__(
        self,
        store: StorePlace,
        identity: dict[str, str],
        details: Details,
        clocks: dict[str, str],
        names: list[str],
        cells: int,
        width: int,
    ) -> None:
        try:
            import zarr
        except ImportError:
            raise missing_package("store needs zarr", "pip install '.[study]' in a checkout") from None
        identity = identity | {"clocks": _digest(clocks)}
        details = details | ({"clocks": clocks} if len(clocks) <= _MOST_CLOCKS else {})
        self._identity = identity
        self._store = store
        try:
            root = zarr.open_group(store, mode="a", zarr_format=_FORMAT)
        except TypeError:
            raise bad_input("store", store, allowed="the path of a Zarr store, or a store of Zarr") from None
        if GROUP in root:
            attributes = root.attrs.asdict()
            self._check(attributes, details)
            self._rows: Any = root[GROUP]
        elif list(root.keys()) or dict(root.attrs):
            raise bad_input("store", store, reason="holds something else than a study; give a new or empty one")
        else:
            root.attrs["study"], root.attrs["details"] = identity, details
            self._rows = root.create_array(
                GROUP,
                shape=(cells, width),
                chunks=(_ROWS, width),
                dtype="float64",
                fill_value=float("nan"),
                attributes={"columns": names, "about": "a row of numbers for each cell, the last axis fastest"},
            )

    def _check(self, attributes: dict[str, Any], details: Details) -> None:
        there, details_there = (attributes.get(name) or {} for name in ("study", "details"))
        for what, ours in self._identity.items():
            if there.get(what) == ours:
                continue
            if what in details:
                said = _differences(details_there.get(what, {}), details[what]) or f"{what} is not the same"
            else:
                said = f"{what} is {there.get(what, 'unknown')} there, {ours} here"
            raise bad_input("store", reason=f"holds another study: {said}; give another store, or the same study")

    def read(self) -> NDArray[np.float64]:
        """The rows kept so far; NaN in those of cells that are not finished."""
        return np.asarray(self._rows[:])

    def write(self, cells: list[int], rows: NDArray[np.float64]) -> None:
        """Keep the rows of finished cells."""
        if cells[-1] - cells[0] == len(cells) - 1:
            self._rows[cells[0] : cells[-1] + 1] = rows
        else:
            for cell, row in zip(cells, rows, strict=True):
                self._rows[cell] = row

    def close(self, dataset: xarray.Dataset) -> None:
        """Put the whole study beside the rows: ``xarray.open_zarr(store, group="labelled")``."""
        dataset.to_zarr(self._store, group="labelled", mode="w", consolidated=False, zarr_format=_FORMAT)


def clocks_of(grid: Grid) -> dict[str, str]:
    """The clock of every trip of the grid, by what it follows from.

    On other time-zone data the same study may have others. InputError where a start lies in an hour that is skipped.
    """
    return {
        f"clock of {_clock_name(trip)}": f"{clock.zone or clock.source} {clock.utc_offset_h:+g} h {clock.changes}"
        for trip, clock in ((trip, clock_of(trip)) for trip in grid.dated_trips())
    }


def _clock_name(trip: Trip) -> str:
    place = places_of(trip)[0]
    return f"{place.name} ({place.site.latitude:g}, {place.site.longitude:g}) from {trip.start}"


def identity_of(grid: Grid, **settings: object) -> dict[str, str]:
    """What makes a study the same one: short texts by name, compared one by one so that a refusal can say which."""
    axes = {f"axis {axis.name}": _digest([axis.labels, [dict(c) for c in axis.changes]]) for axis in grid.axes}
    return {
        **{name: str(value) for name, value in settings.items()},
        "axes": ", ".join(f"{axis.name} ({len(axis.labels)})" for axis in grid.axes),
        **axes,
        "van": _digest(grid.van),
        "trip": _digest(grid.trip),
    }


def details_of(grid: Grid) -> Details:
    """Of what the identity has a digest: the values by path, to say what differs."""
    axes = {f"axis {axis.name}": {f"axis {axis.name}": repr(list(axis.labels))} for axis in grid.axes}
    whole = {"van": grid.van, "trip": grid.trip}
    return {**axes, **{name: dict(_by_path(name, part)) for name, part in whole.items()}}


def _by_path(path: str, value: object) -> Iterator[tuple[str, str]]:
    if isinstance(value, _core.Configuration):
        yield path, type(value).__name__
        for name, inner in value.values().items():
            is_list = isinstance(inner, tuple) and any(isinstance(member, _core.Configuration) for member in inner)
            for at, part in zip(value.paths_of(name), inner, strict=True) if is_list else [(name, inner)]:
                yield from _by_path(f"{path}.{at}", part)
    else:
        yield path, repr(value)


def _short(text: str) -> str:
    return text if len(text) <= _TEXT else text[: _TEXT - 3] + "..."


def _differences(there: dict[str, str], here: dict[str, str]) -> str:
    paths = [path for path in {**there, **here} if there.get(path) != here.get(path)]
    texts = [(p, *(_short(side.get(p, "nothing")) for side in (there, here))) for p in paths[:_NAMED]]
    said = [f"{path} is {theirs} there, {ours} here" for path, theirs, ours in texts]
    more = [f"{len(paths) - _NAMED} more"] if len(paths) > _NAMED else []
    return "; ".join([*said, *more])


def _digest(value: object) -> str:
    return "digest " + hashlib.sha256(_text(value).encode()).hexdigest()[:16]


def _text(value: object) -> str:
    """Text that two values share only if they are equal; of measured records the digest stands for the hours."""
    if isinstance(value, _core.Configuration):
        return f"{type(value).__name__}:{value.digest:x}"
    if isinstance(value, dict):
        return "{" + ",".join(f"{key}:{_text(v)}" for key, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ",".join(map(_text, value)) + "]"
    return repr(value)
