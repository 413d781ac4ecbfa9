"""The verb ``new``: writes a starter file, after a short dialogue where there is a terminal."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from pathlib import Path

import ridethrough._core as _core

from ..model.errors import bad_input
from .exit_status import DONE, STOPPED
from .starter_file import checked_answer, starter_text
from .starter_questions import OPEN, QUESTIONS


def run_new(arguments: Namespace) -> int:
    """Write the file; what is not given on the command line is asked for on a terminal, and else stays as usual."""
    path = Path(arguments.file)
    if path.exists() and not arguments.overwrite:
        raise bad_input(str(path), reason="there is such a file", hint="--overwrite writes over it")
    answers: dict[str, str] = {}
    for question in QUESTIONS:
        if (given := getattr(arguments, question.key)) is not None:
            answers[question.key] = checked_answer(question, given, answers)
    status = DONE
    if sys.stdin.isatty() and sys.stdout.isatty():
        status = _ask(answers)
    _write(path, starter_text(str(path), answers))
    open_keys = [q.key for q in QUESTIONS if answers.get(q.key, q.standard) == OPEN]
    print(f"{path} is written.")
    if open_keys:
        print(f'Still to be filled in, where it says "{OPEN}": {", ".join(open_keys)}.')
    print(f"Look at it, then: ridethrough run {path}")
    return status


def _ask(answers: dict[str, str]) -> int:
    """Ask what is not answered yet. What was answered before an interruption stays."""
    print(
        "Enter takes what stands in brackets; ? says how to find out; Ctrl-C ends the questions and keeps the answers."
    )
    for question in QUESTIONS:
        while question.key not in answers:
            usual = "" if question.standard == OPEN else f" [{question.standard}]"
            try:
                said = input(f"{question.asks}{usual}: ").strip()
            except (KeyboardInterrupt, EOFError):
                print("\nStopped; what was answered is kept.")
                return STOPPED
            if said == OPEN:
                print(f"  {question.remark}")
                continue
            try:
                answers[question.key] = checked_answer(question, said, answers)
            except _core.InputError as error:
                print(f"  {error}")
    return DONE


def _write(path: Path, text: str) -> None:
    """Whole or not at all."""
    draft = path.with_name(path.name + ".part")
    try:
        draft.write_text(text, encoding="utf-8")
        os.replace(draft, path)
    except OSError as error:
        raise bad_input(str(path), reason=error.strerror or str(error)) from None
