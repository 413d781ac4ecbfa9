"""Progress of long runs: a bar where tqdm is installed, or a function of the caller's."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Protocol

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
        A function is called as ``progress(done, total)``. True: a bar on stderr. None: a bar where stderr is a
        terminal. False: nothing. Beside the bar, and without tqdm in place of it, a run expected to take more than
        half a minute says its expected time once, after its first steps.
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
        yield _Announcement(total, done, print_to_stderr)
        return
    delay = QUIET_S if progress is None else 0
    with tqdm(total=total, initial=done, unit=unit, delay=delay) as bar:
        yield _Bar(bar)


class _Announcement:
    """After the first steps of a long run says once how long it is expected to take."""

    def __init__(self, total: int, done: int, say: Callable[[str], None]) -> None:
        self._total, self._first, self._say = total, done, say
        self._begun, self._said = time.monotonic(), False

    def __call__(self, done: int, total: int | None = None) -> None:
        self._total = self._total if total is None else total
        if not self._said and done > self._first:
            self._said = True
            expected_s = (time.monotonic() - self._begun) * (self._total - self._first) / (done - self._first)
            if expected_s > LONG_S:
                self._say(f"Expected to take about {duration_text(expected_s)}.")


def print_to_stderr(text: str) -> None:
    """A line between those of a run."""
    print(text, file=sys.stderr, flush=True)


class _Bar:
    """Moves a bar, with the announcement above it."""

    def __init__(self, bar: Any) -> None:
        self._bar = bar
        self._announce = _Announcement(bar.total, bar.n, lambda text: bar.write(text, file=sys.stderr))

    def __call__(self, done: int, total: int | None = None) -> None:
        if total is not None:
            self._bar.total = total
        self._bar.update(done - self._bar.n)
        self._announce(done, total)


def duration_text(seconds: float) -> str:
    """40 s, 5 min, 2.5 h."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
