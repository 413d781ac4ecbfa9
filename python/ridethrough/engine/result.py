"""The base of all results: what each of them offers, whatever it is the result of."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

from ..model.attribute_names import ToldNames
from ..model.errors import checked_call
from .content import plain_content, same_content
from .labelled_data import to_tidy_frame

if TYPE_CHECKING:
    import pandas
    import xarray


class Result(ToldNames):
    """Base of all results.

    A result can be printed, shown in a notebook, turned into plain numbers, a tidy table or labelled data, copied,
    pickled, and compared by its content. Where it has a picture, ``plot`` takes axes of matplotlib, or makes some,
    and
    returns them. Reports stand in ``ridethrough.report``, which finds them by type.

    Examples
    --------
    >>> import pickle
    >>> risk = rt.simulate(van, trip, trials=20, seed=1)
    >>> isinstance(risk, rt.Result), pickle.loads(pickle.dumps(risk)) == risk
    (True, True)
    >>> len(risk.to_dataframe()), risk.to_xarray().attrs["seed"], risk.to_dict()["cutout"]["trials"]
    (20, 1, 20)
    """

    @property
    def warnings(self) -> tuple[str, ...]:
        """What is allowed in the van and the trip but probably not meant; every report begins with it."""
        return ()

    _guesses = {
        "to_csv": "to_dataframe().to_csv",
        "to_json": "to_dict",
        "to_netcdf": "to_xarray().to_netcdf",
        "to_zarr": "to_xarray().to_zarr",
        "iloc": "to_dataframe().iloc",
        "loc": "to_dataframe().loc",
        "head": "to_dataframe().head",
        "sel": "to_xarray().sel",
        "isel": "to_xarray().isel",
        "mean": "to_xarray().mean",
        "summary": "print()",
        "report": "print()",
    }

    def __str__(self) -> str:
        from ..report import write_report

        return write_report(self)

    def _repr_html_(self) -> str:
        """The compact table that notebooks show, with its cautions."""
        from ..report import format_html

        return format_html(self)

    def to_dict(self) -> dict[str, Any]:
        """Plain numbers and texts, ready for JSON.

        Returns
        -------
        dict
            None where a number does not exist.
        """
        plain = {name: plain_content(value) for name, value in self._content().items() if not name.startswith("_")}
        return plain | {"warnings": list(self.warnings)}

    def to_xarray(self) -> xarray.Dataset:
        """Labelled data with units, meanings, and what was run (needs xarray).

        Returns
        -------
        xarray.Dataset
            Of each estimate three variables: ``name``, ``name_low``, ``name_high``.
        """
        raise NotImplementedError(f"{type(self).__name__} has no labelled data")

    @checked_call
    def to_dataframe(self, *, units: bool = False) -> pandas.DataFrame:
        """A tidy table, one row per observation (needs pandas and xarray).

        Parameters
        ----------
        units : bool
            Put the units into a second header row as well.

        Returns
        -------
        pandas.DataFrame
            Units and meanings by column in ``attrs["units"]`` and ``attrs["long_name"]``.
        """
        return to_tidy_frame(self.to_xarray(), units=units)

    def _content(self) -> dict[str, Any]:
        """What makes this result equal to another."""
        if is_dataclass(self):
            return {f.name: getattr(self, f.name) for f in fields(self)}
        return dict(vars(self))

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        return same_content(self._content(), other._content())

    __hash__ = None  # type: ignore[assignment]
