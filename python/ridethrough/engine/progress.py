"""Progress of long runs: a bar where tqdm is installed, or a function of the caller's."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Protocol

from ..model.errors import missing_package

ProgressOption = bool | None | Callable[[int, int], None]
LONG_S = 30  # a run expected to take longer says so first
QUIET_S = 1.0  # a bar that nobody asked for stays away from runs shorter than this


class ReportDone(Protocol):
    """Takes the number of steps done, and the total where it has changed."""

    def __call__(self, done: int, total: int | None = None) -> None:
        """Report how far the run is."""


@contextmanager
def track_progress(progress: ProgressOption, total: int, done: int, unit: str) -> Iterator[ReportDone]:
    """Yield the function that a run reports its steps to.

    Parameters
    ----------
    progress : bool or callable, optional
        A function is called as ``progress(done, total)``. True: a bar (needs tqdm). None: a bar where tqdm is installed
        and stderr is a terminal. False: nothing.
    total, done : int
        Steps in all, and those done by an earlier call.
    unit : str
        What a step is called.
    """
    if callable(progress):
        function = progress
        yield lambda now, most=None: function(now, total if most is None else most)
        return
    if progress is False or (progress is None and not sys.stderr.isatty()):
        yield lambda now, most=None: None
        return
    try:
        from tqdm import tqdm  # type: ignore[import-untyped]
    except ImportError:
        if progress:
            raise missing_package("progress = True needs tqdm", "pip install '.[study]' in a checkout") from None
        yield lambda now, most=None: None
        return
    delay = QUIET_S if progress is None else 0
    with tqdm(total=total, initial=done, unit=unit, delay=delay) as bar:
        yield _Bar(bar)


class _Bar:
    """Moves a bar; after its first steps it says how long a long run is expected to take."""

    def __init__(self, bar: Any) -> None:
        self._bar, self._begun, self._first, self._said = bar, time.monotonic(), bar.n, False

    def __call__(self, done: int, total: int | None = None) -> None:
        if total is not None:
            self._bar.total = total
        self._bar.update(done - self._bar.n)
        if not self._said and done > self._first:
            self._said = True
            expected_s = (time.monotonic() - self._begun) * (self._bar.total - self._first) / (done - self._first)
            if expected_s > LONG_S:
                self._bar.write(f"Expected to take about {duration_text(expected_s)}.", file=sys.stderr)


def duration_text(seconds: float) -> str:
    """40 s, 5 min, 2.5 h."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
