"""The verb ``new``: writes a starter file, after a short dialogue where there is a terminal."""

from __future__ import annotations

import shlex
import sys
from argparse import Namespace
from pathlib import Path

import ridethrough._core as _core

from ..files.scenario import OPEN
from ..files.starter_file import checked_answer, checked_answers, new_scenario, open_questions
from ..files.starter_questions import NONE, QUESTIONS, Question
from ..model.coordinates import read_coordinate
from ..model.errors import bad_input
from ..model.time_zones import zone_at
from .exit_status import DONE, STOPPED
from .output import print_json


def run_new(arguments: Namespace) -> int:
    """Write the file; what is not given on the command line is asked for on a terminal, and else stays as usual."""
    path = Path(arguments.file)
    if path.exists() and not arguments.overwrite:
        raise bad_input(str(path), reason="there is such a file", hint="--overwrite writes over it")
    answers = checked_answers({question.key: getattr(arguments, question.key) for question in QUESTIONS})
    left = new_scenario(path, overwrite=arguments.overwrite, **answers)
    told = _clock_there(answers)  # in a dialogue as soon as the place is known
    status = DONE
    if sys.stdin.isatty() and sys.stdout.isatty() and not arguments.json:
        status = _ask(path, answers)
        left = open_questions(answers)
    if arguments.json:
        print_json({"file": str(path), "time_zone": _zone(answers), "open": list(left)})
        return status
    print(f"{path} is written.{told}")
    if left:
        print(f'Still to be filled in, where it says "{OPEN}": {", ".join(left)}.')
    print(f"Look at it, then: ridethrough run {shlex.quote(str(path))}")
    return status


def _ask(path: Path, answers: dict[str, str]) -> int:
    """Ask what is not answered yet. Each answer is in the file before the next question is asked."""
    print(f"Enter takes what stands in brackets, {OPEN} tells how to find out; after Ctrl-C the answers so far stay.")
    try:
        for question in QUESTIONS:
            if question.key == "drive_h" and answers["drive_days"] == NONE:
                continue
            if question.key in answers:
                continue
            while question.key not in answers:
                _ask_once(question, answers)
            new_scenario(path, overwrite=True, **answers)
            if question.key == "longitude":
                print(f" {_clock_there(answers)}")
    except (KeyboardInterrupt, EOFError):
        print("\nStopped. What was answered is kept.")
        return STOPPED
    return DONE


def _ask_once(question: Question, answers: dict[str, str]) -> None:
    """Takes an answer if it is one."""
    usual = "" if question.standard == OPEN else f" [{question.standard}]"
    said = input(f"{question.asks}{usual}: ").strip()
    if said == OPEN:
        print(f"  {question.remark}")
        return
    try:
        answers[question.key] = checked_answer(question, said, answers)
    except _core.InputError as error:
        print(f"  {str(error).removeprefix(error.path).lstrip(' =:')}")


def _zone(answers: dict[str, str]) -> str | None:
    """Of the place, where it is given."""
    if not {"latitude", "longitude"} <= answers.keys():
        return None
    return zone_at(*(read_coordinate(name, answers[name]) for name in ("latitude", "longitude")))


def _clock_there(answers: dict[str, str]) -> str:
    """Tells a place with a wrong sign by the clock that it would have."""
    zone = _zone(answers)
    return f" Clocks there are those of {zone}; if not, look at the signs of the coordinates." if zone else ""
