"""Rank uncertain inputs by what they do to an outcome: which one to measure first."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

import ridethrough._core as _core

from ..engine.error_causes import path_in_scenario
from ..engine.labelled_data import run_attributes
from ..engine.progress import PartDone, ProgressOption, ReportDone, check_progress, track_progress
from ..engine.result import Result
from ..engine.run_options import ExecutorOption, Precision, RunOptions
from ..engine.simulation import run_cell
from ..engine.validation import compile_trip, compile_with_warnings, require_van_and_trip, validate_int
from ..model.cautions import CAUTION
from ..model.checks import validate_choice
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call, unknown_name
from ..model.parameter_paths import field_at, value_at
from ..model.places import with_climates
from .cell_outcomes import attributes, axis_of, outcomes
from .grid import grid_of
from .grid_sweep import prepare_sweep
from .sensitivity_indices import METHODS, Array, SensitivityIndices, UncertainInput, analyse

if TYPE_CHECKING:
    import xarray

    from ..report.pictures.picture import Picture


_PERSISTENCE = "site.climate.clearness_lag1"
_PERSISTENCE_SPREAD = (-0.09, 0.0, 0.21)  # added to the value given: .2 to .5 about .29, from memory of published sites
_SAMPLES = {"sobol": 256, "morris": 20}


@dataclass(frozen=True, eq=False, repr=False)
class Sensitivity(Result):
    """What :func:`sensitivity` returns: indices of every input, most important first, and what follows from them.

    Attributes
    ----------
    dataset : xarray.Dataset
        Along input. With Sobol' ``first_order`` and ``total`` (shares of the variance that the inputs cause: alone,
        and
        with all their interactions), with Morris ``mu_star`` (mean size of the outcome's change across the input's
        middle
        98 %) and ``sigma``; each ``_half_width`` is that of a 95 % bootstrap interval over the points.
        ``noise_share`` in
        the attributes is the part of the variance over the points that more trials would remove.
    van, trip : Van, Trip
        What was simulated, with the inputs drawn from their spreads.

    Examples
    --------
    >>> spreads = {"battery.capacity_ah": rt.spreads.uniform(100, 160), "fridge.set_point_c": rt.spreads.uniform(3, 6)}
    >>> found = rt.sensitivity(van, trip, spreads, method="morris", samples=2, trials=30, outcome="hours_below_half")
    >>> len(found.ranking) == found.dataset.sizes["input"]
    True
    """

    dataset: xarray.Dataset
    van: Van | None = None
    trip: Trip | None = None

    def __repr__(self) -> str:
        about = self.dataset.attrs
        inputs = f"{len(self.ranking)} inputs of {about['outcome']}, {about['method']}"
        return f"<Sensitivity: {inputs}, {about['points']:,} points, seed {about['seed']}>"

    @property
    def measurable(self) -> list[str]:
        """Those of them that a person can measure on the van: no habits, no weather and none of the model's own."""
        owners = dict(zip(self.ranking, self.dataset["owner"].values.tolist(), strict=True))
        return [name for name in self.measure_first if owners[name] == "van"]

    @checked_call
    def interval(self, name: str, place: int) -> tuple[float, float, float]:
        """An index of the input at a place of the ranking, with its interval.

        Parameters
        ----------
        name : str
            Of the index: "total", "first_order", "mu_star", "sigma".
        place : int
            In the ranking, from 0.

        Returns
        -------
        (float, float, float)
            Value, low and high end of the 95 % interval, in the index's unit.
        """
        value = float(self.dataset[name][place])
        half = float(self.dataset[f"{name}_half_width"][place]) if f"{name}_half_width" in self.dataset else 0.0
        low = max(value - half, 0.0) if name == "mu_star" else value - half  # a mean of sizes is never below 0
        return value, low, value + half

    def to_xarray(self) -> xarray.Dataset:
        """The same as ``dataset``: dimension input, most important first."""
        return self.dataset

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of the van and the trip; in the dataset's attributes a line each."""
        return tuple(self.dataset.attrs.get("warnings", "").splitlines())

    @property
    def ranking(self) -> list[str]:
        """Inputs, most important first."""
        return [str(name) for name in self.dataset["input"].values]

    @property
    def measure_first(self) -> list[str]:
        """The input to measure first, with those as high within the intervals; empty where none stands out."""
        key = METHODS[str(self.dataset.attrs["method"])][0]
        value, half = self.dataset[key].values, self.dataset[f"{key}_half_width"].values
        floor = self.dataset["mu_star_noise"].values if key == "mu_star" else 0.0
        if not (value - half > floor)[0]:
            return []
        return [name for name, high in zip(self.ranking, value + half, strict=True) if high >= value[0] - half[0]]

    @property
    def advice(self) -> str:
        """One sentence or two: which input to go and measure."""
        from ..report.sensitivity_report import format_advice

        return format_advice(self)

    @checked_call
    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """The inputs, ranked, with their intervals (needs matplotlib)."""
        from ..report.pictures.rankings import plot_sensitivity
        from ..report.plots import checked

        return plot_sensitivity(self, *checked(size, title))


@checked_call
def sensitivity(
    van: Van,
    trip: Trip,
    spreads: Mapping[str, _core.Spread] | None = None,
    *,
    method: Literal["sobol", "morris"] = "sobol",
    outcome: str = "risk",
    samples: int | None = None,
    trials: int = 500,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    store: str | os.PathLike[str] | None = None,
) -> Sensitivity:
    """Rank the inputs that are not known by what they do to an outcome (needs SALib and xarray).

    Parameters
    ----------
    van, trip : Van, Trip
        What is simulated.
    spreads : dict of str to Spread, optional
        Dotted paths and what is not known about them. Not given: every spread per trial that van and trip have. The
        level of the battery's open-circuit voltage table and, for generated weather, the persistence of clearness are
        always among them.
    method : {"sobol", "morris"}
        First-order and total indices (samples x (inputs + 2) points), or a screening for many inputs
        (samples x (inputs + 1) points).
    outcome : str
        Any outcome of :func:`ridethrough.sweep` that is one number: "risk", "hours_off", "min_soc", ...
    samples : int, optional
        Base points, a power of two (256), or Morris trajectories (20).
    trials : int
        Of each point, fewer than in other studies as there are many points. Each is run twice, with ``seed`` and with
        the next, the same in all points: what differs is noise, and is taken off the effect of the inputs.
    seed, threads, precision, executor, progress, store : optional
        As of :func:`sweep`.

    Returns
    -------
    Sensitivity
        Indices of every input, the most important first.

    Raises
    ------
    InputError
        No spread at a path, an outcome that is not one number, or anything :func:`simulate` refuses.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; with ``store`` the same call goes on where it ended.

    Examples
    --------
    >>> spreads = {"battery.capacity_ah": rt.spreads.uniform(100, 160)}
    >>> found = rt.sensitivity(van, trip, spreads, method="morris", samples=2, trials=30, outcome="hours_below_half")
    >>> "battery.capacity_ah" in found.ranking
    True
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    check_progress(progress)
    require_van_and_trip(van, trip)
    trip = with_climates(trip)  # paths lead into their climates
    validate_choice("method", method, list(METHODS))
    if store is not None and not isinstance(store, (str, os.PathLike)):
        raise bad_input("store", store, allowed="the path of a folder")
    samples = _SAMPLES[method] if samples is None else validate_int("samples", samples, 2, 1_000_000)
    _check_outcome(van, trip, outcome, options)
    named = _inputs(van, trip, spreads)
    warned = compile_with_warnings(van, trip).warnings
    paths = {name: _persistence_paths(trip) if name == _persistence(trip) else [name] for name in named}

    def evaluate(values: Array) -> tuple[Array, Array]:
        points = {
            str(i): {path: x for name, x in zip(named, row, strict=True) for path in paths[name]}
            for i, row in enumerate(values.tolist())
        }
        with track_progress(progress, 2 * len(points), 0, "point") as report_done:
            return run(points, 0, report_done), run(points, 1, report_done)

    def run(points: dict[str, dict[str, float]], shift: int, report_done: ReportDone) -> Array:
        study = prepare_sweep(
            grid_of(van, trip, {"point": points}), replace(options, seed=(options.seed + shift) % 2**64)
        )
        place = None if store is None else os.path.join(store, f"seed {shift}")
        values: Array = study.sweep(1, place, PartDone(report_done, shift * len(points))).dataset[outcome].values
        return values

    indices = analyse(named, evaluate, method=method, samples=samples, seed=seed)
    found = _dataset(van, trip, named, paths, indices, outcome, trials, seed)
    return Sensitivity(found.assign_attrs({"warnings": "\n".join(warned)} if warned else {}), van, trip)


def _check_outcome(van: Van, trip: Trip, outcome: object, options: RunOptions) -> None:
    """InputError, before any point is run, where a run has no such outcome, or not as one number."""
    run = run_cell(van, trip, 1, options.seed, options.precision)
    one_number = [name for name in outcomes(run) if not axis_of(name)]
    if not isinstance(outcome, str) or outcome not in one_number:
        parts = [name for name in one_number if str(outcome) in name.split("_")]
        near = parts[0] if parts else str(outcome)
        raise unknown_name("outcome", outcome, one_number, "a run has no such outcome that is one number", name=near)


def _inputs(van: Van, trip: Trip, spreads: Mapping[str, _core.Spread] | None) -> dict[str, UncertainInput]:
    if spreads is None:
        compiled = compile_trip(van, trip)
        paths = [path_in_scenario(trip, compiled.parameter_paths[i]) for i in compiled.spread_parameters]
        spreads = {path: value for path in paths if isinstance(value := value_at(van, trip, path), _core.Spread)}
    if not isinstance(spreads, Mapping):
        hint = "the spreads that van and trip have already are taken where none are given"
        raise bad_input("spreads", spreads, allowed="a dict of dotted paths to spreads", hint=hint)
    given: dict[str, Any] = dict(spreads)
    voltage_level = f"{van.paths_of('batteries')[0]}.open_circuit_voltage_offset_v"
    given.setdefault(voltage_level, _or_default(van, trip, voltage_level))
    stops = _persistence_paths(trip)
    lag1 = next((given.pop(path) for path in [_persistence(trip), *stops] if path in given), None)
    inputs = {path: _input(van, trip, path, spread) for path, spread in given.items()}
    if stops:
        value = value_at(van, trip, stops[0]) if lag1 is None else lag1
        if not isinstance(value, _core.Spread):
            value = _core.triangular(*(round(min(max(value + x, 0.0), 0.9), 9) for x in _PERSISTENCE_SPREAD))
        inputs[_persistence(trip)] = _input(van, trip, stops[0], value)
    return inputs


def _persistence(trip: Trip) -> str:
    return f"trip.stops.*.{_PERSISTENCE}" if trip.stops else f"trip.{_PERSISTENCE}"


def _persistence_paths(trip: Trip) -> list[str]:
    """Of all places: it is taken as one number for the whole trip."""
    if trip.weather != "generated":
        return []
    return [_persistence(trip).replace("*", stop.name) for stop in trip.stops] or [_persistence(trip)]


def _or_default(van: Van, trip: Trip, path: str) -> Any:
    value = value_at(van, trip, path)
    return value if isinstance(value, _core.Spread) else field_at(van, trip, path).default_value


def _input(van: Van, trip: Trip, path: str, spread: object) -> UncertainInput:
    field = field_at(van, trip, path)
    if field.type != "number" or not isinstance(spread, _core.Spread):
        raise bad_input(
            "spreads", reason=f"{path} = {spread!r}: must be a spread of a number, such as rt.spreads.triangular(...)"
        )
    ends = [spread.quantile(u, field.low, field.high) for u in (1e-9, 1 - 1e-9)]
    if not field.low <= ends[0] <= ends[1] <= field.high:
        raise bad_input("spreads", reason=f"{path} = {spread!r}: {field.allowed}")
    return UncertainInput(spread, field.low, field.high)


def _dataset(
    van: Van,
    trip: Trip,
    named: Mapping[str, UncertainInput],
    paths: Mapping[str, list[str]],
    indices: SensitivityIndices,
    outcome: str,
    trials: int,
    seed: int,
) -> xarray.Dataset:
    import xarray

    fields = [field_at(van, trip, paths[name][0]) for name in named]
    order = np.argsort(-indices.columns[METHODS[indices.method][0]], kind="stable")
    texts = {
        "spread": [repr(x.spread) for x in named.values()],
        "unit": ["degC" if field.unit == "C" else field.unit for field in fields],
        "meaning": [field.doc for field in fields],
        "owner": [_owner(van, trip, paths[name][0]) for name in named],
    }
    found = xarray.Dataset(
        {name: ("input", values, _column_attributes(name, outcome)) for name, values in indices.columns.items()},
        {"input": list(named), **{name: ("input", values) for name, values in texts.items()}},
        {
            "method": indices.method,
            "outcome": outcome,
            "points": indices.points,
            **run_attributes(van, trip, seed, trials),
            "interval": "of the indices: 95 %, from resampling; the model's own error is not in it",
            "caution": CAUTION,
            "noise_share": indices.noise_share,
        },
    )
    return found.isel(input=order)


def _owner(van: Van, trip: Trip, path: str) -> str:
    """To whom a quantity belongs: the van, a person, the trip or the model."""
    compiled = compile_trip(van, trip)
    owners = dict(zip(compiled.parameter_paths, compiled.parameter_owners, strict=True))
    return owners.get(path, "trip" if path.startswith("trip.") else "van")


def _column_attributes(name: str, outcome: str) -> dict[str, str]:
    """Unit and meaning: Sobol' indices are shares of the variance, Morris' figures are in the outcome's unit."""
    base = name.removesuffix("_half_width")
    share = base in METHODS["sobol"]
    meaning = {
        "first_order": "share of the outcome's variance that the input causes alone",
        "total": "share of the outcome's variance that the input causes with all its interactions",
        "mu_star": "mean size of the outcome's change across the middle 98 % of the input",
        "mu": "mean of the outcome's change across the middle 98 % of the input",
        "sigma": "spread of the outcome's change across the middle 98 % of the input",
        "mu_star_noise": "what noise alone makes of mu_star",
    }[base]
    half = ", half width of its 95 % interval" if base != name else ""
    return {"units": "1" if share else attributes(outcome)["units"], "long_name": meaning + half}
