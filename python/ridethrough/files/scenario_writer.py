"""Writes scenario files: what is not at its default, each line with its unit and what it is.

A file reads back as an equal van and trip, and the other way round; see ``scenario``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from os import PathLike
from pathlib import Path
from typing import Any

from ..model.charge_limit import require_charge_limit
from ..model.checks import TRIALS
from ..model.classes import Trip, Van
from ..model.configuration import Configuration
from ..model.declaration_text import fields_of
from ..model.errors import bad_input, checked_call, require_whole_characters
from ..model.parameter_help import VAN_KEYS
from ..model.places import places_of
from . import toml_writer
from .run_values import require_run_value
from .scenario import Scenario, default_names
from .whole_file import write_whole

Comments = dict[tuple[str, ...], str]  # by the keys that lead to a value


@checked_call
def save_scenario(
    path: str | Path,
    van: Van,
    trip: Trip,
    *,
    name: str = "",
    title: str = "",
    trials: int = TRIALS,
    seed: int = 0,
    charge_limit: float | None = None,
    overwrite: bool = False,
) -> None:
    """Write a van and a trip as a commented scenario file, which :func:`load_scenario` reads back as they are.

    Parameters
    ----------
    path : str or Path
        The file, by custom with the suffix ``.toml``.
    van, trip : Van, Trip
        What is written, with the day on which a value was measured. Values at their defaults are left out.
    name, title : str
        Of the scenario; the name defaults to the file's.
    trials, seed : int
        With which the file is simulated by ``ridethrough run FILE``.
    charge_limit : float, optional
        The charge, as a share of full, that the owner doesn't take the battery below.
    overwrite : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    InputError
        The file is there or cannot be written, or something in the van or the trip has no place in a scenario file,
        such as a measured weather series.

    Examples
    --------
    >>> rt.save_scenario("autumn.toml", van, trip, overwrite=True)
    >>> rt.load_scenario("autumn.toml").trip == trip
    True
    """
    if not isinstance(path, (str, PathLike)):
        hint = "the path comes first: save_scenario(path, van, trip)"
        raise bad_input("path", path, allowed="the path of the file", hint=hint)
    path = Path(path)
    limit = None if charge_limit is None else require_charge_limit("charge_limit", charge_limit)
    trials, seed = require_run_value("trials", "trials", trials), require_run_value("seed", "seed", seed)
    for key, value in (("name", name), ("title", title)):
        _require_text(key, value)
    _require("van", van, Van)
    _require("trip", trip, Trip)
    name = name or path.stem
    _require_text("path", name)
    scenario = Scenario(name=name, title=title, van=van, trip=trip, trials=trials, seed=seed, charge_limit=limit)
    write_whole(path, dump_scenario(scenario), overwrite=overwrite)


def _require_text(name: str, value: object) -> None:
    if not isinstance(value, str):
        raise bad_input(name, value, allowed="a text")
    require_whole_characters(name, value)


def _require(name: str, value: Any, cls: type) -> None:
    if not isinstance(value, cls):
        raise bad_input(name, value, allowed=f"a {cls.__name__}")


def dump_scenario(scenario: Scenario) -> str:
    """Commented TOML text that reads back as an equal scenario; what is at its default is left out."""
    _refuse_what_has_no_place(scenario)
    van = scenario.van.to_dict()
    if "loads" in van:
        van = {"only_these_loads": True, **van}
    known = {name: cls.__name__ for name, cls in default_names(Van._declaration.field("loads")).items()}
    for name, load in van.get("loads", {}).items():
        if load["kind"] == known.get(name):
            del load["kind"]
    head = {"name": scenario.name} | ({"title": scenario.title} if scenario.title else {})
    run: dict[str, Any] = {"trials": scenario.trials, "seed": scenario.seed}
    if scenario.charge_limit is not None:
        run["charge_limit"] = scenario.charge_limit
    data: dict[str, Any] = head | {"run": run} | ({"van": van} if van else {}) | {"trip": scenario.trip.to_dict()}
    comments: Comments = {("van", "only_these_loads"): "without it the default van's loads would be added"}
    comments |= dict(_comments(("van",), scenario.van, van)) | dict(_comments(("trip",), scenario.trip, data["trip"]))
    return "# What is not said here has its default; ridethrough explain van.battery tells of a part.\n" + (
        toml_writer.dumps(data, comments)
    )


def _comments(
    at: tuple[str, ...], part: Configuration, data: Mapping[str, Any]
) -> Iterator[tuple[tuple[str, ...], str]]:
    """What each value that is written of a part and of the parts inside is."""
    fields = {field.name: field for field in fields_of(part.schema)}
    for key in fields.keys() & data.keys():
        field, value, table, here = fields[key], getattr(part, key), data[key], (*at, key)
        inner = [(here, value, table)] if isinstance(value, Configuration) else []
        if field.type == "parts" and isinstance(table, Mapping):
            inner = [((*here, member.name), member, table[member.name]) for member in value]
        elif field.type == "parts":
            inner = [(here, *pair) for pair in zip(value, table, strict=True)]
        for where, member, own in inner:
            yield where, _short(member.schema.doc)
            yield from _comments(where, member, own)
        if not inner:
            yield here, ", ".join(filter(None, [field.unit, _short(field.doc)]))


def _short(doc: str) -> str:
    """The first words of a declaration, up to a stop."""
    said = re.split(r"(?<!\.)[;.](?:\s|$)", doc, maxsplit=1)[0]
    said = said if len(said) <= 90 else said.split(": ", 1)[0]
    return said if len(said) <= 90 else said[:90].rsplit(" ", 1)[0] + " ..."


def _refuse_what_has_no_place(scenario: Scenario) -> None:
    """Names what a file cannot say."""
    for place in places_of(scenario.trip):
        climate = place.site.climate
        if climate is not None and climate.weather_series is not None:
            hint = "save the trip with climate.replace(weather_series=None) and give the hours again where it is read"
            raise bad_input(
                "climate.weather_series", reason="a scenario file holds normals only, not measured hours", hint=hint
            )
    for name in scenario.van.loads.names:
        if name in VAN_KEYS:
            raise bad_input("van.loads", reason=f"a load called {name!r} cannot be written, which is a key of [van]")
