"""For the tests of studies that decide: the shipped demo's van and trip, about 1 in 8; a study stopped early."""

from __future__ import annotations

import inspect
from functools import cache
from typing import Any

import pytest
from ridethrough import Interrupted, StudyFailed
from ridethrough.files.scenario import demo_path, load_scenario

EARLY_ENDS = pytest.mark.parametrize(
    ("raised", "kind"), [(KeyboardInterrupt(), Interrupted), (MemoryError("m"), StudyFailed)]
)


@cache
def demo() -> tuple[Any, Any]:
    scenario = load_scenario(demo_path())
    return scenario.van, scenario.trip


def stopping_at(
    monkeypatch: Any, study: Any, runs: int, called: str = "run_trip", raised: Any = KeyboardInterrupt
) -> None:
    """After so many calls of what it runs its trials with, the study gets this error instead, Ctrl-C by default."""
    real, left = inspect.unwrap(study).__globals__[called], iter(range(runs))

    def run(*arguments: Any, **how: Any) -> Any:
        if next(left, None) is None:
            raise raised
        return real(*arguments, **how)

    monkeypatch.setitem(inspect.unwrap(study).__globals__, called, run)
