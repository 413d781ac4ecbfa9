"""Prices and masses of parts: a replaceable table of ranges, drawn as spreads.

The n-th draw of an item is the same in every sum it enters, so that two vans that both need it differ by nothing there.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.classes import AlternatorCable, DcDcCharger, PortableArray, SolarArray, Van
from ..model.errors import bad_input, unknown_name
from ..model.quantities import read_quantity
from ..model.values import mean_value
from ..model.van_parts import is_lithium, rated_ah

DRAWS = 2000
_RANGES = ("price", "mass_kg", "area_m2")
_UNITS = {"_kg": "kg", "_m2": "m2", "_years": "years"}  # by the end of a name
_LIFE = (
    "agm_years",
    "lithium_years",
    "parts_years",
    "agm_cycles_at_half",
    "lithium_cycles_at_80",
    "agm_partial_charge_wear",
)


@dataclass(frozen=True)
class Part:
    """So much of an item of the price table: 120 Ah of ``lithium_battery``.

    Attributes
    ----------
    item : str
        Its name in the table.
    amount : float
        In the item's unit.
    """

    item: str
    amount: float = 1.0


@dataclass(frozen=True)
class Range:
    """An amount that is known as a range.

    Attributes
    ----------
    value : float
        The median of the draws.
    low, high : float
        90 of 100 draws lie between them, where nothing else is said.
    """

    value: float
    low: float
    high: float

    @classmethod
    def of(cls, draws: NDArray[np.float64]) -> Range:
        """The range of some draws."""
        low, value, high = np.quantile(draws, [0.05, 0.5, 0.95])
        return cls(float(value), float(low), float(high))


class Prices:
    """The price table of a file. ``items`` and ``life`` hold what it says; ``seed`` picks the draws.

    A table does not change; :meth:`replace` makes another one.
    """

    def __init__(self, path: str | Path | None = None, *, seed: int = 0) -> None:
        if path is not None and not isinstance(path, (str, PathLike)):
            raise bad_input("prices", path, allowed="the path of a price table")
        self.path = Path(path) if path is not None else Path(__file__).parents[1] / "data" / "prices.toml"
        try:
            data = tomllib.loads(self.path.read_bytes().decode())
        except OSError as error:
            raise self._wrong(error.strerror or str(error)) from None
        except ValueError as error:
            raise self._wrong(f"not TOML: {error}") from None
        self.seed = seed
        self._read(data)

    def _read(self, data: dict[str, Any]) -> None:
        self._drawn: dict[str, NDArray[np.float64]] = {}
        self.currency, self.year = str(data.pop("currency", "")), str(data.pop("year", ""))
        if not self.currency or not self.year:
            raise self._wrong("currency and year must be given")
        self._life = self._table("life", data.pop("life", {}), _LIFE)
        self._items = {name: self._table(name, table, _RANGES[:2]) for name, table in data.items()}

    @property
    def life(self) -> Mapping[str, Any]:
        """Figures on lives, each (least, usual, most)."""
        return MappingProxyType(self._life)

    @property
    def items(self) -> Mapping[str, Mapping[str, Any]]:
        """Prices and masses by item, each (least, usual, most)."""
        return MappingProxyType({name: MappingProxyType(table) for name, table in self._items.items()})

    def replace(self, **changes: Any) -> Prices:
        """Return a table with other entries: ``prices.replace(**{"drive_hour.price": [4, 6, 9], "currency": "EUR"})``.

        A new item is a whole table, ``{"my_item": {"price": [...], "mass_kg": [...], "source": "..."}}``.
        """
        made, data = copy.copy(self), self.to_dict()
        for path, value in changes.items():
            name, inner, what = path.partition(".")
            if not inner:
                data[name] = value
            elif isinstance(table := data.get(name), dict):
                table[what] = list(value) if isinstance(value, tuple) else value
            else:
                raise unknown_name("prices", path, [*self._items, "life"], "no such item", name=name)
        made.seed = data.pop("seed", self.seed)
        made._read(data)
        return made

    def _wrong(self, reason: str, suggestion: str = "") -> _core.InputError:
        return bad_input("prices", str(self.path), reason=reason, suggestion=suggestion, quoted=True)

    def _table(self, name: str, table: object, needed: Iterable[str]) -> dict[str, Any]:
        where = f"prices = {self.path}: {name}"
        if not isinstance(table, Mapping) or not isinstance(table.get("source"), str):
            raise bad_input(where, allowed='a table with a source, such as "from memory"')
        for key in needed:
            if not isinstance(table.get(key), list):
                raise bad_input(f"{where}.{key}", reason="must be given as [least, usual, most]")
        table = {key: self._numbers(f"{where}.{key}", key, value) for key, value in table.items()}
        for key, value in table.items():
            if not isinstance(value, list):
                continue
            numbers = len(value) == 3 and all(type(v) in (int, float) and 0 <= v < 1e9 for v in value)
            if not numbers or sorted(value) != value:
                raise bad_input(f"{where}.{key}", value, allowed="[least, usual, most], 0 or more, rising")
        return {key: tuple(value) if isinstance(value, list) else value for key, value in table.items()}

    def _numbers(self, where: str, key: str, value: object) -> object:
        """A list whose numbers may be texts with a unit: "10 lb", of a price the table's currency: "250 USD"."""
        if not isinstance(value, list):
            return value
        return [self._number(where, key, one) if isinstance(one, str) else one for one in value]

    def _number(self, where: str, key: str, text: str) -> float:
        if key != "price":
            return read_quantity(where, text, next((u for end, u in _UNITS.items() if key.endswith(end)), ""))
        bare = text.strip().removesuffix(self.currency).removeprefix(self.currency)
        try:
            return read_quantity(where, bare, "")
        except _core.InputError:
            raise bad_input(where, text, allowed=f"a number of {self.currency}, the currency of the table") from None

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Prices):
            return NotImplemented
        names = ("currency", "year", "seed", "life", "items")
        return all(getattr(self, name) == getattr(other, name) for name in names)

    __hash__ = None  # type: ignore[assignment]

    def to_dict(self) -> dict[str, Any]:
        """The table as it stands in the file."""
        tables = {"life": self._life, **self._items}
        plain = {
            name: {key: list(value) if isinstance(value, tuple) else value for key, value in table.items()}
            for name, table in tables.items()
        }
        return {"currency": self.currency, "year": self.year, **plain}

    def draw(self, name: str, what: str) -> NDArray[np.float64]:
        """Draws of ``price``, ``mass_kg`` or ``area_m2`` of one unit of an item, or of a figure of ``life``."""
        key = f"{name}.{what}"
        if key not in self._drawn:
            table = self._life if name == "life" else self._items.get(name)
            if table is None:
                near = _core.nearest_name(name, list(self._items))
                raise self._wrong(f"no item {name!r}", suggestion=near)
            if what not in table:
                raise self._wrong(f"{key} must be given as [least, usual, most]")
            stream = np.random.PCG64(np.random.SeedSequence(self.seed, spawn_key=(_core.purpose_hash(f"price.{key}"),)))
            u = (np.asarray(stream.random_raw(DRAWS)) >> 11).astype(np.float64) * 2.0**-53
            self._drawn[key] = _triangular(u, *table[what])
            self._drawn[key].flags.writeable = False
        return self._drawn[key]

    def total(self, parts: Iterable[Part], what: str) -> NDArray[np.float64]:
        """Draws of the sum of ``price``, ``mass_kg`` or ``area_m2`` over parts."""
        total = np.zeros(DRAWS)
        for part in parts:
            total = total + part.amount * self.draw(part.item, what)
        return total


def _triangular(u: NDArray[np.float64], low: float, mode: float, high: float) -> NDArray[np.float64]:
    if low == high:
        return np.full(len(u), float(low))
    split = (mode - low) / (high - low)
    rising = low + np.sqrt(u * (high - low) * (mode - low))
    falling = high - np.sqrt((1 - u) * (high - low) * (high - mode))
    return np.where(u < split, rising, falling)


def table(prices: Prices | str | Path | None) -> Prices:
    """The table that was given, that of a file, or the shipped one."""
    return prices if isinstance(prices, Prices) else Prices(prices)


def parts_of(van: Van) -> list[Part]:
    """What of a van's electrics the table has a price for: batteries, arrays, controllers, chargers, cover, fan."""
    parts = [Part("lithium_battery" if is_lithium(van) else "agm_battery", rated_ah(van))]
    for array in van.arrays:
        if (watts := mean_value(array.rated_w)) > 0:
            parts += [Part(panel_item(array), watts), Part(f"{array.charge_controller}_charge_controller")]
            if getattr(array, "mounting", "glued") != "glued":
                parts.append(Part("panel_mounts"))
    if van.dc_dc is not None:
        parts.append(Part("alternator_cable"))
        if isinstance(van.dc_dc, DcDcCharger):
            parts.append(Part(charger_item(van.dc_dc)))
    if van.mains is not None:
        parts.append(Part("mains_charger"))
    if van.fridge.cover is not None:
        parts.append(Part("fridge_cover"))
    if van.fridge.vent_fan is not None:
        parts.append(Part("vent_fan"))
    return parts


def panel_item(array: SolarArray | PortableArray) -> str:
    """The price table's item for an array."""
    if isinstance(array, PortableArray):
        return "folding_panel"
    return "glued_panel" if array.mounting == "glued" else "framed_panel"


def charger_item(charger: DcDcCharger | AlternatorCable) -> str:
    """The price table's item for a charger."""
    return "dc_dc_small" if mean_value(charger.current_a) <= 30 else "dc_dc_large"
