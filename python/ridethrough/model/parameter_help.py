"""Help on parameters by dotted path: ``explain`` one or a part, list all guesses, suggest close matches."""

from __future__ import annotations

import inspect
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher
from functools import cache

import ridethrough._core as _core

from .checks import MOST_SEED, MOST_TRIALS, TRIALS
from .declaration_text import default_text, describe, fields_of
from .errors import bad_input, checked_call, renamed
from .former_names import name_now
from .habit_profiles import explain_habits
from .outputs import RESULTS, TIME_SERIES, result_line, series_line

_TOPS = ("Van", "Trip")
CHARGE_LIMITS = (0.01, 0.99)  # that an owner may not want to go below
RUN: dict[str, tuple[float, float, str]] = {  # keys of a scenario file's [run]: lowest, highest, meaning
    "trials": (1, MOST_TRIALS, f"trips simulated; default {TRIALS}; --trials overrides it"),
    "seed": (0, MOST_SEED, "the same seed gives the same answer; default 0; --seed overrides it"),
    "charge_limit": (
        *CHARGE_LIMITS,
        "the charge, as a share of full, that you don't take the battery below: trips that do are counted beside the "
        "cut-out; default none; --charge-limit overrides it",
    ),
}
VAN_KEYS = {  # of a scenario file's [van], which are no fields of a Van
    "habits": "ready-made habits, whose loads and party the van and trip have",
    "only_these_loads": "true: the van's loads are those of [van.loads] and no others; default false: these are added "
    "to the loads of the habits, or of the default van, or change them",
}
_FEW = 3  # kinds of part that are described in full; of more, one line each
_KIND = "kind"


@checked_call
def explain(path: str) -> str:
    """Explain a parameter, a part, a class or a list of results: unit, range, default and source.

    ``van.`` and ``trip.`` may be left out, as in the paths of spreads that a verdict prints:
    ``explain("loads.standby.current_a")``. A load, an array, a battery or a stop may be called by a name of
    your own, the last three by their places too, ``explain("van.arrays.2.rated_w")``.

    Parameters
    ----------
    path : str
        A parameter, ``"van.battery.capacity_ah"``, a part of a van or trip, ``"van.fridge"``, its ``kind`` in a
        scenario file, ``"van.battery.kind"``, or a class, ``"Fridge"``. ``"guesses"`` lists every default that was
        written down from memory, ``"columns"`` the results in ``Risk.columns``, ``"time_series"`` the hourly ones in
        ``Risk.time_series``.

    Returns
    -------
    str
        A line for each declaration.

    Raises
    ------
    InputError
        There is no such parameter; close matches are named.

    Examples
    --------
    >>> print(rt.explain("van.wiring.shared_mohm").partition(";")[0])
    Wiring.shared_mohm [mohm]: battery terminals to distribution, with fuse and isolator
    """
    if not isinstance(path, str):
        raise bad_input("path", path, allowed='a dotted path, such as "van.battery.capacity_ah", or a class\'s name')
    if path == "guesses":
        return guesses()
    first, *steps = path.split(".") if path not in RUN else ("run", path)
    if first == "time_series" and (not steps or steps[0] in TIME_SERIES):
        return hourly_paths(*steps[:1])
    if first == "columns" and (not steps or steps[0] in RESULTS):
        return columns(*steps[:1])
    if first == "run" and (keys := [key for key in RUN if not steps or steps == [key]]):
        return "\n".join(f"run.{k} (in scenario files): {RUN[k][2]}; {RUN[k][0]} to {RUN[k][1]}" for k in keys)
    named = first[:1].upper() + first[1:]  # scenario files say van.battery, classes say Van.battery
    if named in _schemas() and (text := _found(named, steps, path)):
        return text
    for top in _TOPS:
        if (first in VAN_KEYS or first in _names(_schemas()[top])) and (text := _found(top, [first, *steps], path)):
            return text
    _tell_the_name_of_now(path, first, [_schemas()[top] for top in _TOPS])
    near = _close_matches(path)
    hint = f"near ones are {', '.join(near)}" if len(near) > 1 else ""
    known = _fields_around(path)
    raise bad_input(path, reason="no such parameter", choices=known, hint=hint, suggestion="".join(near[:1]))


def _fields_around(path: str) -> list[str]:
    """Fields of the part that a path gets to before its last name; those of a van and a trip where it gets nowhere."""
    part = path.rpartition(".")[0]
    places = {place: schema for schema, known in parts().items() for place in (schema, *known)}
    found = next((places[place] for place in (part, f"van.{part}", f"trip.{part}") if place in places), "")
    return [name for top in ([found] if found else _TOPS) for name in _names(_schemas()[top])]


def _tell_the_name_of_now(path: str, step: str, schemas: Iterable[_core.Schema]) -> None:
    """InputError where a step of the path was called so once."""
    known = [path, step, *(f"{schema.name}.{step}" for schema in schemas)]
    if now := next(filter(None, map(name_now, known)), ""):
        raise renamed(path, now)


def table_of(name: str) -> str | None:
    """Where in a scenario file a name belongs."""
    other = "run" if name in RUN else "van" if name in VAN_KEYS else None
    return next((top.lower() for top in _TOPS if name in _names(_schemas()[top])), other)


def homes_of(name: str) -> list[str]:
    """Tables of a scenario file that have a key of this name, as their heads are written."""
    heads = [_head(places[0]) for schema, places in parts().items() if name in _names(_schemas()[schema])]
    return list(dict.fromkeys(heads))


def _head(place: str) -> str:
    return f"[[{place.removesuffix('.1')}]]" if place.endswith(".1") else f"[{place}]"


def parts() -> dict[str, list[str]]:
    """Where each class stands in a van or trip: ``{"SolarArray": ["van.solar", "van.arrays.roof"], ...}``."""
    places: dict[str, list[str]] = {}

    def walk(schema: _core.Schema, path: str) -> None:
        known = places.setdefault(schema.name, [])
        if path in known:
            return
        known.append(path)
        for field in fields_of(schema):
            for name in _inside(field):
                inner = _schemas()[name]
                member = f".{_usual_name(inner)}" if field.type == "parts" else ""
                walk(inner, f"{path}.{field.name}{member}")

    for top in _TOPS:
        walk(_schemas()[top], top.lower())
    return places


def guesses() -> str:
    """Every parameter whose default was written down from memory, and which of them are weak even so."""
    lines, count, weak = [], 0, 0
    for name, places in parts().items():
        guessed = [field for field in _schemas()[name].fields if is_guess(field)]
        if guessed:
            lines += ["", f"{places[0]} ({name})"]
        lines += [f"  {field.name} = {default_text(field)} ({field.source})" for field in guessed]
        count += len(guessed)
        weak += sum(field.weak for field in guessed)
    head = (
        f"{count} parameters have a default that was written down from memory, {weak} of them say weak.\n"
        "What you have measured or read off a label is better than any of these."
    )
    return "\n".join([head, *lines])


def hourly_paths(*names: str) -> str:
    """What the hourly time series of a risk are: unit, what of the hour, meaning."""
    lines = [series_line(name) for name in names or TIME_SERIES]
    return "\n".join(
        lines if names else ["Hourly time series, shape (trials, hours); time_series=[...] of simulate:", *lines]
    )


def columns(*names: str) -> str:
    """What the columns of a risk are: unit, meaning, where they are filled."""
    lines = [result_line(name) for name in names or RESULTS]
    return "\n".join(lines if names else ["Columns, a number for each trial:", *lines])


def is_guess(field: _core.Field) -> bool:
    """Whether a field's default is from memory."""
    return not field.required and (field.provenance == "unverified" or field.weak)


def _found(first: str, steps: list[str], path: str) -> str | None:
    """What is declared at these steps down from a class; None where there is no such step."""
    if first == "Van" and steps[:1] == ["habits"]:  # of scenario files
        return explain_habits(".".join(steps[1:]))
    if first == "Van" and steps == ["only_these_loads"]:
        return f"van.only_these_loads (in scenario files): {VAN_KEYS['only_these_loads']}"
    found, about = [_schemas()[first]], ""
    while steps:
        step, *steps = steps
        having = [schema for schema in found if step in _names(schema)]
        if not having:
            for now, _ in (schema.moved[step] for schema in found if step in schema.moved):
                raise bad_input(path, reason="no such parameter", hint=f"it is now {now}")
            _tell_the_name_of_now(path, step, found)
            return None
        fields = [schema.field(step) for schema in having]
        found = [_schemas()[name] for name in dict.fromkeys(name for field in fields for name in _inside(field))]
        if not steps:
            lines = "\n".join(f"{s.name}.{describe(f)}" for s, f in zip(having, fields, strict=True))
            return "\n\n".join([lines, *_kinds(found)])
        if not found:
            raise bad_input(path, reason=f"there is nothing inside {having[0].name}.{step}")
        kinds, member = found, fields[0].type == "parts"
        if member and steps[0] not in [_KIND, *(name for schema in found for name in _names(schema))]:
            name, *steps = steps
            found = _by_usual_name(kinds, name)
            if not found:
                if _mistyped(name, kinds):
                    return None
                by = "its place, counted from 1" if name.isdecimal() else "a name of your own"
                found, about = kinds, f"{name}: one of {having[0].name}.{step}, by {by}"
        if steps == [_KIND] and not (member and len(kinds) == 1):
            return _kind_text(path, kinds, fields[0])
    if about and len(found) > 1:
        about += "; say which with kind"
    return "\n\n".join([about] * bool(about) + list(_kinds(found) if about else map(_docstring, found)))


def _docstring(schema: _core.Schema) -> str:
    return inspect.getdoc(_core.Configuration._classes[schema.name]) or ""


def _mistyped(name: str, kinds: list[_core.Schema]) -> bool:
    """Whether a name that nothing declares is like one that something does."""
    known = [*map(_usual_name, kinds), *(field for schema in kinds for field in _names(schema))]
    return bool(_core.nearest_name(name, known))


def _kind_text(path: str, kinds: list[_core.Schema], field: _core.Field) -> str:
    """What ``kind`` may say of a part that a field holds; it is a key of files, not a field."""
    lines = [f"{path} (in scenario files): which kind of part this is; allowed"]
    for schema in kinds:
        usual = f" (need not be said in a table called {_usual_name(schema)})" if field.type == "parts" else ""
        if field.type == "part" and field.default_value and schema.name == field.default_value.schema.name:
            usual = " (when nothing is said)"
        lines.append(f'  "{schema.name}"{usual}: {schema.doc.splitlines()[0]}')
    return "\n".join(lines)


def _kinds(schemas: list[_core.Schema]) -> Iterator[str]:
    """The kinds that a part may be of, with their fields."""
    if len(schemas) <= _FEW:
        yield from (f"{schema.name}: {_docstring(schema)}" for schema in schemas)
        return
    for schema in schemas:
        yield f"{_usual_name(schema)} ({schema.name}): {schema.doc}\n    fields: {', '.join(_names(schema))}"


def _close_matches(path: str, most: int = 3) -> list[str]:
    """Paths most like a wrong one, as a whole and in their last word."""
    asked = path.lower()
    last = asked.rpartition(".")[2]
    prefixed = asked.partition(".")[0] in ("van", "trip")

    def likeness(known: str) -> float:
        own = known.rpartition(".")[2]
        whole = SequenceMatcher(None, asked, known if prefixed else known.partition(".")[2] or known).ratio()
        word = 0.9 if own.startswith(last) else SequenceMatcher(None, last, own).ratio()
        return (whole + word) / 2

    ranked = sorted(((likeness(known), known) for known in _all_paths()), key=lambda pair: -pair[0])
    return [known for score, known in ranked[:most] if score > max(0.6, ranked[0][0] - 0.15)]


@cache
def _all_paths() -> tuple[str, ...]:
    known = [(place, _schemas()[name]) for name, places in parts().items() for place in places]
    every = [path for place, schema in known for path in (place, *(f"{place}.{name}" for name in _names(schema)))]
    of_files = [*(f"van.{key}" for key in VAN_KEYS), *(f"run.{key}" for key in RUN)]
    return tuple(dict.fromkeys([*every, *of_files]))


@cache
def _schemas() -> dict[str, _core.Schema]:
    return {schema.name: schema for schema in _core.schemas()}


def _by_usual_name(schemas: list[_core.Schema], name: str) -> list[_core.Schema]:
    """Classes whose members are called so where they are given no other name: ``kettle`` is a Kettle.

    Members without a name go by their place, counted from 1.
    """
    return [
        schema
        for schema in schemas
        if _usual_name(schema) == name or (name.isdecimal() and "name" not in _names(schema))
    ]


def _usual_name(schema: _core.Schema) -> str:
    if "name" not in _names(schema):
        return "1"
    usual = schema.field("name").default_value
    return "<name>" if usual is None else str(usual)


def _names(schema: _core.Schema) -> list[str]:
    return [field.name for field in fields_of(schema)]


def _inside(field: _core.Field) -> list[str]:
    return list(field.choices) if field.type in ("part", "parts") else []
