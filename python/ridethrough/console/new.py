"""The verb ``new``: writes a starter file, after a short dialogue where there is a terminal."""

from __future__ import annotations

import os
import shlex
import sys
from argparse import Namespace
from pathlib import Path

import ridethrough._core as _core

from ..files.scenario import OPEN
from ..model.errors import bad_input
from .exit_status import DONE, STOPPED
from .starter_file import checked_answer, starter_text
from .starter_questions import NONE, QUESTIONS


def run_new(arguments: Namespace) -> int:
    """Write the file; what is not given on the command line is asked for on a terminal, and else stays as usual."""
    path = Path(arguments.file)
    if path.exists() and not arguments.overwrite:
        raise bad_input(str(path), reason="there is such a file", hint="--overwrite writes over it")
    answers: dict[str, str] = {}
    for question in QUESTIONS:
        if (given := getattr(arguments, question.key)) is not None:
            answers[question.key] = checked_answer(question, given, answers)
    _write(path, answers)
    status = DONE
    if sys.stdin.isatty() and sys.stdout.isatty():
        status = _ask(path, answers)
    print(f"{path} is written.")
    if left := [q.key for q in QUESTIONS if answers.get(q.key, q.standard) == OPEN]:
        print(f'Still to be filled in, where it says "{OPEN}": {", ".join(left)}.')
    print(f"Look at it, then: ridethrough run {shlex.quote(str(path))}")
    return status


def _ask(path: Path, answers: dict[str, str]) -> int:
    """Ask what is not answered yet. Each answer is in the file before the next question is asked."""
    print(f"Enter takes what stands in brackets, {OPEN} tells how to find out; after Ctrl-C the answers so far stay.")
    for question in QUESTIONS:
        if question.key == "drive_h" and answers["drive_days"] == NONE:
            continue
        while question.key not in answers:
            usual = "" if question.standard == OPEN else f" [{question.standard}]"
            try:
                said = input(f"{question.asks}{usual}: ").strip()
            except (KeyboardInterrupt, EOFError):
                print("\nStopped. What was answered is kept.")
                return STOPPED
            if said == OPEN:
                print(f"  {question.remark}")
                continue
            try:
                answers[question.key] = checked_answer(question, said, answers)
            except _core.InputError as error:
                print(f"  {error}")
            else:
                _write(path, answers)
    return DONE


def _write(path: Path, answers: dict[str, str]) -> None:
    """Whole or not at all."""
    draft = path.with_name(path.name + ".part")
    try:
        draft.write_text(starter_text(str(path), answers), encoding="utf-8")
        os.replace(draft, path)
    except OSError as error:
        draft.unlink(missing_ok=True)
        raise bad_input(str(path), reason=error.strerror or str(error)) from None
