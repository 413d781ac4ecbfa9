"""Prices and masses of parts: a replaceable table of ranges, drawn as spreads.

The n-th draw of an item is the same in every sum it enters, so that two vans that both need it differ by nothing there.
"""

from __future__ import annotations

import copy
import math
import re
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

from ..model.checks import MOST_SEED, is_number, validate_int, validate_text
from ..model.classes import AlternatorCable, DcDcCharger, PortableArray, SolarArray, Van
from ..model.errors import bad_input, checked_call, checked_class, unknown_name
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


@checked_class
@dataclass(frozen=True)
class PricedPart:
    """So much of an item of the price table: 120 Ah of ``lithium_battery``.

    Parameters
    ----------
    item : str
        Its name in the table.
    amount : float
        In the item's unit.

    Examples
    --------
    >>> rt.PricedPart("lithium_battery", 120)
    PricedPart(item='lithium_battery', amount=120)
    """

    item: str
    amount: float = 1.0

    def __post_init__(self) -> None:
        validate_text("PricedPart.item", self.item)
        if not is_number(self.amount) or not math.isfinite(self.amount):
            raise bad_input("PricedPart.amount", self.amount, allowed="a number")


@dataclass(frozen=True)
class AmountRange:
    """An amount that is known as a range.

    Attributes
    ----------
    value : float
        The median of the draws.
    low, high : float
        90 of 100 draws lie between them, where nothing else is said.

    Examples
    --------
    >>> rt.Prices().currency, rt.AmountRange(value=50, low=5, high=95)
    ('USD', AmountRange(value=50, low=5, high=95))
    """

    value: float
    low: float
    high: float

    @classmethod
    def of(cls, draws: NDArray[np.float64]) -> AmountRange:
        """Make the range of some draws.

        Parameters
        ----------
        draws : ndarray of float
            Of any amount.

        Returns
        -------
        AmountRange
            Their median, and their quantiles of 5 and 95 %.
        """
        low, value, high = np.quantile(draws, [0.05, 0.5, 0.95])
        return cls(float(value), float(low), float(high))


@checked_class
class Prices:
    """The price table of a file. ``items`` and ``life`` hold what it says.

    A table does not change; :meth:`replace` makes another one.

    Parameters
    ----------
    path : str or Path, optional
        A table of your own; the shipped one where not given.
    seed : int
        Picks the draws.

    Raises
    ------
    InputError
        The file cannot be read, or lacks an entry.

    Examples
    --------
    >>> euros = rt.Prices().replace(**{"currency": "EUR", "drive_hour.price": [4, 6, 9]})
    >>> euros.currency, euros.items["drive_hour"]["price"]
    ('EUR', (4, 6, 9))
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
        self.seed = validate_int("seed", seed, 0, MOST_SEED)
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
        """Return a table with other entries.

        Parameters
        ----------
        **changes : list or str or dict
            By dotted path: ``prices.replace(**{"drive_hour.price": [4, 6, 9], "currency": "EUR"})``. A new item is a
            whole
            table, ``{"my_item": {"price": [...], "mass_kg": [...], "source": "..."}}``.

        Returns
        -------
        Prices
            The other table; this one does not change.

        Raises
        ------
        InputError
            An item or an entry that does not exist, or figures that are not [least, usual, most].
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

    def __repr__(self) -> str:
        return f"<Prices: {len(self._items)} items in {self.currency}, {self.year}, seed {self.seed}>"

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
        """The table as it stands in the file.

        Returns
        -------
        dict
            ``currency``, ``year``, ``life`` and the items.
        """
        tables = {"life": self._life, **self._items}
        plain = {
            name: {key: list(value) if isinstance(value, tuple) else value for key, value in table.items()}
            for name, table in tables.items()
        }
        return {"currency": self.currency, "year": self.year, **plain}

    @checked_call
    def draw(self, name: str, what: str) -> NDArray[np.float64]:
        """Draws of one unit of an item, or of a figure of ``life``; the same ones in every sum.

        Parameters
        ----------
        name : str
            Of the item, or "life".
        what : str
            ``price``, ``mass_kg`` or ``area_m2``, or the figure's name.

        Returns
        -------
        ndarray of float, shape (2000,)
            In the table's currency, kg or m2.
        """
        key = f"{validate_text('name', name)}.{validate_text('what', what)}"
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

    @checked_call
    def total(self, parts: Iterable[PricedPart], what: str) -> NDArray[np.float64]:
        """Draws of a sum over parts.

        Parameters
        ----------
        parts : iterable of PricedPart
            What is bought; amounts below 0 are taken away.
        what : str
            ``price``, ``mass_kg`` or ``area_m2``.

        Returns
        -------
        ndarray of float, shape (2000,)
            In the table's currency, kg or m2.
        """
        total = np.zeros(DRAWS)
        for part in require_parts("parts", parts):
            total = total + part.amount * self.draw(part.item, what)
        return total


def require_parts(name: str, parts: object) -> tuple[PricedPart, ...]:
    """The parts; InputError where something else is among them."""
    if not isinstance(parts, Iterable) or getattr(parts, "ndim", 1) == 0:
        raise bad_input(name, parts, allowed="a list of PricedPart")
    found = tuple(parts)
    for part in found:
        if not isinstance(part, PricedPart):
            raise bad_input(name, part, allowed="a list of PricedPart")
    return found


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


def parts_of(van: Van) -> list[PricedPart]:
    """What of a van's electrics the table has a price for: batteries, arrays, controllers, chargers, cover, fan."""
    parts = [PricedPart("lithium_battery" if is_lithium(van) else "agm_battery", rated_ah(van))]
    for array in van.arrays:
        if (watts := mean_value(array.rated_w)) > 0:
            parts += [PricedPart(panel_item(array), watts), PricedPart(f"{array.charge_controller}_charge_controller")]
            if getattr(array, "mounting", "glued") != "glued":
                parts.append(PricedPart("panel_mounts"))
    if van.dc_dc is not None:
        parts.append(PricedPart("alternator_cable"))
        if isinstance(van.dc_dc, DcDcCharger):
            parts.append(PricedPart(charger_item(van.dc_dc)))
    if van.mains is not None:
        parts.append(PricedPart("mains_charger"))
    if van.fridge.cover is not None:
        parts.append(PricedPart("fridge_cover"))
    if van.fridge.vent_fan is not None:
        parts.append(PricedPart("vent_fan"))
    return parts


def exchanged_parts(out: Iterable[PricedPart], in_: Iterable[PricedPart]) -> list[PricedPart]:
    """What comes in less what goes out, item by item; what stays is not among it."""
    amounts: dict[str, float] = {}
    for sign, parts in ((1.0, in_), (-1.0, out)):
        for part in parts:
            amounts[part.item] = amounts.get(part.item, 0.0) + sign * part.amount
    return [PricedPart(item, amount) for item, amount in amounts.items() if amount]


# Paths of what the table's parts are sized by, and of settings that cost nothing.
_PRICED = re.compile(
    r"(battery|batteries|dc_dc|mains)\b|(solar|arrays)$|(solar|arrays\.[^.]+)\.(?!tilt_deg$)"
    r"|fridge\.(cover|vent_fan|set_point_c|cutout_v|restart_v)\b"
)


def unpriced_differences(base: Van, other: Van) -> list[str]:
    """Dotted paths of what differs between two vans and has no price in the table: fridge, wiring, loads ..."""

    def flat(table: Mapping[str, Any], at: str = "") -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key, value in table.items():
            inner = isinstance(value, Mapping) and key not in ("loads", "battery", "batteries")
            found |= flat(value, f"{at}{key}.") if inner else {f"{at}{key}": value}
        return found

    a, b = flat(base.to_dict()), flat(other.to_dict())
    differ = [path for path in {**a, **b} if a.get(path) != b.get(path)]
    return [path for path in differ if not _PRICED.match(path)]


def panel_item(array: SolarArray | PortableArray) -> str:
    """The price table's item for an array."""
    if isinstance(array, PortableArray):
        return "folding_panel"
    return "glued_panel" if array.mounting == "glued" else "framed_panel"


def charger_item(charger: DcDcCharger | AlternatorCable) -> str:
    """The price table's item for a charger."""
    return "dc_dc_small" if mean_value(charger.current_a) <= 30 else "dc_dc_large"
