"""Results that are used like the table inside them: a pandas DataFrame or an xarray Dataset."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, ClassVar, Self

from ..model.attribute_names import no_attribute
from ..model.errors import renamed, unknown_key
from ..model.former_names import name_now
from .labelled_data import require_xarray
from .result import Result

if TYPE_CHECKING:
    import pandas
    import xarray


class TableResult(Result):
    """A result around a table; what the result has not, it takes from the table.

    ``found["risk"]``, ``found.sel(...)``, ``len(found)`` and ``"risk" in found`` are the table's. Printing, notebooks,
    equality, ``to_dict`` and ``to_dataframe`` are those of all results: ``found == other`` is one truth value. What
    wants the table itself (``pandas.concat``, ``xarray.merge``) is given ``found.frame`` or ``found.dataset``.
    """

    _table_name: ClassVar[str]

    @property
    def _table(self) -> Any:
        return vars(self)[self._table_name]

    def copy(self) -> Self:
        """Copy the result.

        Returns
        -------
        same class
            The same result around a copy of the table.
        """
        twin = copy.copy(self)
        object.__setattr__(twin, self._table_name, self._table.copy())
        return twin

    def __getattr__(self, name: str) -> Any:
        there = not name.startswith("_") and self._table_name in vars(self) and hasattr(self._table, name)
        if not there or name_now(f"{type(self).__name__}.{name}"):
            raise no_attribute(self, name, self._guesses)
        return getattr(self._table, name)

    def __getitem__(self, key: Any) -> Any:
        if isinstance(key, str) and (now := name_now(f"{type(self).__name__}.{key}")):
            raise renamed("column", now, key)
        try:
            return self._table[key]
        except KeyError:
            if not isinstance(key, str):
                raise
            raise unknown_key("column", key, getattr(self._table, "variables", self._table)) from None

    def __contains__(self, key: object) -> bool:
        return key in self._table

    def __iter__(self) -> Iterator[Any]:
        return iter(self._table)

    def __len__(self) -> int:
        return len(self._table)

    def __dir__(self) -> list[str]:
        of_table = dir(vars(self).get(self._table_name))
        return sorted({*super().__dir__(), *(name for name in of_table if not name.startswith("_"))})


class FrameResult(TableResult):
    """A result around a pandas DataFrame, ``frame``, whose columns have units and meanings."""

    _table_name = "frame"
    _columns: ClassVar[dict[str, tuple[str, str]]]  # unit and meaning by column
    frame: pandas.DataFrame

    def to_xarray(self) -> xarray.Dataset:
        """The columns along the frame's index, with units (needs xarray)."""
        require_xarray()
        data = self.frame.to_xarray()
        for name, (unit, meaning) in self._columns.items():
            data[name].attrs |= {"units": unit, "long_name": meaning}
        return data.assign_attrs(self._about())

    def _about(self) -> dict[str, Any]:
        """Attributes of the labelled data."""
        raise NotImplementedError
