"""Writes scenario files: what is not at its default, each line with its unit and what it is.

A file reads back as an equal van and trip, and the other way round; see ``scenario``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import ridethrough._core as _core

from ..model.classes import Trip, Van
from ..model.configuration import Configuration
from ..model.parameter_help import RUN, VAN_KEYS
from ..model.places import places_of
from . import toml_writer
from .scenario import Scenario, default_names

Comments = dict[tuple[str, ...], str]  # by the keys that lead to a value


def save_scenario(
    path: str | Path,
    van: Van,
    trip: Trip,
    *,
    name: str = "",
    title: str = "",
    trials: int = 10_000,
    seed: int = 0,
    overwrite: bool = False,
) -> None:
    """Write a van and a trip as a commented scenario file, which :func:`load_scenario` reads back as they are.

    Parameters
    ----------
    path : str or Path
        The file, by custom with the suffix ``.toml``.
    van, trip : Van, Trip
        What is written. Values at their defaults are left out.
    name, title : str
        Of the scenario; the name defaults to the file's.
    trials, seed : int
        With which the file is simulated by ``python -m ridethrough FILE``.
    overwrite : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    InputError
        The file is there or cannot be written, or something in the van or the trip has no place in a scenario file,
        such as a measured weather series.
    """
    path = Path(path)
    for key, value in (("trials", trials), ("seed", seed)):
        low, high, _ = RUN[key]
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise _core.InputError(f"{key} = {value!r}: allowed whole numbers {low} to {high}")
    _require("van", van, Van)
    _require("trip", trip, Trip)
    text = dump_scenario(Scenario(name=name or path.stem, title=title, van=van, trip=trip, trials=trials, seed=seed))
    try:
        with path.open("w" if overwrite else "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise _core.InputError(f"{path}: there is such a file; overwrite=True replaces it") from None
    except OSError as error:
        raise _core.InputError(f"{path}: {error.strerror or error}") from None


def _require(name: str, value: Any, cls: type) -> None:
    if not isinstance(value, cls):
        raise _core.InputError(f"{name} = {value!r}: allowed a {cls.__name__}")


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
    run = {"trials": scenario.trials, "seed": scenario.seed}
    data = head | {"run": run} | ({"van": van} if van else {}) | {"trip": scenario.trip.to_dict()}
    comments: Comments = {("van", "only_these_loads"): "without it the default van's loads would be added"}
    comments |= dict(_comments(("van",), scenario.van)) | dict(_comments(("trip",), scenario.trip))
    return "# What is not said here has its default; python -m ridethrough --explain van.battery tells of a part.\n" + (
        toml_writer.dumps(data, comments)
    )


def _comments(at: tuple[str, ...], part: Configuration) -> Iterator[tuple[tuple[str, ...], str]]:
    """What each value of a part and of the parts inside is."""
    for field in part.schema.fields:
        value, here = getattr(part, field.name), (*at, field.name)
        inner = [(here, value)] if isinstance(value, Configuration) else []
        if field.type == "parts":
            inner = [((*here, member.name), member) for member in value]
        for where, member in inner:
            yield where, _short(member.schema.doc)
            yield from _comments(where, member)
        if not inner:
            measured = part.origin(field.name)
            said = [field.unit, _short(field.doc), str(measured) if measured.type == "measured" else ""]
            yield here, ", ".join(filter(None, said))


def _short(doc: str) -> str:
    """The first words of a declaration, up to a stop."""
    said = re.split(r"[;:.](?:\s|$)", doc, maxsplit=1)[0]
    return said if len(said) <= 90 else said[:90].rsplit(" ", 1)[0] + " ..."


def _refuse_what_has_no_place(scenario: Scenario) -> None:
    """Names what a file cannot say."""
    for place in places_of(scenario.trip):
        climate = place.site.climate
        if climate is not None and climate.weather_series is not None:
            raise _core.InputError(
                "climate.weather_series: a scenario file holds normals only, not measured hours; save the trip with "
                "climate.replace(weather_series=None) and give the hours again where it is read"
            )
    for name in scenario.van.loads.names:
        if name in VAN_KEYS:
            raise _core.InputError(f"van.loads: a load called {name!r} cannot be written, which is a key of [van]")
