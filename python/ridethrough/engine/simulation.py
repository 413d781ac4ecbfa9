"""Simulate one van on one trip."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Literal

import ridethrough._core as _core

from ..model import clocks
from ..model.classes import Trip, Van
from ..model.outputs import PATHS
from .executors import check_executor, run_all
from .interruption import Interrupted
from .risk import Risk
from .trial_sums import Summary
from .validation import compile_trip, compile_with_warnings, validate_int, validate_number, validate_run

Progress = Callable[[int, int], None]
MOST_PATHS_GIB = 8
_CHUNK = 65_536  # trials of a part; sums are added part by part, so that they do not depend on where a part runs


def simulate(
    van: Van,
    trip: Trip,
    *,
    trials: int = 10_000,
    seed: int = 0,
    threads: int = 0,
    precision: Literal["double", "single"] = "double",
    half_width: float | None = None,
    max_trials: int = 1_000_000,
    paths: bool | Sequence[str] = False,
    keep: Literal["columns", "summary"] = "columns",
    progress: Progress | None = None,
    executor: Any = None,
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
        0 for one per processor.
    precision : {"double", "single"}
        Number type of the hourly kernel.
    half_width : float, optional
        Add trials until the 95 % interval is no wider than this either way, as a probability (0.005: half a point).
        ``risk.reached`` says whether that was so by ``max_trials``.
    paths : bool or sequence of str
        Keep hourly paths of every trial: all of ``ridethrough.PATHS``, or those named. ``risk.paths[name]`` has
        shape (trials, hours); ``explain("paths")`` says what each is: unit, mean or end of the hour, compressor on or
        off. What trips the fridge's cut-out is ``lowest_fridge_v``, not the hour's mean ``fridge_v``.
    keep : {"columns", "summary"}
        Results of every trial, or counts and means only, in constant memory.
    progress : callable, optional
        Called now and then as ``progress(done, wanted)``; an exception in it stops the run.
    executor : optional
        Where to run parts of 65,536 trials, on one thread each: any :mod:`concurrent.futures` executor or a
        ``dask.distributed.Client``; for very large runs. Not given: the threads of this process. Same bits either way.

    Raises
    ------
    InputError
        Something in the van, the trip or the arguments is missing or out of range.
    Interrupted
        Ctrl-C; ``finished`` is the risk of the trials that were run, or None.
    """
    trials, seed, threads = validate_run(van, trip, trials, seed, threads)
    check_executor(executor)
    max_trials = validate_int("max_trials", max_trials, 1, 1_000_000_000)
    if keep not in ("columns", "summary"):
        raise _core.InputError(f"keep = {keep!r}: allowed 'columns', 'summary'")
    half_width = None if half_width is None else validate_number("half_width", half_width, 1e-6, 0.49)
    if not isinstance(paths, (bool, str, list, tuple)) or not all(isinstance(p, str) for p in _path_names(paths)):
        raise _core.InputError(f"paths = {paths!r}: allowed True, False or names out of ridethrough.PATHS")
    names = _path_names(paths)
    if names and keep == "summary":
        raise _core.InputError("paths: not kept with keep='summary'")
    unknown = [name for name in names if name not in PATHS]
    if unknown:
        near = _core.nearest_name(unknown[0], list(PATHS))
        hint = f"did you mean {near!r}?" if near else f"allowed {', '.join(PATHS)}"
        raise _core.InputError(f"paths: {unknown[0]!r} is no path; {hint}")

    compiled = compile_with_warnings(van, trip)

    summary = Summary(compiled, keep_columns=keep == "columns", paths=names)
    wanted, raised = trials if half_width is None else min(trials, max_trials), None
    while raised is None:
        require_path_memory(compiled, wanted, names)
        if executor is None:
            raised = _run_here(summary, compiled, wanted, seed, threads, precision, progress)
        else:
            raised = _run_on_executor(summary, van, trip, compiled, wanted, seed, precision, progress, executor)
        if half_width is None or raised is not None:
            break
        added = _core.next_block(summary.events, summary.trials, half_width=half_width, max_trials=max_trials)
        if added == 0:
            break
        wanted = summary.trials + added
    risk = None
    if summary.trials:
        risk = Risk(van, trip, compiled, summary.finish(), seed, precision, summary.paths)
        risk.reached = half_width is None or _core.half_width_reached(risk.cutout, half_width)
    if isinstance(raised, KeyboardInterrupt):
        raise Interrupted(f"simulate, {summary.trials:,} trials finished,", risk) from None
    if raised is not None:
        raise raised
    assert risk is not None
    return risk


def _path_names(paths: bool | str | Sequence[str]) -> list[str]:
    if isinstance(paths, bool):
        return list(PATHS) if paths else []
    return [paths] if isinstance(paths, str) else list(paths)


def require_path_memory(compiled: Any, trials: int, names: list[str]) -> None:
    size_gib = 8 * len(names) * trials * compiled.hours / 2**30
    if size_gib > MOST_PATHS_GIB:
        raise _core.InputError(
            f"paths: {len(names)} paths of {trials:,} trials take {size_gib:.0f} GiB; allowed {MOST_PATHS_GIB} GiB: "
            "fewer trials, or name fewer paths"
        )


def _run_here(
    summary: Summary,
    compiled: Any,
    wanted: int,
    seed: int,
    threads: int,
    precision: str,
    progress: Progress | None,
) -> BaseException | None:
    """Run trials until there are `wanted`; returns what stopped it early, or None."""
    while summary.trials < wanted:
        first = summary.trials
        count = min(_CHUNK, wanted - first)

        def report(done: int, first: int = first) -> None:
            if progress is not None:
                progress(first + done, wanted)

        part = _core.simulate(
            compiled,
            count,
            seed,
            first_trial=first,
            threads=threads,
            precision=precision,
            progress=report,
            paths=list(summary.paths),
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
    seed: int,
    precision: str,
    progress: Progress | None,
    executor: Any,
) -> BaseException | None:
    """The same in parts over an executor; parts are added in the order of their trials."""
    early: dict[int, Summary] = {}

    def finished(first: int, part: Summary) -> None:
        early[first] = part
        while summary.trials in early:
            summary.merge(early.pop(summary.trials))
            if progress is not None:
                progress(summary.trials, wanted)

    keep, names, clock = summary.keeps_columns, list(summary.paths), compiled.clock
    starts = range(summary.trials, wanted, _CHUNK)
    jobs = ((at, (van, trip, clock, min(_CHUNK, wanted - at), seed, at, precision, keep, names)) for at in starts)
    try:
        run_all(run_part, jobs, executor=executor, threads=0, finished=finished)
    except BaseException as raised:  # returned, so that the finished parts are kept first
        return raised
    return None


def run_core(compiled: Any, trials: int, seed: int, **options: Any) -> dict[str, Any]:
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
    paths: list[str],
) -> Summary:
    """Trials [first, first + count) on one thread: one part of a run, in whatever process, with the caller's clock."""
    compiled = clocks.compile_with_clock(van, trip, clock)
    summary = Summary(compiled, keep_columns=keep_columns, paths=paths)
    summary.add(run_core(compiled, count, seed, first_trial=first, threads=1, precision=precision, paths=paths))
    return summary


def run_cell(van: Van, trip: Trip, trials: int, seed: int, precision: str, clock: _core.Clock | None = None) -> Risk:
    """What :func:`simulate` gives, of values already checked, on one thread and without warnings."""
    compiled = compile_trip(van, trip, clock)
    summary = Summary(compiled, keep_columns=True)
    raised = _run_here(summary, compiled, trials, seed, 1, precision, None)
    if raised is not None:
        raise raised
    return Risk(van, trip, compiled, summary.finish(), seed, precision, {})
