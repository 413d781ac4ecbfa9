"""The circumstances of a reading as clauses of its text: "at fridge", "compressor on", "lights + laptop on", a time."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from ..model.date_forms import require_date_form
from ..model.errors import bad_input, unknown_name
from ..model.values import to_python_value

AT = ("terminals", "shunt", "panel", "fridge")
METERS = {
    "counter": "counts ampere-hours at a shunt",
    "app": "the battery's own, in its app or display",
    "controller": "guesses a percentage from volts, as solar controllers and panels do",
}
_OTHER_METERS = {"shunt": "counter", "monitor": "counter", "bms": "app", "battery": "app", "guess": "controller"}
_OTHER_PLACES = {"battery": "terminals", "distribution": "panel", "control panel": "panel", "plug": "fridge"}
_TIME = re.compile(r"\d{4}-\d\d-\d\d(?:[ T]\d\d:\d\d)?")
_ON_OFF = {"on": True, "running": True, "off": False, "stopped": False}
NOTHING = "nothing"


def split_clauses(text: str) -> tuple[str, dict[str, Any]]:
    """The reading itself, and by argument what the clauses after it say.

    Examples
    --------
    >>> split_clauses("12.1 V at fridge, compressor on")
    ('12.1 V', {'compressor': True, 'at': 'fridge'})
    """
    first, *clauses = re.split(r"\s*[,;](?!\d)\s*", text.strip())
    head, found = first, dict[str, Any]()
    while cut := re.fullmatch(r"(?P<head>.+)\s+(?P<word>at|by)\s+(?P<name>[a-z][a-z ]*)", head, re.IGNORECASE):
        head = cut["head"]
        clauses.append(f"{cut['word']} {cut['name']}")
    for clause in clauses:
        name, value = _clause(text, clause)
        if found.setdefault(name, value) != value:
            raise bad_input("Reading.text", text, reason=f"{name} is said twice: {found[name]!r} and {value!r}")
    return head, found


def _clause(text: str, clause: str) -> tuple[str, Any]:
    small = clause.lower()
    if _TIME.fullmatch(clause):
        return "time", clause
    for name in ("charged", "full", "time"):
        if small.startswith(f"{name} "):
            return name, clause[len(name) :].strip()
    if (state := re.fullmatch(r"compressor (\w+)", small)) and state[1] in _ON_OFF:
        return "compressor", _ON_OFF[state[1]]
    if small.startswith(("at ", "by ")):
        return {"at": "at", "by": "meter"}[small[:2]], small[3:].strip()
    if loads := re.fullmatch(r"(?:with )?(.+) on", clause, re.IGNORECASE):
        names = re.split(r"\s*\+\s*|\s+and\s+", loads[1].strip())
        return "on", () if [name.lower() for name in names] == [NOTHING] else tuple(names)
    require_date_form("Reading.text", clause)
    raise bad_input(
        "Reading.text",
        text,
        reason=f"{clause!r} is not understood",
        allowed='after the reading, each after a comma: "at fridge", "by counter", "compressor on", '
        '"lights + laptop on", "nothing on", "charged 2026-09-24 17:00", "full 2026-09-22 14:00", "2026-09-24 20:00"',
    )


def clauses_text(values: Mapping[str, Any]) -> str:
    """What `split_clauses` reads back."""
    said = []
    if values["compressor"] is not None:
        said.append(f"compressor {'on' if values['compressor'] else 'off'}")
    if values["on"] is not None:
        said.append(f"{' + '.join(values['on']) or NOTHING} on")
    said += [f"{name} {values[name]}" for name in ("charged", "full") if values[name] is not None]
    said += [values["time"]] if values["time"] is not None else []
    head = "".join(
        f" {word} {values[name]}"
        for word, name, usual in (("at", "at", "terminals"), ("by", "meter", None))
        if values[name] != usual
    )
    return ", ".join([head, *said])


def read_place(value: object) -> str:
    """One of `AT`."""
    return _one_of("Reading.at", value, AT, _OTHER_PLACES)


def read_meter(value: object) -> str | None:
    """One of `METERS`, or None."""
    return None if value is None else _one_of("Reading.meter", value, tuple(METERS), _OTHER_METERS)


def _one_of(path: str, value: object, names: tuple[str, ...], others: Mapping[str, str]) -> str:
    if not isinstance(value, str):
        raise bad_input(path, value, allowed=", ".join(map(repr, names)))
    name = others.get(value.lower(), value.lower())
    if name not in names:
        raise unknown_name(path, value, names, "there is none of that name")
    return name


def read_loads(value: object) -> tuple[str, ...] | None:
    """Names of loads that are on, or None; one name alone is taken for a list of it."""
    if value is None:
        return None
    names = (value,) if isinstance(value, str) else value
    if not isinstance(names, (list, tuple)) or not all(isinstance(name, str) and name for name in names):
        raise bad_input(
            "Reading.on", value, allowed='a list of names of loads, such as ["lights", "laptop"]; [] for none'
        )
    if len({*names}) != len(names):
        raise bad_input("Reading.on", value, reason="a name is in it twice")
    return tuple(names)


def read_time(path: str, value: object, *, day_alone: bool) -> str | None:
    """A date and time as "2026-09-24 20:00", where ``day_alone`` a date too; None as it is."""
    if value is None:
        return None
    text = to_python_value(value)
    if not isinstance(text, str):
        raise bad_input(path, value, allowed='"2026-09-24 20:00"')
    text = (
        text.strip().replace("T", " ").removesuffix(":00")
        if len(text.strip()) == 19
        else text.strip().replace("T", " ")
    )
    if not _TIME.fullmatch(text):
        require_date_form(path, text)
        raise bad_input(path, value, reason="not a date and time", allowed='"2026-09-24 20:00"')
    if len(text) == 10 and not day_alone:
        raise bad_input(path, value, reason="a date alone", allowed='with the hour, "2026-09-24 20:00"')
    try:
        datetime.fromisoformat(text)
    except ValueError:
        raise bad_input(path, value, reason="there is no such date and time") from None
    return text
