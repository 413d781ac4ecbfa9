"""Simulate one van on one trip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, NoReturn

import ridethrough._core as _core

from ..model import clocks
from ..model.checks import validate_choice
from ..model.classes import Trip, Van
from ..model.errors import NOT_GIVEN, bad_input, checked_call, unknown_name
from ..model.outputs import TIME_SERIES
from .executors import run_all
from .interruption import Interrupted, StudyFailed
from .progress import ProgressOption, ReportDone, report_nothing, track_progress
from .risk import Risk
from .run_options import TRIALS, ExecutorOption, Precision, RunOptions
from .trial_sums import Summary
from .validation import compile_trip, compile_with_warnings, require_van_and_trip, validate_number, validate_trials

MOST_SERIES_GIB = 8
MOST_ADDED = 1_000_000  # trials, until an interval is narrow enough
_CHUNK = 65_536  # trials of a part; sums are added part by part, so that they do not depend on where a part runs


@checked_call
def simulate(
    van: Van,
    trip: Trip,
    *,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    half_width: float | None = None,
    max_trials: int | None = None,
    time_series: bool | Sequence[str] = False,
    keep: Literal["columns", "summary"] = "columns",
) -> Risk:
    """Simulate a trip many times over and return its :class:`Risk`.

    Parameters
    ----------
    van, trip : Van, Trip
        What is simulated. Nothing runs before both are found valid.
    trials : int
        Random trials, 1 to 1e9. With ``half_width`` this is the first block.
    seed : int
        0 to 2**64 - 1. The same seed gives the same trials, bit for bit, whatever the threads; the first k trials
        of a longer run are those of a run of k.
    threads : int
        0 for one per processor; not to be given beside an executor.
    precision : {"double", "single"}
        Number type of the hourly kernel.
    executor : optional
        Where to run parts of 65,536 trials, on one thread each: any :mod:`concurrent.futures` executor or a
        ``dask.distributed.Client``; for very large runs. Not given: the threads of this process. Same bits either way.
    progress : bool or callable, optional
        Bar (True), none (False), or ``progress(done, total)``, in which an exception stops the run. Not given: a bar
        where stderr is a terminal. A run of more than half a minute says its expected time after its first steps,
        beside the bar or the function, or in place of a bar where tqdm is not installed.
    half_width : float, optional
        Add trials until the 95 % interval is no wider than this either way, as a probability (0.005: half a point).
        ``risk.half_width_reached`` says whether that was so by ``max_trials``.
    max_trials : int, optional
        Most trials with ``half_width``, 1 to 1e9; a million where not given.
    time_series : bool or sequence of str
        Keep hourly time series of every trial: all of ``ridethrough.TIME_SERIES``, or those named.
        ``risk.time_series[name]`` is labelled by trial and hour, ``risk.time_series_values[name]`` a plain array;
        ``explain("time_series")`` says what each is: unit, mean or end of the hour, compressor on or off. What trips
        the fridge's cut-out is ``lowest_fridge_v``, not the hour's mean ``fridge_v``.
    keep : {"columns", "summary"}
        Results of every trial, or counts and means only, in constant memory.

    Returns
    -------
    Risk
        The probability of a cut-out with its interval, and what goes with it.

    Raises
    ------
    InputError
        Something in the van, the trip or the arguments is missing or out of range.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` is the risk of the trials that were run, or None.

    Examples
    --------
    >>> risk = rt.simulate(van, trip, trials=200, seed=1)
    >>> risk.cutout.low <= risk.cutout.value <= risk.cutout.high, risk.cutout.trials
    (True, 200)
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_van_and_trip(van, trip)
    if half_width is None and max_trials is not None:
        raise bad_input("max_trials", max_trials, reason="says nothing without half_width; trials is their number")
    stop = _StoppingRule(half_width, MOST_ADDED if max_trials is None else max_trials)
    names = _validate_kept(time_series, keep)
    compiled = compile_with_warnings(van, trip)
    summary = Summary(compiled, keep_columns=keep == "columns", time_series=names)
    with track_progress(progress, stop.first_block(options.trials), 0, "trial") as report_done:
        raised = _run_to_the_end(summary, van, trip, compiled, options, stop, report_done)
    risk = None
    if summary.trials:
        risk = _risk_of(van, trip, compiled, summary, options)
        risk._show_progress = None if callable(progress) else progress
        risk.half_width_reached = half_width is None or _core.half_width_reached(risk.cutout, half_width)
    if raised is not None:
        _raise_with_what_is_finished(raised, summary.trials, risk)
    assert risk is not None
    return risk


def _raise_with_what_is_finished(raised: BaseException, trials: int, risk: Risk | None) -> NoReturn:
    if isinstance(raised, KeyboardInterrupt):
        raise Interrupted(f"simulate, {trials:,} trials finished,", risk) from None
    if isinstance(raised, _core.InputError):  # stays one
        vars(raised)["finished"] = risk
    elif isinstance(raised, Exception):
        why = f"simulate: {type(raised).__name__}: {raised} ({trials:,} trials finished)"
        raise StudyFailed(why, risk) from raised
    raise raised


def run_trip(
    van: Van,
    trip: Trip,
    options: RunOptions,
    *,
    time_series: Sequence[str] = (),
    report_done: ReportDone = report_nothing,
    clock: _core.Clock | None = None,
) -> Risk:
    """What :func:`simulate` gives, of values already checked and without warnings: one of the runs of a study."""
    compiled = compile_trip(van, trip, clock)
    summary = Summary(compiled, keep_columns=True, time_series=time_series)
    raised = _run_to_the_end(summary, van, trip, compiled, options, _StoppingRule(None, 1), report_done)
    if raised is not None:
        raise raised
    return _risk_of(van, trip, compiled, summary, options)


def _risk_of(van: Van, trip: Trip, compiled: _core.Compiled, summary: Summary, options: RunOptions) -> Risk:
    """The risk of what was summed up; it takes the hourly series along, which are large."""
    series = summary.finish().take_time_series()
    return Risk(van, trip, compiled, summary, options.seed, options.precision, series, options.threads)


@dataclass(frozen=True)
class _StoppingRule:
    """When a run ends: after its trials, or once the interval is narrow enough or the trials are too many."""

    half_width: float | None
    max_trials: int

    def __post_init__(self) -> None:
        validate_trials(self.max_trials, "max_trials")
        if self.half_width is not None:
            validate_number("half_width", self.half_width, 1e-6, 0.49)

    def first_block(self, trials: int) -> int:
        return trials if self.half_width is None else min(trials, self.max_trials)

    def next_block(self, summary: Summary) -> int:
        """Trials to be added to those there are; 0 ends the run."""
        if self.half_width is None:
            return 0
        return _core.next_block(summary.events, summary.trials, half_width=self.half_width, max_trials=self.max_trials)


def _run_to_the_end(
    summary: Summary,
    van: Van,
    trip: Trip,
    compiled: _core.Compiled,
    options: RunOptions,
    stop: _StoppingRule,
    report_done: ReportDone,
) -> BaseException | None:
    """Run block after block; returns what ended the run early, or None."""
    added = stop.first_block(options.trials)
    while added:
        wanted = summary.trials + added
        require_series_memory(compiled, wanted, list(summary.time_series))
        if options.executor is None:
            raised = _run_here(summary, compiled, wanted, options, report_done)
        else:
            raised = _run_on_executor(summary, van, trip, compiled, wanted, options, report_done)
        if raised is not None:
            return raised
        added = stop.next_block(summary)
    return None


def _validate_kept(time_series: bool | str | Sequence[str], keep: str) -> list[str]:
    """The hourly time series to keep, by name."""
    validate_choice("keep", keep, ("columns", "summary"))
    if not isinstance(time_series, (bool, str, list, tuple)) or not all(
        isinstance(p, str) for p in _series_names(time_series)
    ):
        raise bad_input("time_series", time_series, allowed="True, False or names out of ridethrough.TIME_SERIES")
    names = _series_names(time_series)
    if names and keep == "summary":
        raise bad_input("time_series", reason="not kept with keep='summary'")
    unknown = [name for name in names if name not in TIME_SERIES]
    if unknown:
        if now := _core.FORMER_RESULTS.get(unknown[0]):
            raise bad_input("time_series", reason=f"{unknown[0]!r}: now {now!r}")
        what = f"{unknown[0]!r} is no time series"
        raise unknown_name("time_series", NOT_GIVEN, list(TIME_SERIES), what, name=unknown[0])
    return names


def _series_names(time_series: bool | str | Sequence[str]) -> list[str]:
    if isinstance(time_series, bool):
        return list(TIME_SERIES) if time_series else []
    return [time_series] if isinstance(time_series, str) else list(time_series)


def require_series_memory(compiled: _core.Compiled, trials: int, names: list[str]) -> None:
    """InputError where the hourly time series would take too much memory."""
    size_gib = 8 * len(names) * trials * compiled.hours / 2**30
    if size_gib > MOST_SERIES_GIB:
        raise bad_input(
            "time_series",
            reason=f"{len(names)} series of {trials:,} trials take {size_gib:.0f} GiB",
            allowed=f"{MOST_SERIES_GIB} GiB: fewer trials, or name fewer",
        )


def _run_here(
    summary: Summary, compiled: _core.Compiled, wanted: int, options: RunOptions, report_done: ReportDone
) -> BaseException | None:
    """Run trials on this process's threads until there are `wanted`; returns what ended that early, or None."""
    while summary.trials < wanted:
        first = summary.trials

        def report(done: int, first: int = first) -> None:
            report_done(first + done, wanted)

        part = _core.simulate(
            compiled,
            min(_CHUNK, wanted - first),
            options.seed,
            first_trial=first,
            threads=options.threads,
            precision=options.precision,
            progress=report,
            time_series=list(summary.time_series),
        )
        summary.add(part)
        if part["raised"] is not None:
            return part["raised"]  # type: ignore[no-any-return]
    return None


def _run_on_executor(
    summary: Summary,
    van: Van,
    trip: Trip,
    compiled: _core.Compiled,
    wanted: int,
    options: RunOptions,
    report_done: ReportDone,
) -> BaseException | None:
    """The same in parts over an executor; parts are added in the order of their trials."""
    early: dict[int, Summary] = {}

    def finished(first: int, part: Summary) -> None:
        early[first] = part
        while summary.trials in early:
            summary.merge(early.pop(summary.trials))
            report_done(summary.trials, wanted)

    keep, names, clock = summary.keeps_columns, list(summary.time_series), compiled.clock
    seed, precision = options.seed, options.precision
    starts = range(summary.trials, wanted, _CHUNK)
    jobs = ((at, (van, trip, clock, min(_CHUNK, wanted - at), seed, at, precision, keep, names)) for at in starts)
    try:
        run_all(run_part, jobs, executor=options.executor, threads=0, finished=finished)
    except BaseException as raised:  # returned, so that the finished parts are kept first
        return raised
    return None


def run_core(compiled: _core.Compiled, trials: int, seed: int, **options: Any) -> dict[str, Any]:
    """The core's trials, all of them: what stopped it early is raised."""
    part: dict[str, Any] = _core.simulate(compiled, trials, seed, **options)
    if part["raised"] is not None:
        raise part["raised"]
    return part


def run_part(
    van: Van,
    trip: Trip,
    clock: _core.Clock,
    count: int,
    seed: int,
    first: int,
    precision: str,
    keep_columns: bool,
    time_series: list[str],
) -> Summary:
    """Trials [first, first + count) on one thread: one part of a run, in whatever process, with the caller's clock."""
    compiled = clocks.compile_with_clock(van, trip, clock)
    summary = Summary(compiled, keep_columns=keep_columns, time_series=time_series)
    summary.add(
        run_core(compiled, count, seed, first_trial=first, threads=1, precision=precision, time_series=time_series)
    )
    return summary


def run_cell(
    van: Van, trip: Trip, trials: int, seed: int, precision: Precision, clock: _core.Clock | None = None
) -> Risk:
    """A run of a study on one thread, in whatever process."""
    return run_trip(van, trip, RunOptions(trials=trials, seed=seed, threads=1, precision=precision), clock=clock)
