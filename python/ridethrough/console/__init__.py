"""The command ``ridethrough``: one verb, one public function."""

from __future__ import annotations

import os
import re
import sys
from argparse import Namespace
from collections.abc import Callable, Sequence

import ridethrough._core as _core

from ..model.classes import CLASSES
from ..model.errors import bad_input, with_prefix
from ..model.parameter_help import explain, table_of
from .arguments import VERBS, parser
from .exit_status import BAD_INPUT, CLOSED_PIPE, DONE, STOPPED
from .new import run_new
from .output import print_json
from .pages import run_plot, run_report
from .run import run_scenario
from .studies import run_compare, run_size, run_upgrades
from .tonight import run_tonight


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit status: 0, 1 (the reader is gone), 2 (bad input) or 130 (stopped)."""
    words = list(sys.argv[1:] if argv is None else argv)
    try:
        status = _verb(words)
        sys.stdout.flush()
        return status
    except BrokenPipeError:  # the program that reads the output has closed it
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return CLOSED_PIPE
    except _core.InputError as error:
        said = re.sub(r"explain\('([\w.]+)'\)", r"ridethrough explain \1", str(error))  # not as Python says it
        print(f"error: {said}", file=sys.stderr)
        return BAD_INPUT
    except KeyboardInterrupt:
        print("stopped before anything was finished", file=sys.stderr)
        return STOPPED


def _verb(words: list[str]) -> int:
    if not words or (words[0].startswith("-") and words[0] not in ("-h", "--help", "--version")):
        if words and (verb := words[0].removeprefix("--")) in VERBS:
            raise bad_input(words[0], reason=f"a verb has no hyphens; write ridethrough {verb}")
        words = ["run", *words]  # the shipped demo
    if words[0] not in VERBS and not words[0].startswith("-"):
        near = _core.nearest_name(words[0], list(VERBS))
        meant = f"run {words[0]}" if words[0].endswith(".toml") else near
        raise bad_input(words[0], reason="no such verb", allowed=", ".join(VERBS), suggestion=meant)
    arguments, unknown = parser().parse_known_args(words)
    if unknown:
        raise _unknown(arguments.verb, unknown[0])
    try:
        return _FUNCTIONS[arguments.verb](arguments)
    except _core.InputError as error:
        file, first = getattr(arguments, "file", None), error.path.partition(".")[0]
        if file is None or arguments.verb == "new" or first not in CLASSES or not str(error).startswith(first):
            raise
        raise with_prefix(str(file), error) from None  # found when it was put together, not where it was read


def _unknown(verb: str, word: str) -> _core.InputError:
    """An error of a word that a verb does not take."""
    name = word.lstrip("-").partition("=")[0].replace("-", "_")
    hint = f'a value is changed in the file, or by compare --change "{name}=..."' if table_of(name) else ""
    return bad_input(word, reason=f"{verb} takes no such argument; see ridethrough {verb} --help", hint=hint)


def _explain(arguments: Namespace) -> int:
    text = explain(arguments.path)
    print_json({"path": arguments.path, "text": text}) if arguments.json else print(text)
    return DONE


_FUNCTIONS: dict[str, Callable[[Namespace], int]] = {
    "run": run_scenario,
    "new": run_new,
    "explain": _explain,
    "compare": run_compare,
    "size": run_size,
    "upgrades": run_upgrades,
    "plot": run_plot,
    "report": run_report,
    "tonight": run_tonight,
}
