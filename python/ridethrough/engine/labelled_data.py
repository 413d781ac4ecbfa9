"""Labelled data (xarray) of comparisons, sizes and rankings, like that of a sweep."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model.cautions import CAUTION
from ..model.classes import Trip, Van
from ..model.places import places_of
from ..version import __version__

if TYPE_CHECKING:
    import pandas
    import xarray

Columns = Mapping[str, tuple[str, str, Sequence[Any]]]  # by name: unit, what it is, entries


def make_dataset(along: Mapping[str, Sequence[Any]], *columns: Columns, **about: Any) -> xarray.Dataset:
    """A dataset along these coordinates.

    The entries of the first columns go along all coordinates, of the next ones along all but the last, and so on. An
    entry with a ``low`` and a ``high`` becomes three variables, ``name``, ``name_low`` and ``name_high``; None is NaN.
    """
    try:
        import xarray
    except ImportError:
        raise _core.InputError("labelled data needs xarray: pip install '.[study]' in a checkout") from None
    variables = {}
    for left_out, group in enumerate(columns):
        dims = list(along)[: len(along) - left_out]
        shape = [len(along[dim]) for dim in dims]
        for name, (unit, label, entries) in group.items():
            for column, values in _with_interval_ends(name, entries).items():
                end = {f"{name}_low": ", lower end", f"{name}_high": ", upper end"}.get(column, "")
                attributes = {"units": unit, "long_name": label + end}
                variables[column] = (dims, np.array(values).reshape(shape), attributes)
    notes = {
        "interval": "of risks: 95 %, sampling error alone, the model's own error is not in it; of costs and masses: "
        "90 of 100 draws",
        "caution": CAUTION,
    }
    return xarray.Dataset(variables, {dim: list(labels) for dim, labels in along.items()}, notes | about)


def _with_interval_ends(name: str, entries: Sequence[Any]) -> dict[str, list[Any]]:
    def number(value: Any) -> Any:
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
        about |= {
            "trip": repr(trip),
            "trip_digest": f"{trip.digest:016x}",
            "start": trip.start,
            "place": [place.name for place in places],
            "latitude": [float(place.site.latitude) for place in places],
            "longitude": [float(place.site.longitude) for place in places],
        }
    return about


def to_tidy_frame(data: xarray.Dataset, *, units: bool = False) -> pandas.DataFrame:
    """One row for each combination of the coordinates; units and meanings in the attributes."""
    try:
        import pandas
    except ImportError:
        raise _core.InputError("tables need pandas: pip install '.[weather]' in a checkout") from None
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
