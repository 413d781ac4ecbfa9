"""Progress of long runs: a bar where tqdm is installed, or a function of the caller's."""

from __future__ import annotations

import inspect
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Protocol

from ..model.errors import bad_input

ProgressOption = bool | None | Callable[[int, int], None]
LONG_S = 30  # a run expected to take longer says so first
QUIET_S = 1.0  # a bar that nobody asked for stays away from runs shorter than this
SETTLED_S = 0.5  # the very first steps take longer than others: the time in all is judged from here on, before any bar


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
        terminal. False: nothing. Beside the bar or the function, and without tqdm in place of the bar, a run expected
        to take more than half a minute says its expected time on stderr once, after its first steps.
    total, done : int
        Steps in all, and those done by an earlier call.
    unit : str
        What a step is called.
    """
    check_progress(progress)
    if isinstance(progress, PartDone):
        yield progress
        return
    if callable(progress):
        yield _Function(progress, total, done)
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


def check_progress(progress: object) -> None:
    """InputError where it is neither a yes or no nor a function."""
    if not (progress is None or isinstance(progress, bool) or callable(progress)):
        raise bad_input("progress", progress, allowed=_PROGRESS)
    if callable(progress):
        try:
            inspect.signature(progress).bind(0, 1)
        except TypeError:
            raise bad_input("progress", progress, reason="takes other arguments", allowed=_PROGRESS) from None
        except ValueError:  # a function of C that does not say what it takes
            pass


_PROGRESS = "True, False, None or a function of (done, total)"


class PartDone:
    """Progress of a study inside another one, which counts on from so many steps and announces itself."""

    def __init__(self, report_done: ReportDone, before: int) -> None:
        self._report, self._before = report_done, before

    def __call__(self, done: int, total: int | None = None) -> None:
        """Steps of the inner study."""
        self._report(self._before + done)


class RunsDone:
    """Counts the trials of a study of several runs: given to each run in turn to report to."""

    def __init__(self, report_done: ReportDone, runs: int, trials: int, before: int = 0) -> None:
        self._report, self._runs, self._trials = report_done, runs, trials
        self._at = before  # trials of the runs that are finished

    def __call__(self, done: int, total: int | None = None) -> None:
        """Trials of the present run; the last of them are reported once what it found has been kept."""
        if 0 < done < self._trials:  # a slow machine reports before the first
            self._report(self._at + done)

    def run_finished(self) -> None:
        """One run has come to its end, or was not needed."""
        self._at, self._runs = self._at + self._trials, self._runs - 1
        self._report(self._at)

    def all_finished(self) -> None:
        """The runs that are left are not needed."""
        self._at, self._runs = self._at + self._runs * self._trials, 0
        self._report(self._at)

    def part(self, runs: int) -> RunsDone:
        """The next of these runs, as a count of its own; ends with its :meth:`all_finished`."""
        inner = RunsDone(self._report, runs, self._trials, self._at)
        self._at, self._runs = self._at + runs * self._trials, self._runs - runs
        return inner


@contextmanager
def track_runs(progress: ProgressOption, runs: int, trials: int) -> Iterator[RunsDone]:
    """The same for a study of so many runs of so many trials each, counted in trials."""
    with track_progress(progress, runs * trials, 0, "trial") as report_done:
        yield RunsDone(report_done, runs, trials)


def report_nothing(done: int, total: int | None = None) -> None:
    """A run that nobody watches."""


class _Announcement:
    """After the first steps of a long run says once how long it is expected to take."""

    def __init__(self, total: int, done: int, say: Callable[[str], None]) -> None:
        self._total, self._first, self._say = total, done, say
        self._begun, self._said = time.monotonic(), False

    def __call__(self, done: int, total: int | None = None) -> None:
        self._total = self._total if total is None else total
        if self._said or done <= self._first:
            return
        gone_s = time.monotonic() - self._begun
        if gone_s >= SETTLED_S:
            self._said = True
            expected_s = gone_s * (self._total - self._first) / (done - self._first)
            if expected_s > LONG_S:
                self._say(f"Expected to take about {duration_text(expected_s)}.")


def print_to_stderr(text: str) -> None:
    """A line between those of a run, in place of a counter that is there."""
    print("\r\033[K" * sys.stderr.isatty() + text, file=sys.stderr, flush=True)


class _Function:
    """Calls a function of the caller's, after the announcement."""

    def __init__(self, function: Callable[[int, int], None], total: int, done: int) -> None:
        self._function, self._total = function, total
        self._announce = _Announcement(total, done, print_to_stderr)

    def __call__(self, done: int, total: int | None = None) -> None:
        self._total = self._total if total is None else total
        self._announce(done, total)
        self._function(done, self._total)


class _Bar:
    """Moves a bar, with the announcement above it."""

    def __init__(self, bar: Any) -> None:
        self._bar = bar
        self._announce = _Announcement(bar.total, bar.n, lambda text: bar.write(text, file=sys.stderr))

    def __call__(self, done: int, total: int | None = None) -> None:
        if total is not None:
            self._bar.total = total
        self._announce(done, total)
        self._bar.update(done - self._bar.n)


def duration_text(seconds: float) -> str:
    """40 s, 5 min, 2.5 h."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
