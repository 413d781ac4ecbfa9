"""Labelled data (xarray) of comparisons, sizes and rankings, like that of a sweep."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ..model.cautions import CAUTION
from ..model.classes import Trip, Van
from ..model.coordinates import coordinates_text
from ..model.errors import missing_package
from ..model.places import UNNAMED, Place, places_of
from ..version import __version__

if TYPE_CHECKING:
    import pandas
    import xarray

Columns = Mapping[str, tuple[str, str, Sequence[object]]]  # by name: unit, what it is, entries

MOST_IN_A_FILE = 2**31  # a classic netCDF file holds no larger whole numbers

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
    """What was simulated, for the attributes of labelled data: text and numbers that netCDF files can hold."""
    about: dict[str, Any] = {"version": __version__, "seed": seed if seed < MOST_IN_A_FILE else str(seed)}
    if trials is not None:
        about["trials"] = trials
    if van is not None:
        about |= {"van": repr(van), "van_digest": f"{van.digest:016x}"}
    if trip is not None:
        places = places_of(trip)
        about |= {"trip": repr(trip), "trip_digest": f"{trip.digest:016x}", "start": trip.start} | _where(places)
    return about


def _where(places: Sequence[Place]) -> dict[str, Any]:
    """Names and coordinates: a text and two numbers, of several places a text and two arrays."""
    latitude, longitude = ([float(getattr(place.site, name)) for place in places] for name in ("latitude", "longitude"))
    one = len(places) == 1
    return {
        "place": _names_of(places),
        "latitude": latitude[0] if one else np.array(latitude),
        "longitude": longitude[0] if one else np.array(longitude),
    }


def _names_of(places: Sequence[Place]) -> str:
    """Names, and coordinates of a place without one, as sweeps call it."""
    where = [coordinates_text(float(one.site.latitude), float(one.site.longitude), " ") for one in places]
    return "; ".join(at if one.name == UNNAMED else one.name for one, at in zip(places, where, strict=True))


def trips_coordinates(trips: Mapping[str, Trip | None]) -> dict[str, tuple[str, list[Any], dict[str, str]]]:
    """Start and first place of each trip along the dimension ``trip``; missing for a name that is no trip's."""
    first = [places_of(trip)[0] if trip else None for trip in trips.values()]

    def degrees(name: str) -> list[float]:
        return [float(getattr(place.site, name)) if place else np.nan for place in first]

    starts = [np.datetime64(trip.start if trip else "NaT", "ns") for trip in trips.values()]
    names = [_names_of(places_of(trip)) if trip else "" for trip in trips.values()]
    return {
        "trip_start": ("trip", starts, {"long_name": "start of the trip on the clock of its first place"}),
        "place": ("trip", names, {"long_name": "where the nights are spent"}),
        "latitude": ("trip", degrees("latitude"), {"units": "degrees_north", "long_name": "of the first place"}),
        "longitude": ("trip", degrees("longitude"), {"units": "degrees_east", "long_name": "of the first place"}),
    }


def warnings_attribute(texts: Iterable[str]) -> dict[str, str]:
    """What was warned of, a line each, for the attributes of labelled data; nothing where nothing was."""
    said = "\n".join(dict.fromkeys(texts))
    return {"warnings": said} if said else {}


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
