"""A starter file: the questions that decide a trip, each with its unit, what is usual, and how to find out."""

from __future__ import annotations

import re
import shlex
import textwrap
import tomllib
from collections.abc import Mapping
from os import PathLike
from pathlib import Path
from typing import Any

from ..model.classes import CLASSES, Van
from ..model.declaration_text import default_text
from ..model.errors import bad_input, checked_call, require_whole_characters, unknown_name
from ..model.places import with_climates
from ..model.quantities import read_quantity
from ..model.values import to_python_value
from .scenario import OPEN, scenario_from_tables
from .starter_questions import BY_KEY, NONE, QUESTIONS, Question
from .toml_writer import value_text
from .whole_file import write_whole

HEAD = """\
# A trip for ridethrough. What stands behind a # is a remark. Numbers may have a unit, in quotes: "40 degF",
# "1.2 kWh", "62 %". What you don't know may stay as it is.
#
#   {run:<40} the answer for this trip
#   {explain:<40} what can be said of a part, and what it means
#
# A planning aid and no guarantee: not an electrical design, a compliance check or a medical device.
"""
# Answers for which a trial reading stands in where they are missing, so that another answer can be checked.
STAND_IN = {"latitude": "45", "longitude": "10", "start": "2026-09-22 15:00", "nights": "5"}
_BATTERIES = {"agm": "AgmBattery", "lithium": "LithiumBattery"}
_NUMBER = re.compile(r"[-+]?(0|[1-9]\d*)(\.\d+)?([eE][-+]?\d+)?")  # as TOML writes them
_COLUMNS = 100
# What an owner may know of the parts and nobody was asked; all else is told by ``explain``.
_UNASKED = {
    "van.battery": ("initial_soc", "state_of_health", "location"),
    "van.solar": ("tilt_deg", "mounting", "charge_controller", "soiling_loss"),
    "van.dc_dc": ("current_a", "supply_section_mm2"),
    "van.fridge": ("cutout_v", "restart_v", "door_openings_per_day", "vent_rise_k"),
    "van.wiring": ("shared_mohm", "fridge_branch_mohm"),
}
_PARTS = {"van.solar": "SolarArray", "van.dc_dc": "DcDcCharger", "van.fridge": "Fridge", "van.wiring": "Wiring"}


@checked_call
def new_scenario(path: str | Path, *, overwrite: bool = False, **answers: Any) -> tuple[str, ...]:
    """Write a commented scenario file that asks what decides a trip, with a line for each question.

    Parameters
    ----------
    path : str or Path
        The file, by custom with the suffix ``.toml``.
    overwrite : bool
        Whether a file that is there may be replaced.
    **answers
        ``latitude``, ``longitude``, ``altitude_m``, ``start``, ``nights``, ``persons``, ``battery`` ("agm" or
        "lithium"), ``capacity_ah``, ``rated_w``, ``volume_l``, ``set_point_c``, ``heater``, ``surroundings``,
        ``drive_days``, ``drive_h``, ``shore_nights``: numbers, or texts as in a file, such as "40 degF". What is not
        answered stands at its usual value.

    Returns
    -------
    tuple of str
        The questions that have no usual answer and were given none: the file says ``"?"`` there, and does not run
        before it says something else.

    Raises
    ------
    InputError
        An answer is not allowed, a place has no default climate, or the file is there or can't be written.

    Examples
    --------
    >>> rt.new_scenario("starter.toml", latitude=44.5, longitude="110 W", nights=5, overwrite=True)
    ('start',)
    """
    if not isinstance(path, (str, PathLike)):
        raise bad_input("path", path, allowed="the path of the file")
    for name in answers:
        if name not in BY_KEY:
            raise unknown_name(
                f"new_scenario.{name}", answers[name], list(BY_KEY), "no such question", name=name, quoted=False
            )
    said = checked_answers(answers)
    write_whole(Path(path), starter_text(Path(path).name, said), overwrite=overwrite)
    return open_questions(said)


def checked_answers(answers: Mapping[str, Any]) -> dict[str, str]:
    """What is answered, in the order of the questions, as the file will say it; InputError where it can't be."""
    said: dict[str, str] = {}
    for question in QUESTIONS:
        if answers.get(question.key) is not None:
            said[question.key] = checked_answer(question, _answer_text(answers[question.key]), said)
    return said


def _answer_text(answer: Any) -> str:
    """Of a number, a date, or a list of days."""
    plain = to_python_value(answer)
    if isinstance(plain, (list, tuple)):
        return ", ".join(map(_answer_text, plain))
    return f"{plain:.12g}" if isinstance(plain, float) else str(plain)


def open_questions(answers: Mapping[str, str]) -> tuple[str, ...]:
    """Those without an answer that have no usual one."""
    return tuple(q.key for q in QUESTIONS if answers.get(q.key, q.standard) == OPEN)


def listed_days(text: str) -> list[str]:
    """The days of "2, 4 and Friday"."""
    return [day for day in re.split(r"\s*(?:,|\band\b)\s*", text.strip()) if day]


def starter_text(file: str, answers: Mapping[str, str]) -> str:
    """The file for these answers; what is not answered stands at its usual value, or open where there is none."""
    said = {question.key: answers.get(question.key) or question.standard for question in QUESTIONS}

    def line(key: str, name: str = "", value: str = "") -> str:
        return "\n".join([_remark(key), f"{name or key} = {value or _toml(said[key])}"])

    (other,) = {*_BATTERIES.values()} - {_BATTERIES[said["battery"]]}
    lines = [
        HEAD.format(run=f"ridethrough run {shlex.quote(file)}", explain="ridethrough explain van.fridge"),
        'title = "My trip"',
        "\n[run]",
        *_wrapped(
            "The charge that you don't take the battery below, where you keep to one: trips that do are counted."
        ),
        '# charge_limit = "50 %"',
        "\n# --- where, when, who",
        "[trip]",
        line("start"),
        line("nights"),
        line("surroundings"),
        "\n[trip.site]",
        line("latitude"),
        line("longitude"),
        line("altitude_m") if said["altitude_m"] != NONE else f"{_remark('altitude_m')}\n# altitude_m = 1000",
        "# The climate is the worldwide default of this place; for a sale give twelve normals: explain Climate.",
        "\n[trip.party]",
        line("persons"),
        *_drives(said),
        *_shore_power(said),
        "\n# --- the van",
        "[van]",
        "# What is said of loads below comes on top of the usual ones; true: there are no others.",
        "only_these_loads = false",
        *(['solar = "none"'] if _no_panel(said) else []),
        "\n[van.battery]",
        line("battery", "kind", f'"{_BATTERIES[said["battery"]]}"  # or "{other}"'),
        line("capacity_ah"),
        *([] if _no_panel(said) else ["\n[van.solar]", line("rated_w")]),
        "\n[van.fridge]",
        line("volume_l"),
        line("set_point_c"),
        *_heater(said),
        *_unasked(said),
    ]
    return "\n".join(lines).rstrip() + "\n"


def _remark(key: str) -> str:
    question = BY_KEY[key]
    text = f"{question.asks}. {question.remark}".strip()
    return "\n".join(_wrapped(text))


def _toml(answer: str) -> str:
    """A number as it is, anything else as text."""
    return answer if _NUMBER.fullmatch(answer) else value_text(answer)


def _no_panel(said: Mapping[str, str]) -> bool:
    return read_quantity("van.solar.rated_w", said["rated_w"], "W") == 0


def _days(key: str, answer: str) -> str:
    if not (days := listed_days(answer)):
        raise bad_input(key, answer, hint=BY_KEY[key].find_out)
    return "[" + ", ".join(_toml(day) for day in days) + "]"


def _drives(said: Mapping[str, str]) -> list[str]:
    off = said["drive_days"] == NONE
    days, hours = "[2, 4]" if off else _days("drive_days", said["drive_days"]), _toml(said["drive_h"])
    table = [("days", "drive_days", days), ("duration_h", "drive_h", hours)]
    return _planned("[[trip.drives]]", table, off=off)


def _shore_power(said: Mapping[str, str]) -> list[str]:
    off = said["shore_nights"] == NONE
    nights = "[3]" if off else _days("shore_nights", said["shore_nights"])
    out = _planned("[[trip.shore_power]]", [("nights", "shore_nights", nights)], off=off)
    mark = "# " if off else ""
    charger = "# Mains charger that shore power feeds, A. Usual: 10 to 30. On its nameplate."
    return [*out, f"{mark}[van.mains]", charger, f"{mark}current_a = 20"]


def _planned(head: str, table: list[tuple[str, str, str]], *, off: bool) -> list[str]:
    """A table of what is planned on days; as a remark where nothing is."""
    mark = "# " if off else ""
    first = ["\n# None so far. To plan some, take away the # before each line that has a [ or a =."] if off else [""]
    lines = [text for name, key, value in table for text in (_remark(key), f"{mark}{name} = {value}")]
    return [*first, f"{mark}{head}", *lines]


def _heater(said: Mapping[str, str]) -> list[str]:
    remark = _remark("heater")
    if said["heater"] == NONE:
        return ["\n[van.loads]", remark, 'heater = "none"']
    night = said["heater"] == "all night"
    return [
        "\n[van.loads.heater]",
        remark,
        f"all_night = {str(night).lower()}",
        "# Its hours while you are up: from the evening hour to bedtime, and from getting up to the morning hour;",
        "#   17:00 in both is all day. It draws only where the van is colder than its thermostat.",
        'evening_from_h = "17:00"',
        f'morning_until_h = "{"17:00" if night else "10:00"}"',
        "# Temperature that it holds while you are up, degC. Usual: 16 to 22, which is drawn if this stays a remark.",
        "# set_point_c = 19",
    ]


def _unasked(said: Mapping[str, str]) -> list[str]:
    """A remark for each part that nobody asked about."""
    out = ["\n# --- taken as usual, because nobody asked; write a line under the part to change it"]
    for path, names in _UNASKED.items():
        schema = CLASSES[_PARTS.get(path, _BATTERIES[said["battery"]])]._declaration
        if path == "van.solar" and _no_panel(said):
            continue
        shown = ", ".join(f"{name} = {default_text(schema.field(name))}" for name in names)
        more = [f.name for f in schema.fields if f.name not in (*said, *names, "name")]
        out += _wrapped(f"{path}: {shown}" + f"; {len(more)} more: ridethrough explain {path}" * bool(more))
    loads = ", ".join(load.name for load in Van().loads)
    return [*out, *_wrapped(f"van.loads: {loads}; one of them: ridethrough explain van.loads.laptop")]


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, _COLUMNS, initial_indent="# ", subsequent_indent="#   ")


def checked_answer(question: Question, answer: str, answers: Mapping[str, str]) -> str:
    """The answer as the file will say it; InputError, with what is allowed, where it can't be."""
    answer = answer.strip() or question.standard
    require_whole_characters(question.key, answer)
    if answer.lower() == "no" and NONE in (question.standard, *question.words):
        answer = NONE
    if question.words:
        plain = answer.lower().replace("_", " ")
        words = {word: word.replace("_", " ") for word in question.words}
        near = [word for word, said in words.items() if said.startswith(plain)]
        near = near or [word for word, said in words.items() if plain in said]
        if len(near) != 1:
            raise bad_input(question.key, answer, allowed=" or ".join(question.words))
        return near[0]
    if answer == OPEN:
        raise bad_input(question.key, reason="must be given", hint=question.find_out or f"usual are {question.usual}")
    said = {**STAND_IN, **answers, question.key: answer}
    trip = scenario_from_tables(tomllib.loads(starter_text("starter", said)), "starter").trip
    if question.key in ("latitude", "longitude") and {"latitude", "longitude"} <= {*answers, question.key}:
        with_climates(trip)  # InputError in the sea
    return answer
