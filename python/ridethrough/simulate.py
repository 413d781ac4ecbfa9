"""Running the trials of one van on one trip."""

from __future__ import annotations

import operator
import warnings
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, Literal

import ridethrough._core as _core

from .risk import Risk
from .summary import Summary

if TYPE_CHECKING:
    from ridethrough import Trip, Van

Progress = Callable[[int, int], None]
_CHUNK = 65_536  # trials whose columns are held at once where only a summary is kept


class Interrupted(KeyboardInterrupt):
    """Raised where a run was stopped by Ctrl-C; ``risk`` holds the trials that were finished, or None."""

    def __init__(self, risk: Risk | None) -> None:
        done = risk.trials if risk else 0
        super().__init__(f"stopped after {done:,} finished trials")
        self.risk = risk


def _whole(name: str, value: Any, low: int, high: int) -> int:
    whole = None if isinstance(value, bool) or not hasattr(value, "__index__") else operator.index(value)
    if whole is None or not low <= whole <= high:
        raise _core.InputError(f"{name} = {value!r}: allowed whole numbers {low:,} to {high:,}")
    return whole


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
        shape (trials, hours).
    keep : {"columns", "summary"}
        Results of every trial, or counts and means only, in constant memory.
    progress : callable, optional
        Called now and then as ``progress(done, wanted)``; an exception in it stops the run.

    Raises
    ------
    InputError
        Something in the van, the trip or the arguments is missing or out of range.
    Interrupted
        Ctrl-C; what was finished is in its ``risk``.
    """
    trials = _whole("trials", trials, 1, 1_000_000_000)
    seed = _whole("seed", seed, 0, 2**64 - 1)
    threads = _whole("threads", threads, 0, 4096)
    max_trials = _whole("max_trials", max_trials, 1, 1_000_000_000)
    if keep not in ("columns", "summary"):
        raise _core.InputError(f"keep = {keep!r}: allowed 'columns', 'summary'")
    if half_width is not None and not 1e-6 <= half_width <= 0.49:
        raise _core.InputError(f"half_width = {half_width!r}: allowed 0.000001 to 0.49")
    for name, value in (("van", van), ("trip", trip)):
        if not isinstance(value, _core.Record) or type(value).__name__.lower() != name:
            raise _core.InputError(f"{name} = {value!r}: must be a {name.capitalize()}")
    names = list(_core.PATHS) if paths is True else [paths] if isinstance(paths, str) else list(paths or ())
    if names and keep == "summary":
        raise _core.InputError("paths: not kept with keep='summary'")
    unknown = [name for name in names if name not in _core.PATHS]
    if unknown:
        near = _core.nearest_name(unknown[0], list(_core.PATHS))
        hint = f"did you mean {near!r}?" if near else f"allowed {', '.join(_core.PATHS)}"
        raise _core.InputError(f"paths: {unknown[0]!r} is no path; {hint}")

    compiled = _core.Compiled(van, trip)
    for text in compiled.warnings:
        warnings.warn(text, UserWarning, stacklevel=2)

    summary = Summary(compiled, keep_columns=keep == "columns")
    wanted, raised = trials if half_width is None else min(trials, max_trials), None
    while raised is None:
        raised = _extend(summary, compiled, wanted, seed, threads, precision, progress)
        if half_width is None or raised is not None:
            break
        added = _core.next_block(summary.events, summary.trials, half_width=half_width, max_trials=max_trials)
        if added == 0:
            break
        wanted = summary.trials + added
    risk = None
    if summary.trials:
        kept = _core.trace(compiled, list(range(summary.trials)), seed, precision, names) if names else {}
        risk = Risk(van, trip, compiled, summary.finish(), seed, precision, {name: kept[name] for name in names})
        risk.reached = half_width is None or _core.half_width_reached(risk.cutout, half_width)
    if isinstance(raised, KeyboardInterrupt):
        raise Interrupted(risk) from None
    if raised is not None:
        raise raised
    assert risk is not None
    return risk


def _extend(
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
        count = wanted - first if summary.keeps_columns else min(_CHUNK, wanted - first)

        def report(done: int, first: int = first) -> None:
            if progress is not None:
                progress(first + done, wanted)

        part = _core.simulate(
            compiled, count, seed, first_trial=first, threads=threads, precision=precision, progress=report
        )
        summary.add(part)
        if part["raised"] is not None:
            return part["raised"]  # type: ignore[no-any-return]
    return None
