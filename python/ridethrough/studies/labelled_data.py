"""Labelled data (xarray) of comparisons, sizes and rankings, like that of a sweep."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model.cautions import CAUTION

if TYPE_CHECKING:
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
