"""What a sweep returns: a result that is used like its xarray Dataset."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..engine.labelled_data import to_tidy_frame
from ..engine.table_result import TableResult
from ..model.classes import Trip, Van
from ..model.errors import checked_call

if TYPE_CHECKING:
    import pandas
    import xarray

    from ..report.pictures.picture import Picture

INNER_AXES = ("night", "share", "cutout_cause")  # of the outcomes that are several numbers in each cell


class Sweep(TableResult):
    """What :func:`sweep` returns; used like its dataset: ``found["risk"]``, ``found.sel(...)``, ``found.to_zarr(...)``.

    Selecting gives plain xarray. xarray's own functions (``xarray.merge``, ``xarray.testing``) want the dataset
    itself:
    ``found.dataset``, or ``found.to_xarray()``, which is the same.

    Attributes
    ----------
    dataset : xarray.Dataset
        A dimension for each axis; ``risk``, ``risk_low``, ``risk_high`` and all other outcomes, with units.

    Examples
    --------
    >>> found = rt.sweep(van, trip, {"solar.rated_w": [100, 300]}, trials=50)
    >>> found.axes, found["risk"].equals(found.dataset["risk"]), [labels for labels, _ in found.cells()]
    (('solar.rated_w',), True, [(100,), (300,)])
    """

    _table_name = "dataset"

    def __init__(self, dataset: xarray.Dataset, van: Van | None = None, trip: Trip | None = None) -> None:
        self.dataset, self._van, self._trip = dataset, van, trip  # what the axes change; an axis may be called "van"

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of all values on all axes; in the dataset's attributes a line each."""
        return tuple(self.dataset.attrs.get("warnings", "").splitlines())

    @property
    def axes(self) -> tuple[str, ...]:
        """Names of the axes, in order."""
        return tuple(map(str, self.dataset["risk"].dims))

    @checked_call
    def labels(self, axis: str) -> list[Any]:
        """What the values of an axis are called.

        Parameters
        ----------
        axis : str
            One of ``axes``.

        Returns
        -------
        list
            The labels; times as text.
        """
        values = self.dataset[axis].values
        if values.dtype.kind == "M":
            return [text.replace("T", " ") for text in np.datetime_as_string(values, "m").tolist()]
        return list(values.tolist())

    def cells(self) -> Iterator[tuple[tuple[object, ...], _core.Estimate | None]]:
        """Go through the cells.

        Yields
        ------
        (tuple, Estimate or None)
            Labels and risk of each cell. A label is None for a value that is not there, a risk for a cell that was
            not run.
        """
        data = self.dataset
        labels = [[None if label != label else label for label in self.labels(axis)] for axis in self.axes]
        for place in np.ndindex(*(len(one) for one in labels)):
            cell = {name: data[name].values[place] for name in ("risk", "risk_low", "risk_high", "cutouts", "trials")}
            named = tuple(one[i] for one, i in zip(labels, place, strict=True))
            if np.isnan(cell["trials"]):
                yield named, None
                continue
            events, trials = int(cell["cutouts"]), int(cell["trials"])
            yield (
                named,
                _core.Estimate(
                    value=float(cell["risk"]),
                    low=float(cell["risk_low"]),
                    high=float(cell["risk_high"]),
                    events=events,
                    trials=trials,
                ),
            )

    def to_xarray(self) -> xarray.Dataset:
        """The dataset itself."""
        return self.dataset

    def to_dict(self) -> dict[str, Any]:
        """Plain numbers and texts: attributes, coordinates and variables, as xarray's ``to_dict`` has them."""
        return super().to_dict()["dataset"]  # type: ignore[no-any-return]

    @checked_call
    def to_dataframe(self, *, units: bool = False) -> pandas.DataFrame:
        """A tidy table, one row per cell (needs pandas).

        Outcomes along another axis (night, share, cause of a cut-out) are left out; each has a table of its own:
        ``found["risk_by_night"].to_dataframe()``.
        """
        data = self.dataset.drop_dims([axis for axis in INNER_AXES if axis in self.dataset.dims])
        return to_tidy_frame(data, units=units)

    @property
    def changed(self) -> tuple[Van | None, Trip | None]:
        """The van and the trip that the axes change; None where the sweep was made of a dataset alone."""
        return self._van, self._trip

    @checked_call
    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """The risk along the longest axis, with its intervals; a line for each combination of the others.

        Pictures of other outcomes are xarray's: ``found["hours_off"].plot()``. Needs matplotlib.
        """
        from ..report.pictures.studies import plot_sweep
        from ..report.plots import checked

        return plot_sweep(self, *checked(size, title))

    def __repr__(self) -> str:
        sizes = " x ".join(f"{axis} {self.dataset.sizes[axis]}" for axis in self.axes)
        return f"<Sweep: {sizes or 'one cell'}>"
