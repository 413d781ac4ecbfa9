"""Sweep a grid of vans and trips: the same trials in every cell, results as labelled data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..engine.executors import run_all
from ..engine.interruption import Interrupted, StudyFailed
from ..engine.labelled_data import require_xarray, run_attributes, warnings_attribute
from ..engine.progress import ProgressOption, check_progress, track_progress
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions, require_pairs
from ..engine.simulation import run_cell
from ..engine.validation import require_van_and_trip, validate_int, warn_once
from ..model.cautions import CAUTION
from ..model.classes import Trip, Van
from ..model.clocks import clock_of
from ..model.errors import bad_input, checked_call
from ..version import __version__
from .cell_outcomes import COUNTS, DIFFERENCE, Layout, Outcomes, attributes, axis_of, outcomes
from .comparison_result import no_difference
from .grid import Axes, Grid, grid_of
from .study_store import StorePlace, StudyStore, clocks_of, details_of, identity_of
from .sweep_result import Sweep

if TYPE_CHECKING:
    import xarray


@checked_call
def sweep(
    van: Van,
    trip: Trip,
    axes: Axes,
    *,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    base: Mapping[str, object] | None = None,
    cells_per_task: int = 1,
    store: StorePlace | None = None,
) -> Sweep:
    """Simulate every combination of values, on the same trials, as labelled data (needs xarray).

    Parameters
    ----------
    van, trip : Van, Trip
        What does not change.
    axes : dict
        ``{"solar.rated_w": [100, 200], "trip.start": [...], "trip.site": [...]}``: a dimension for each dotted path
        (``trip.`` before those of the trip), in this order. Values may be configurations (a Site, a battery), which are
        labelled by their name or their climate's, or a dict of labels to values. Where such a value is a dict
        itself, ``{"AGM": {"battery": ..., "mains.charge_profile": ...}}``, all of it changes together.
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, the same in every cell: each equals ``simulate`` with that seed, bit for bit, and
        differences between cells are paired. Each cell runs on one thread, here or on the executor; progress counts
        cells.
    base : dict, optional
        Labels on one or more axes, ``{"solar.rated_w": 100}``: each cell's risk is compared with that of the cell that
        has these, and the same place on the other axes, as ``risk_difference`` with its paired interval.
    cells_per_task : int
        Cells that an executor is given at a time: more than one on a large cluster, so that its scheduler keeps up.
    store : optional
        Path of a Zarr store (or a store object). Each finished cell is written to it at once; the same call again
        runs only what is missing. A store of another study is refused. The finished study is in it as well:
        ``xarray.open_zarr(store, group="labelled")``.

    Returns
    -------
    Sweep
        Used like its xarray Dataset: ``risk``, ``risk_low``, ``risk_high`` [95 %, sampling error alone], ``trials``,
        ``risk_by_night``, quantiles of the first cut-out and of the lowest charge, means of all columns of
        ``Risk.columns``; units in the attributes. NaN only for what a cell's van or trip has not (tanks, medicine,
        later nights).

    Raises
    ------
    InputError
        An argument, or a value on an axis, is out of range: before any cell is run.
    Interrupted, StudyFailed
        Ctrl-C, or a cell that failed; ``finished`` is the sweep of the cells that were run, NaN elsewhere.

    Examples
    --------
    >>> found = rt.sweep(van, trip, {"solar.rated_w": [100, 300]}, trials=50)
    >>> found["risk"].dims, found["risk"].sizes["solar.rated_w"]
    (('solar.rated_w',), 2)
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    check_progress(progress)
    require_van_and_trip(van, trip)
    cells_per_task = validate_int("cells_per_task", cells_per_task, 1, 10_000)
    require_xarray()
    study = prepare_sweep(grid_of(van, trip, axes), options, base)
    warn_once(study.warnings)
    return study.sweep(cells_per_task, store, progress)


def prepare_sweep(grid: Grid, options: RunOptions, base: Mapping[str, Any] | None = None) -> SweepStudy:
    """A study that was found valid, before any of its cells is run; without warnings."""
    places = None if base is None else grid.base_places(base)
    if base is not None:
        require_pairs(options.trials)
    clocks = clocks_of(grid)
    layout, texts = _layout(grid, options, compared=base is not None)
    _require_free_names(grid, layout)
    return SweepStudy(grid, layout, options, texts, clocks, base, places)


@dataclass
class SweepStudy:
    """A grid, how its cells are run, and the rows of numbers of those that are finished."""

    grid: Grid
    layout: Layout
    options: RunOptions
    warnings: list[str]
    clocks: dict[str, str]
    base_labels: Mapping[str, Any] | None = None
    base: Mapping[str, int] | None = None  # places on the axes that name the base

    def __post_init__(self) -> None:
        self.rows = np.full((self.grid.cells, self.layout.width), np.nan)

    def sweep(self, cells_per_task: int, store: StorePlace | None, progress: ProgressOption) -> Sweep:
        """Run what a store has not, and keep it there."""
        kept = None if store is None else self._open(store)
        if kept is not None:
            self.rows[:] = kept.read()
        self.run(cells_per_task, kept, progress)
        found = self._result()
        if kept is not None:
            kept.close(found.dataset)
        return found

    def _open(self, store: StorePlace) -> StudyStore:
        grid, layout, options = self.grid, self.layout, self.options
        identity = identity_of(
            grid, version=__version__, trials=options.trials, seed=options.seed, precision=options.precision
        )
        identity["outcomes"] = ", ".join(layout.names)
        identity |= {} if self.base_labels is None else {"base": repr(dict(self.base_labels))}
        return StudyStore(store, identity, details_of(grid), self.clocks, layout.names, grid.cells, layout.width)

    def run(self, cells_per_task: int, store: StudyStore | None, progress: ProgressOption) -> None:
        """Run the cells that are not finished."""
        missing = np.flatnonzero(np.isnan(self.rows[:, 0])).tolist()
        done = self.grid.cells - len(missing)

        def jobs() -> Iterator[tuple[list[int], tuple[object, ...]]]:
            for at in range(0, len(missing), cells_per_task):
                cells = missing[at : at + cells_per_task]
                how = (self.options.trials, self.options.seed, self.options.precision)
                bases = None
                if self.base is not None:
                    bases = [self._dated(self.grid.base_of(cell, self.base)) for cell in cells]
                yield cells, ([self._dated(cell) for cell in cells], *how, bases)

        with track_progress(progress, self.grid.cells, done, "cell") as report_done:

            def finished(cells: list[int], result: tuple[list[Outcomes], str]) -> None:
                nonlocal done
                found, failure = result
                cells = cells[: len(found) + 1]
                rows = np.array([self.layout.row(one) for one in found]).reshape(len(found), self.layout.width)
                if store is not None and found:
                    store.write(cells[: len(found)], rows)
                self.rows[cells[: len(found)]] = rows
                done += len(found)
                report_done(done)
                if failure:
                    raise RuntimeError(f"{self.grid.name(cells[-1])}: {failure}")

            try:
                run_all(
                    cells_outcomes,
                    jobs(),
                    executor=self.options.executor,
                    threads=self.options.threads,
                    finished=finished,
                )
            except KeyboardInterrupt:
                found = self._result()
                raise Interrupted(f"sweep, {_how_far(found.dataset)},", found) from None
            except Exception as error:
                found = self._result()
                raise StudyFailed(f"{error} ({_how_far(found.dataset)})", found) from error

    def _result(self) -> Sweep:
        return Sweep(self.dataset(), self.grid.van, self.grid.trip)

    def _dated(self, cell: int) -> DatedCell:
        """A cell with its clock, as a worker's time-zone data may be older."""
        van, trip = self.grid.cell(cell)
        return van, trip, clock_of(trip)

    def dataset(self) -> xarray.Dataset:
        """The labelled outcomes, NaN where a cell was not run."""
        import xarray

        grid, layout = self.grid, self.layout
        dims = tuple(axis.name for axis in grid.axes)
        coordinates: dict[str, Any] = {a.name: (a.name, a.coordinate, grid.units(a)) for a in grid.axes}
        for along in grid.axes:
            coordinates |= along.place_coordinates(set(dims))
        variables: dict[str, Any] = {}
        for name in layout.names:
            values: NDArray[Any] = self.rows[:, layout.places[name]]
            if name in COUNTS and not np.isnan(values).any():
                values = values.astype(np.int64)
            axis = axis_of(name)
            if axis:
                coordinates[axis] = (axis, list(layout.axes[axis]))
            shape = (*grid.shape, layout.length(axis)) if axis else grid.shape
            variables[name] = ((*dims, axis) if axis else dims, values.reshape(shape), attributes(name))
        about = {
            "precision": self.options.precision,
            **run_attributes(self.grid.van, self.grid.trip, self.options.seed, self.options.trials),
            "interval": "95 %, sampling error alone; the model's own error is not in it",
            "caution": CAUTION,
        }
        return xarray.Dataset(variables, coordinates, warnings_attribute(self.warnings) | about)


DatedCell = tuple[Van, Trip, _core.Clock]


def cells_outcomes(
    cells: list[DatedCell], trials: int, seed: int, precision: Precision, bases: list[DatedCell] | None = None
) -> tuple[list[Outcomes], str]:
    """All outcomes of some cells, in whatever process, up to the first that fails, and why that failed."""
    found: list[Outcomes] = []
    for i, (van, trip, clock) in enumerate(cells):
        try:
            risk = run_cell(van, trip, trials, seed, precision, clock)
            row = outcomes(risk)
            if bases is not None:
                base_van, base_trip, base_clock = bases[i]
                if (van, trip) == (base_van, base_trip):
                    gap = no_difference(trials)
                else:
                    failed = _failed_trials(base_van, base_trip, _KeyedClock.of(base_clock), trials, seed, precision)
                    gap = _core.paired_difference(risk.columns["cutout_cause"] > 0, failed)
                row |= dict(zip(DIFFERENCE, (gap.value, gap.low, gap.high), strict=True))
        except Exception as error:
            return found, f"{type(error).__name__}: {error}"
        found.append(row)
    return found, ""


@dataclass(frozen=True)
class _KeyedClock:
    """A clock that can be a key."""

    text: str
    clock: _core.Clock = field(compare=False)

    @classmethod
    def of(cls, clock: _core.Clock) -> _KeyedClock:
        return cls(f"{clock.zone} {clock.utc_offset_h} {clock.changes}", clock)


@lru_cache(maxsize=64)
def _failed_trials(
    van: Van, trip: Trip, keyed: _KeyedClock, trials: int, seed: int, precision: Precision
) -> NDArray[np.bool_]:
    """Which trials of a base cell fail: run once in each process, for all cells that are compared with it."""
    return np.asarray(run_cell(van, trip, trials, seed, precision, keyed.clock).columns["cutout_cause"] > 0)


def _layout(grid: Grid, options: RunOptions, *, compared: bool) -> tuple[Layout, list[str]]:
    """The outcomes there are and the warnings, by one trial of every value on every axis: bad values fail here."""
    names: dict[str, None] = {}
    nights, said = 0, set()
    for van, trip in grid.edges():
        risk = run_cell(van, trip, 1, options.seed, options.precision)
        said |= set(risk.warnings)
        names |= dict.fromkeys(outcomes(risk))
        nights = max(nights, risk.nights)
    return Layout([*names, *(DIFFERENCE if compared else ())], nights), sorted(said)


def _require_free_names(grid: Grid, layout: Layout) -> None:
    """InputError where an axis is called like an outcome or like the labels of one."""
    for axis in grid.axes:
        if axis.name in layout.names or axis.name in layout.axes:
            raise bad_input("axes", reason=f"{axis.name!r} is the name of an outcome; give the axis another one")


def _how_far(dataset: xarray.Dataset) -> str:
    done = int(np.isfinite(dataset["trials"]).sum())
    return f"{done:,} of {dataset['trials'].size:,} cells finished"
