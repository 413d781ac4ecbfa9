"""Every input of a van and a trip: its value, its unit and where it came from."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import ridethrough._core as _core

from ..files.scenario import scenario_from_tables
from ..files.starter_file import STAND_IN, starter_text
from ..files.starter_questions import BY_KEY
from ..model.classes import Trip, Van
from ..model.configuration import Configuration

DEFAULT, GIVEN, MEASURED = "default", "given", "measured"
USUAL = "usual value"  # given, and equal to the default
OF_STARTER = "usual value of a starter file"  # given, and equal to what a starter file says where nobody answered
_ANSWERS = ("all_night", "van.loads")  # what an answer other than the usual one says
# Defaults that an owner should know to have been assumed: the endings of their paths.
_TOLD = (
    *("battery.capacity_ah", "battery.state_of_health", "battery.initial_soc", "battery.location"),
    *(
        "solar.rated_w",
        "solar.mounting",
        "solar.soiling_loss",
        "fridge.volume_l",
        "fridge.set_point_c",
        "fridge.cutout_v",
    ),
    *("fridge.heat_leak_factor", "dc_dc.current_a", "wiring.fridge_branch_mohm", "van.loads", "standby.current_a"),
    *("inverter.left_on_probability", "heater.set_point_c", "heater.night_set_point_c", "trip.surroundings"),
    *("trip.shade_beam", "trip.habits_scale", "trip.weather", "party.adults", "site.climate"),
)


@dataclass(frozen=True)
class Input:
    """An input by its path, as text."""

    path: str
    value: str
    origin: str  # "default", "given", USUAL, OF_STARTER, or such as "measured on 2026-05-01"
    source: str = ""  # of a default

    @property
    def kind(self) -> str:
        """Default, given or measured; what was written down as usual was given."""
        return GIVEN if self.usual else self.origin.split(" ", maxsplit=1)[0]

    @property
    def usual(self) -> bool:
        """Whether it was given as most people have it, so that nobody may have looked at it."""
        return self.origin in (USUAL, OF_STARTER)

    @property
    def told(self) -> bool:
        """Whether it stands in the short list: what was given, but for the numbers of a climate, and some defaults."""
        return self.path.endswith(_TOLD) if self.kind == DEFAULT else ".climate." not in self.path


def inputs_of(van: Van, trip: Trip) -> list[Input]:
    """Of the van, then of the trip, in the order of their declarations."""
    usual = _starter_values()
    found = [*_of_part("van", van), *_of_part("trip", trip)]
    return [replace(one, origin=OF_STARTER) if _as_in_starter(one, usual) else one for one in found]


def _as_in_starter(one: Input, usual: Mapping[str, frozenset[str]]) -> bool:
    return one.kind == GIVEN and one.value in usual.get(one.path, ())


@cache
def _starter_values() -> Mapping[str, frozenset[str]]:
    """By path what a starter file says where its questions have no answer, with any kind of battery and heater."""
    values: dict[str, set[str]] = {}
    for asked in ("battery", "heater"):
        for word in BY_KEY[asked].words:
            said = {**STAND_IN, asked: word}
            made = scenario_from_tables(tomllib.loads(starter_text("starter", said)), "starter")
            for one in [*_of_part("van", made.van), *_of_part("trip", made.trip)]:
                standard = word == BY_KEY[asked].standard or not one.path.endswith(_ANSWERS)
                if one.kind == GIVEN and standard and not one.path.endswith(tuple(STAND_IN)):
                    values.setdefault(one.path, set()).add(one.value)
    return {path: frozenset(found) for path, found in values.items()}


def _of_part(at: str, part: Configuration) -> Iterator[Input]:
    for field in part.schema.fields:
        value, origin = getattr(part, field.name), str(_core.Configuration.origin(part, field.name))
        here = f"{at}.{field.name}"
        if isinstance(value, Configuration):
            yield from _of_part(here, value)
        elif field.type == "parts":
            yield from _of_list(at, field.name, value, origin)
        elif field.name != "name" or at == "van":
            if origin == GIVEN and not field.required and value == field.default_value:
                origin = USUAL  # a starter file writes the usual value too, where nothing was answered
            unit = f" {field.unit}" if field.unit and isinstance(value, (int, float, _core.Spread)) else ""
            source = field.source if origin in (DEFAULT, USUAL) else ""
            yield _in_effect(part, Input(here, f"{_text(value)}{unit}", origin, source))


def _in_effect(part: Configuration, one: Input) -> Input:
    """The input as it is played, where another one stands in the place of its default."""
    name = one.path.rpartition(".")[2]
    if name == "climate" and one.value == "none":
        return Input(one.path, "the worldwide default climate of the place", one.origin, one.source)
    place = getattr(part, "surroundings", "as_given")
    if name not in ("shade_beam", "shade_sky") or place == "as_given":
        return one
    by = f"by surroundings = {place}"
    field = part.schema.field("surroundings")
    ranges = re.findall(r"(\d+) to (\d+)", field.doc)  # those of shade_beam, in the order of the choices
    shares = dict(zip(field.choices[1:], ranges, strict=False))
    if name == "shade_beam" and place in shares:
        low, high = (int(end) / 100 for end in shares[place])
        return Input(one.path, f"{low:g} to {high:g}, {by}", one.origin, by)
    return Input(one.path, by, one.origin, by)


def _of_list(at: str, name: str, members: Any, origin: str) -> Iterator[Input]:
    if not members:
        yield Input(f"{at}.{name}", "none", origin)
        return
    names = list(members.names) if hasattr(members, "names") else [str(i) for i in range(1, len(members) + 1)]
    if any(not one.isdigit() for one in names):
        yield Input(f"{at}.{name}", ", ".join(names).replace("_", " "), origin)
    alone = _ONLY.get(name, "") if len(members) == 1 else ""
    for own, member in zip(names, members, strict=True):
        yield from _of_part(f"{at}.{alone or f'{name}.{own}'}", member)


def _spread(text: str) -> str:
    """A spread in words, where its shape has some."""
    match = re.match(r"(\w+)\(([^()]*)\)(.*)", text)
    numbers = [part.strip() for part in match[2].split(",")] if match else []
    if match and match[1] == "triangular" and len(numbers) == 3:
        return f"{numbers[0]} to {numbers[2]}, most likely {numbers[1]}{match[3]}"
    if match and match[1] == "uniform" and len(numbers) == 2:
        return f"{numbers[0]} to {numbers[1]}{match[3]}"
    return text


_ONLY = {"batteries": "battery", "arrays": "solar"}  # what the only member of a list is called


def _text(value: Any) -> str:
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, (tuple, list)):
        return ", ".join(map(_text, value)) or "none"
    if isinstance(value, _core.Spread):
        return _spread(str(value))
    return str(value)
