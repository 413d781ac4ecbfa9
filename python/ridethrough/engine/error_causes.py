"""Known causes of an error of the chance: how large each is, where it acts in a van and a trip, and how it is drawn.

`data/error_causes.toml` says of each how far the middle of a figure may lie from the truth where nobody has measured
it. Only that is drawn here, one value a trial, on top of the spread that the field has: what differs from trip to trip
stays. Both together are one quantity, so a field is given a table of values in place of its spread, each the sum or
product of a quantile of the spread and of a score of the cause. The draw of the field picks one, so that no other draw
moves, and the value that a trial had tells the score.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.classes import Trip, Van
from ..model.parameter_paths import field_at, replace_values, split_path, value_at
from ..model.values import mean_value
from ..model.van_parts import in_common

Array = NDArray[np.float64]

TABLE = Path(__file__).parents[1] / "data" / "error_causes.toml"
POINTS = 512  # values of a table: a power of two
STEP = 1e-6  # of a field's range, by which values at its ends are kept apart


@dataclass(frozen=True)
class Group:
    """Causes that one measurement settles: in an owner's words, and that measurement."""

    words: str
    measure: str


@dataclass(frozen=True)
class Cause:
    """One row of the table; the file tells what the columns are."""

    name: str
    group: str
    words: str
    fields: tuple[str, ...]
    change: str
    sd: float
    unit: str
    source: str
    measured_sd: float | None = None
    battery: str | None = None
    in_trials: bool = False

    def moved(self, values: Array, shift: Array | float) -> Array:
        """Values of a field, moved."""
        return values * np.exp(shift) if self.change == "factor" else values + shift


@dataclass(frozen=True)
class Place:
    """A field of a van or a trip that a cause acts on, and how far."""

    cause: Cause
    path: str
    sd: float


_STORED: dict[str, Any] = tomllib.loads(TABLE.read_text(encoding="utf-8"))
GROUPS = {name: Group(**row) for name, row in _STORED["groups"].items()}
CAUSES = {
    name: Cause(**{"name": name, **row, "fields": tuple(row["fields"])}) for name, row in _STORED["causes"].items()
}
CORRELATIONS = {frozenset(row["causes"]): float(row["correlation"]) for row in _STORED["correlations"]}


def correlation_matrix(names: Sequence[str]) -> Array:
    """Of these causes with each other."""
    found = np.eye(len(names))
    for i, first in enumerate(names):
        for j, second in enumerate(names):
            if i != j:
                found[i, j] = CORRELATIONS.get(frozenset((first, second)), 0.0)
    return found


def places_of_causes(van: Van, trip: Trip) -> list[Place]:
    """Where the causes act in this van on this trip; the places of the trip have their climates."""
    found = []
    for cause in CAUSES.values():
        if cause.battery is not None and cause.battery != type(in_common(van)).__name__:
            continue
        for pattern in cause.fields:
            for path in _paths(van, trip, pattern):
                place = _place(van, trip, cause, path)
                if place is not None:
                    found.append(place)
    return found


def _paths(van: Van, trip: Trip, pattern: str) -> Iterator[str]:
    head, _, name = pattern.rpartition(".")
    if head.startswith("loads."):
        kind = head.removeprefix("loads.")
        yield from (f"loads.{load.name}.{name}" for load in van.loads if type(load).__name__ == kind)
    elif head.startswith("sites."):
        if trip.weather == "generated":
            sites = [f"trip.stops.{stop.name}.site" for stop in trip.stops] or ["trip.site"]
            yield from (f"{site}.climate.{name}" for site in sites)
    elif head.endswith(".*"):
        parts = zip(van.paths_of(head[:-2]), van.get(head[:-2]), strict=True)
        for path, part in parts:
            replaced = name == "capacity_ah" and part.get("measured_capacity_ah") is not None
            if not replaced:
                yield f"{path}.{name}"
    else:
        yield pattern


def _place(van: Van, trip: Trip, cause: Cause, path: str) -> Place | None:
    value, field = value_at(van, trip, path), field_at(van, trip, path)
    if value is None or field.variation == "fixed":
        return None
    if isinstance(value, _core.Spread) and value.per not in (None, "trial"):
        return None
    if cause.change == "factor" and mean_value(value) == 0:
        return None
    side, inner = split_path(path)
    measured = (van if side == "van" else trip).origin(inner).type == "measured"
    sd = cause.measured_sd if measured and cause.measured_sd is not None else cause.sd
    return Place(cause, path, sd)


@dataclass(frozen=True)
class Column:
    """How the score of a cause at one place follows from the value that a trial drew there."""

    place: Place
    parameter: int  # among those of the compiled trip
    values: Array  # rising
    scores: Array

    def scores_of(self, drawn: Array) -> Array:
        """The scores of what was drawn."""
        between = (self.values[1:] + self.values[:-1]) / 2
        found: Array = self.scores[np.searchsorted(between, drawn)]
        return found


def move_all(van: Van, trip: Trip, places: Sequence[Place]) -> tuple[Van, Trip, dict[str, tuple[Array, Array]]]:
    """The van and the trip with all causes drawn, and by path the table of values with their scores."""
    tables, changes = {}, {}
    for place in places:
        value, field = value_at(van, trip, place.path), field_at(van, trip, place.path)
        if _holds_itself(place, value):
            tables[place.path] = _kept_apart(_quantiles(value, field), field), np.sort(_normal_scores())
        elif (table := _table(value, field, place)) is not None:
            tables[place.path] = table
            changes[place.path] = _discrete(table[0])
    return (*replace_values(van, trip, changes), tables)


def columns_of(compiled: _core.Compiled, trip: Trip, places: Sequence[Place], tables: Any) -> list[Column]:
    """A column for each place that the compiled trip draws; climates of one source draw once for all of them."""
    where = {path_in_scenario(trip, compiled.parameter_paths[i]): i for i in compiled.spread_parameters}
    return [Column(p, where[p.path], *tables[p.path]) for p in places if p.path in where and p.path in tables]


def path_in_scenario(trip: Trip, path: str) -> str:
    """The draws of the first place's climate are called ``climate.``, wherever it stands."""
    where = f"trip.stops.{trip.stops[0].name}" if trip.stops else "trip"
    return f"{where}.site.{path}" if path.startswith("climate.") else path


def fixed_value(value: Any, field: _core.Field, place: Place, score: float) -> Any:
    """What stands in a field where the cause has one score throughout: another van of this kind."""
    if _holds_itself(place, value):
        return value.quantile(NormalDist().cdf(score), field.low, field.high)
    values = np.clip(place.cause.moved(_quantiles(value, field), place.sd * score), field.low, field.high)
    return float(values[0]) if np.ptp(values) == 0 else _discrete(_kept_apart(values, field))


def _holds_itself(place: Place, value: Any) -> bool:
    return place.cause.in_trials and isinstance(value, _core.Spread)


@cache
def _normal_scores() -> Array:
    """Normal scores in the order of a van der Corput sequence: beside any rising table they are spread evenly."""
    bits = POINTS.bit_length() - 1
    reversed_bits = [int(f"{i:0{bits}b}"[::-1], 2) for i in range(POINTS)]
    return np.array([NormalDist().inv_cdf((i + 0.5) / POINTS) for i in reversed_bits])


def _quantiles(value: Any, field: _core.Field) -> Array:
    if not isinstance(value, _core.Spread):
        return np.full(POINTS, float(value))
    return np.array([value.quantile((i + 0.5) / POINTS, field.low, field.high) for i in range(POINTS)])


def _table(value: Any, field: _core.Field, place: Place) -> tuple[Array, Array] | None:
    """Rising values of the spread and the cause together, with the cause's scores; None where nothing moves."""
    scores = _normal_scores()
    values = place.cause.moved(_quantiles(value, field), place.sd * scores)
    order = np.argsort(values, kind="stable")
    values = _kept_apart(np.clip(values[order], field.low, field.high), field)
    return (values, scores[order]) if np.ptp(values) > 2 * POINTS * STEP * (field.high - field.low) else None


def _kept_apart(values: Array, field: _core.Field) -> Array:
    """Rising values without repeats, so that each tells its score."""
    ramp = STEP * (field.high - field.low) * np.arange(len(values))
    rising = np.maximum.accumulate(np.sort(values) - ramp) + ramp
    found: Array = np.minimum(np.maximum(rising, field.low + ramp), field.high - ramp[::-1])
    return found


def _discrete(values: Array) -> _core.Spread:
    return _core.discrete(values.tolist(), [1.0] * len(values), per=None)
