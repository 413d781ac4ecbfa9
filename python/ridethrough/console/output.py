"""What all verbs do with a result: warnings go with it, a stopped study shows what it finished, JSON is plain."""

from __future__ import annotations

import json
import math
import sys
import warnings
from argparse import Namespace
from collections.abc import Callable
from typing import Any, TypeVar

from ..engine.interruption import Interrupted
from .exit_status import DONE, STOPPED

T = TypeVar("T")


def run_quietly(study: Callable[[], T]) -> tuple[T, bool]:
    """The result and whether it was stopped early; raises Interrupted where nothing was finished."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # the text and the JSON carry them
            return study(), False
    except Interrupted as early:
        if early.finished is None:
            raise
        return early.finished, True
    finally:
        if sys.stderr.isatty():
            print("\r\033[K", end="", file=sys.stderr, flush=True)


def print_result(arguments: Namespace, result: Any, stopped: bool) -> int:
    """Print a study's result, as text or as JSON."""
    if arguments.json:
        print_json({"stopped_early": stopped} | result.to_dict())
    else:
        if stopped:
            print("Stopped by Ctrl-C; this is what was finished.\n")
        print(result)
    return STOPPED if stopped else DONE


def print_json(facts: dict[str, Any]) -> None:
    """One object."""
    print(json.dumps(plain(facts), allow_nan=False))


def plain(value: Any) -> Any:
    """Plain numbers only; JSON has no word for NaN and infinity."""
    if isinstance(value, dict):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(inner) for inner in value]
    if hasattr(value, "tolist"):  # NumPy
        return plain(value.tolist())
    return None if isinstance(value, float) and not math.isfinite(value) else value
