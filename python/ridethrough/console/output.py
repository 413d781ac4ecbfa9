"""What all verbs do with a result: warnings go with it, a stopped study shows what it finished, JSON is plain."""

from __future__ import annotations

import json
import math
import sys
import time
import warnings
from argparse import Namespace
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

import ridethrough._core as _core
from ridethrough._core import Estimate

from ..engine.content import plain_content
from ..engine.interruption import Interrupted
from ..engine.progress import QUIET_S
from ..files.scenario import Scenario
from ..model.cautions import CAUTION
from .exit_status import DONE, STOPPED

T = TypeVar("T")
_BAR = 20  # columns
STOPPED_TEXT = "Stopped by Ctrl-C; this is what was finished."


def run_options(arguments: Namespace, scenario: Scenario) -> dict[str, Any]:
    """Trials, seed and threads of a study: those of the command line, else the file's."""
    return {
        "trials": scenario.trials if arguments.trials is None else arguments.trials,
        "seed": scenario.seed if arguments.seed is None else arguments.seed,
        "threads": arguments.threads,
        "progress": Counter(),
    }


class Counter:
    """A bar on a terminal, which waits until a long run has said how long it takes; without a terminal that is all."""

    def __init__(self) -> None:
        self._begun: float | None = None

    def __call__(self, done: int, wanted: int) -> None:
        """Where it stands."""
        now = time.monotonic()
        self._begun = now if self._begun is None else self._begun
        if now - self._begun >= QUIET_S and sys.stderr.isatty():
            bar = "#" * (_BAR * done // max(wanted, 1))
            print(f"\r[{bar:<{_BAR}}] {done:,} of {wanted:,} trips", end="", file=sys.stderr, flush=True)


def run_quietly(study: Callable[[], T]) -> tuple[T, bool]:
    """The result and whether it was stopped early; raises Interrupted where nothing was finished."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # the text and the JSON carry them
            return study(), False
    except Interrupted as early:
        if early.finished is None or early.finished == {}:
            raise
        return early.finished, True
    finally:
        if sys.stderr.isatty():
            print("\r\033[K", end="", file=sys.stderr, flush=True)


def print_result(
    arguments: Namespace, result: Any, stopped: bool, *, notes: Sequence[str] = (), also: dict[str, Any] | None = None
) -> int:
    """Print a study's result after the file's notes, as text or as JSON; `also` stands in the JSON alone."""
    if isinstance(result, Mapping):
        risks = _risks_of(result)
        facts = {"finished": plain_content(risks)}
        text = "\n".join([*(f"{name}: {_core.estimate_text(risk)}" for name, risk in risks.items()), CAUTION])
    else:
        facts, text = result.to_dict() | {"warnings": list(result.warnings)}, str(result)
    if arguments.json:
        print_json({"stopped_early": stopped, "notes": list(notes), "caution": CAUTION} | (also or {}) | facts)
    else:
        print(*[f"{STOPPED_TEXT}\n"] * stopped, *(f"{note}\n" for note in notes), text, sep="\n")
    return STOPPED if stopped else DONE


def _risks_of(runs: Mapping[Any, Any]) -> dict[str, Estimate]:
    """Risks by the name of the van, or by the size, of a study that was stopped between them."""
    return {
        key[0] if isinstance(key, tuple) else f"{key:g}": run if isinstance(run, Estimate) else run.cutout
        for key, run in runs.items()
    }


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
