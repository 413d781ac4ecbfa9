"""Labelled data (xarray) of comparisons, sizes and rankings, like that of a sweep."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ..model.cautions import CAUTION
from ..model.classes import Trip, Van
from ..model.errors import missing_package
from ..model.places import Place, places_of
from ..version import __version__

if TYPE_CHECKING:
    import pandas
    import xarray

Columns = Mapping[str, tuple[str, str, Sequence[object]]]  # by name: unit, what it is, entries

NOTES = {  # in the attributes of all labelled data
    "interval": "of risks: 95 %, sampling error alone, the model's own error is not in it; of costs and masses: "
    "90 of 100 draws",
    "caution": CAUTION,
}


def require_xarray() -> None:
    """InputError where xarray is not installed."""
    try:
        import xarray  # noqa: F401
    except ImportError:
        raise missing_package("labelled data needs xarray", "pip install '.[study]' in a checkout") from None


def require_pandas(who: str) -> None:
    """InputError where pandas is not installed; ``who`` is to need it."""
    try:
        import pandas  # noqa: F401
    except ImportError:
        raise missing_package(f"{who} pandas", "pip install '.[weather]' in a checkout") from None


def make_dataset(along: Mapping[str, Sequence[object]], *columns: Columns, **about: object) -> xarray.Dataset:
    """A dataset along these coordinates.

    The entries of the first columns go along all coordinates, of the next ones along all but the last, and so on. An
    entry with a ``low`` and a ``high`` becomes three variables, ``name``, ``name_low`` and ``name_high``; None is NaN.
    """
    require_xarray()
    import xarray

    variables = {}
    for left_out, group in enumerate(columns):
        dims = list(along)[: len(along) - left_out]
        shape = [len(along[dim]) for dim in dims]
        for name, (unit, label, entries) in group.items():
            for column, values in _with_interval_ends(name, entries).items():
                end = {f"{name}_low": ", lower end", f"{name}_high": ", upper end"}.get(column, "")
                attributes = {"units": unit, "long_name": label + end}
                variables[column] = (dims, np.array(values).reshape(shape), attributes)
    return xarray.Dataset(variables, {dim: list(labels) for dim, labels in along.items()}, NOTES | about)


def _with_interval_ends(name: str, entries: Sequence[object]) -> dict[str, list[object]]:
    def number(value: object) -> object:
        return np.nan if value is None else value

    if not any(hasattr(entry, "low") for entry in entries):
        return {name: [number(entry) for entry in entries]}
    return {
        name + end: [number(getattr(entry, key, None)) for entry in entries]
        for end, key in (("", "value"), ("_low", "low"), ("_high", "high"))
    }


def run_attributes(van: Van | None, trip: Trip | None, seed: int, trials: int | None = None) -> dict[str, Any]:
    """What was simulated, for the attributes of labelled data: text and numbers that files can hold."""
    about: dict[str, Any] = {"version": __version__, "seed": seed if seed < 2**63 else str(seed)}
    if trials is not None:
        about["trials"] = trials
    if van is not None:
        about |= {"van": repr(van), "van_digest": f"{van.digest:016x}"}
    if trip is not None:
        places = places_of(trip)
        about |= {"trip": repr(trip), "trip_digest": f"{trip.digest:016x}", "start": trip.start} | _where(places)
    return about


def trips_attributes(trips: Mapping[str, Trip]) -> dict[str, Any]:
    """The same of one trip or several by name: as of a run where there is one, else a list of each by trip.

    Places are listed over all trips in turn; ``places_of_trip`` says how many each has.
    """
    (first, *more) = trips.values()
    if not more:
        about = run_attributes(None, first, 0)
        return {name: value for name, value in about.items() if name not in ("version", "seed")}
    places = [place for trip in trips.values() for place in places_of(trip)]
    return {
        "trip": [repr(trip) for trip in trips.values()],
        "trip_digest": [f"{trip.digest:016x}" for trip in trips.values()],
        "start": [trip.start for trip in trips.values()],
        "places_of_trip": [len(places_of(trip)) for trip in trips.values()],
    } | _where(places)


def _where(places: Sequence[Place]) -> dict[str, Any]:
    return {
        "place": [place.name for place in places],
        "latitude": [float(place.site.latitude) for place in places],
        "longitude": [float(place.site.longitude) for place in places],
    }


def to_tidy_frame(data: xarray.Dataset, *, units: bool = False) -> pandas.DataFrame:
    """One row for each combination of the coordinates; units and meanings in the attributes."""
    require_pandas("tables need")
    import pandas

    if data.sizes:
        frame = data.to_dataframe().reset_index()
    else:
        frame = pandas.DataFrame({str(name): [value.item()] for name, value in data.data_vars.items()})
    described = {str(name): variable.attrs for name, variable in data.variables.items()}
    about = {
        key: {name: described[name][attribute] for name in frame.columns if attribute in described.get(name, {})}
        for key, attribute in (("units", "units"), ("long_name", "long_name"))
    }
    if units:
        frame.columns = pandas.MultiIndex.from_tuples(
            [(name, about["units"].get(name, "")) for name in frame.columns], names=["name", "unit"]
        )
    frame.attrs.update(about)
    frame.attrs.update({str(key): value for key, value in data.attrs.items()})
    return frame
