"""A starter file: the questions that decide a trip, each with its unit, what is usual, and how to find out."""

from __future__ import annotations

import re
import textwrap
import tomllib
from collections.abc import Mapping

from ..files.scenario import Scenario, scenario_from_tables
from ..model.classes import CLASSES, Van
from ..model.declaration_text import default_text, fields_of
from ..model.errors import bad_input
from .starter_questions import BY_KEY, OPEN, QUESTIONS, Question

HEAD = """\
# A trip for ridethrough. Each line says what is usual and how to find out; a line that you don't know may stay.
# Numbers may have a unit, in quotes: "40 degF", "1.2 kWh", "62 %". What stands behind a # is a remark.
#
#   ridethrough run {file}             the answer for this trip
#   ridethrough explain van.fridge     what can be said of a part, and what it means
#
# A planning aid and no guarantee: not an electrical design, a compliance check or a medical device.
"""
# Answers for which a trial reading stands in where they are missing, so that another answer can be checked.
_STAND_IN = {"latitude": "45", "longitude": "10", "start": "2026-09-22 15:00", "nights": "5"}
_HEATERS = {"all night": "true", "evening and morning": "false"}
_BATTERIES = {"agm": "AgmBattery", "lithium": "LithiumBattery"}
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")


def starter_text(file: str, answers: Mapping[str, str]) -> str:
    """The file for these answers; what is not answered stands at its usual value, or open where there is none."""
    said = {question.key: answers.get(question.key) or question.standard for question in QUESTIONS}

    def line(key: str) -> str:
        return _line(key, _toml(said[key]))

    lines = [
        HEAD.format(file=file),
        f'title = "{_title(said)}"',
        "\n# --- where, when, who",
        "[trip]",
        line("start"),
        line("nights"),
        line("surroundings"),
        "\n[trip.site]",
        line("latitude"),
        line("longitude"),
        "# The climate is the worldwide default of this place; for a sale give twelve normals (explain Climate).",
        "\n[trip.party]",
        line("persons"),
        *_drives(said),
        *_shore_power(said),
        "\n# --- the van",
        "[van.battery]",
        _line("battery", f'"{_BATTERIES[said["battery"]]}"', "kind"),
        line("capacity_ah"),
        *_solar(said),
        "\n[van.fridge]",
        line("volume_l"),
        line("set_point_c"),
        *_mains(said),
        *_heater(said),
        "\n# --- taken as usual, because nobody asked; name one here to change it",
        *_defaults(said),
    ]
    return "\n".join(lines).rstrip() + "\n"


def _line(key: str, value: str, name: str = "", *, off: bool = False) -> str:
    """A key with its value, under the remarks that help to fill it in; ``off``: as a remark itself."""
    question = BY_KEY[key]
    remarks = textwrap.wrap(question.asks + ": " + question.remark + ".", 94)
    return "\n".join([*(f"# {remark}" for remark in remarks), f"{'# ' if off else ''}{name or key} = {value}"])


def _toml(answer: str) -> str:
    """A number as it is, anything else as text."""
    if _NUMBER.fullmatch(answer):
        return answer
    return '"' + answer.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _title(said: Mapping[str, str]) -> str:
    if OPEN in (said["nights"], said["latitude"], said["longitude"]):
        return "My trip"
    place = f"{said['latitude']}, {said['longitude']}"
    return f"{said['nights']} nights at {place}".replace("\\", "").replace('"', "'")


def _list(key: str, answer: str) -> str:
    days = [part.strip() for part in answer.split(",") if part.strip()]
    if not days:
        raise bad_input(key, answer, allowed=BY_KEY[key].usual)
    return "[" + ", ".join(_toml(day) for day in days) + "]"


def _drives(said: Mapping[str, str]) -> list[str]:
    off = said["drive_days"] == "none"
    days = "[2, 4]" if off else _list("drive_days", said["drive_days"])
    head = "\n# [[trip.drives]]  (none; take away the # of these lines to plan some)" if off else "\n[[trip.drives]]"
    return [
        head,
        _line("drive_days", days, "days", off=off),
        _line("drive_h", _toml(said["drive_h"]), "duration_h", off=off),
    ]


def _shore_power(said: Mapping[str, str]) -> list[str]:
    off = said["shore_nights"] == "none"
    nights = "[3]" if off else _list("shore_nights", said["shore_nights"])
    head = "\n# [[trip.shore_power]]  (none, and no mains charger)" if off else "\n[[trip.shore_power]]"
    return [head, _line("shore_nights", nights, "nights", off=off)]


def _solar(said: Mapping[str, str]) -> list[str]:
    if _NUMBER.fullmatch(said["rated_w"]) and float(said["rated_w"]) == 0:
        return ["\n[van]", 'solar = "none"']
    return ["\n[van.solar]", _line("rated_w", _toml(said["rated_w"]))]


def _mains(said: Mapping[str, str]) -> list[str]:
    if said["shore_nights"] == "none":
        return []
    return ["\n[van.mains]", "# Charger on shore power: A on its nameplate, 10 to 30 are usual.", "current_a = 20"]


def _heater(said: Mapping[str, str]) -> list[str]:
    if said["heater"] == "none":
        return ["\n[van.loads]", _line("heater", '"none"')]
    return ["\n[van.loads.heater]", 'kind = "Heater"', _line("heater", _HEATERS[said["heater"]], "all_night")]


def _defaults(said: Mapping[str, str]) -> list[str]:
    """A remark for each part that the file leaves at its default, with what decides it."""
    parts = {
        _BATTERIES[said["battery"]]: "van.battery",
        "SolarArray": "van.solar",
        "DcDcCharger": "van.dc_dc",
        "Fridge": "van.fridge",
        "Wiring": "van.wiring",
    }
    out = []
    for name, path in parts.items():
        fields = [f for f in fields_of(CLASSES[name]._declaration) if f.type == "number" and f.standard is not None]
        shown = ", ".join(f"{f.name} {default_text(f)}" for f in fields if f.name not in said)
        out += textwrap.wrap(f"{path}: {shown}", 94, initial_indent="# ", subsequent_indent="#   ")
    loads = ", ".join(load.name for load in Van().loads)
    out += textwrap.wrap(f"van.loads: {loads}", 94, initial_indent="# ", subsequent_indent="#   ")
    return [*out, "# ridethrough explain van.loads.lights (or any other path) says what a number means."]


def checked_answer(question: Question, answer: str, answers: Mapping[str, str]) -> str:
    """The answer as the file will say it; InputError, with what is allowed, where it can't be."""
    answer = answer.strip() or question.standard
    if question.words:
        near = [word for word in question.words if word.replace("_", " ").startswith(answer.lower().replace("_", " "))]
        if len(near) != 1:
            raise bad_input(question.key, answer, allowed=" or ".join(question.words))
        return near[0]
    if answer == OPEN:
        raise bad_input(question.key, allowed=question.usual, reason="has no usual answer")
    read_starter("starter", starter_text("starter", _STAND_IN | dict(answers) | {question.key: answer}))
    return answer


def read_starter(name: str, text: str) -> Scenario:
    """The scenario of a starter file's text."""
    return scenario_from_tables(tomllib.loads(text), name)
