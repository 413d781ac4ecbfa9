"""What a comparison of vans returns: each van's runs, and paired differences from the base."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from ridethrough._core import Estimate

from ..engine.content import plain_content
from ..engine.error_difference import difference_range
from ..engine.event_chances import happened
from ..engine.labelled_data import (
    NOTES,
    Columns,
    make_dataset,
    run_attributes,
    to_tidy_frame,
    trips_coordinates,
    warnings_attribute,
)
from ..engine.mean_chance import mean_chance
from ..engine.named_numbers import Keyed, Named
from ..engine.result import Result
from ..model.attribute_names import ToldNames
from ..model.errors import checked_call, unknown_key
from ..money.prices import AmountRange, Prices
from .outcomes_compared import OUTCOMES, SHARES, unit_and_label

if TYPE_CHECKING:
    import pandas
    import xarray

    from ..engine.risk import Risk
    from ..report.pictures.picture import Picture

ALL_TRIPS = "all trips"


@dataclass(frozen=True)
class OutcomeDifference(ToldNames):
    """One outcome of one van on one trip: the base's mean, the other's, and their paired difference.

    Risks are shares, not points. None where there is nothing to compare.

    Attributes
    ----------
    outcome : str
        Its name, such as "risk" or "hours_off".
    base, other : float or None
        Means of the trials.
    difference : Estimate or None
        Other less base, paired, with its 95 % interval.
    trials_with_both : int
        Trials in which both vans have the outcome: fewer than all for the warning time, which exists only where both
        fail.

    Examples
    --------
    >>> found = rt.compare(van, {"300 W": van.replace("solar.rated_w", 300)}, trip, trials=50)
    >>> line = found["300 W"]["hours_off"]
    >>> line.outcome, line.trials_with_both, line.difference.low <= line.difference.value <= line.difference.high
    ('hours_off', 50, True)
    """

    outcome: str
    base: float | None
    other: float | None
    difference: Estimate | None
    trials_with_both: int

    _guesses: ClassVar = {name: f"difference.{name}" for name in ("value", "low", "high", "trials")}

    @property
    def shown(self) -> bool:
        """Whether the interval of the difference leaves out 0."""
        return self.difference is not None and not self.difference.low <= 0 <= self.difference.high


@dataclass(frozen=True)
class VanDifference(ToldNames, Keyed[str]):
    """One van against the base on one trip, or on all of them together (the mean over the trips of each trial).

    Attributes
    ----------
    van, trip : str
        Their names.
    outcomes : mapping of str to OutcomeDifference
        By name of the outcome; ``found["risk"]`` is short for one of them.
    variance_ratio : float
        Variance of the risks' difference from independent runs, over that of these paired ones.

    Examples
    --------
    >>> gap = rt.compare(van, {"300 W": van.replace("solar.rated_w", 300)}, trip, trials=50)["300 W"]
    >>> gap.van, gap["risk"] == gap.outcomes["risk"]
    ('300 W', True)
    """

    van: str
    trip: str
    outcomes: Mapping[str, OutcomeDifference]
    variance_ratio: float  # variance of the difference from independent runs, over that of these paired ones

    _guesses: ClassVar = {name: f"[{name!r}]" for name in OUTCOMES}

    def __repr__(self) -> str:
        return f"<VanDifference: {self.van!r} on {self.trip!r}, {len(self.outcomes)} outcomes>"

    def _names(self) -> Mapping[str, OutcomeDifference]:
        return self.outcomes

    def __getitem__(self, outcome: str) -> OutcomeDifference:
        return self.outcomes[outcome]


def no_difference(trials: int) -> Estimate:
    """That of a van from itself: the runs are the same ones, so there is no sampling error."""
    return Estimate(value=0.0, low=0.0, high=0.0, events=None, trials=trials)


class Comparison(Result, Keyed[str]):
    """What :func:`compare` returns.

    ``found["lithium"]`` is a van on the trip, or on all trips together; ``found["lithium", "coast"]`` on one of
    them. Going through it gives the names of the vans but the base.

    Attributes
    ----------
    base_name : str
        What the base is called: "base" unless :func:`compare` was given another name.
    differences : dict of (van, trip) to VanDifference
        Trips by name; ``"all trips"`` besides, where there are several.
    cost, mass_kg : dict of van to AmountRange
        What it costs and weighs more than the base: 5, 50 and 95 % of the draws of the price table.
    risks : dict of (van, trip) to Risk
        The runs themselves, those of the base too.

    Examples
    --------
    >>> vans = {"300 W": van.replace("solar.rated_w", 300), "lithium": rt.lithium_bundle(van)}
    >>> found = rt.compare(van, vans, trip, trials=50)
    >>> found.base_name, list(found.cost), found.to_dataframe()["van"].tolist()
    ('base', ['300 W', 'lithium'], ['base', '300 W', 'lithium'])
    """

    def __init__(
        self,
        differences: dict[tuple[str, str], VanDifference],
        risks: dict[tuple[str, str], Risk],
        cost: dict[str, AmountRange],
        mass_kg: dict[str, AmountRange],
        notes: dict[str, tuple[str, ...]],
        prices: Prices,
        base_name: str,
        bundles: frozenset[str] = frozenset(),
    ) -> None:
        self.differences, self.risks = Named("differences", differences), Named("risks", risks)
        self.cost, self.mass_kg = Named("cost", cost), Named("mass_kg", mass_kg)
        self.notes, self.prices, self.base_name = Named("notes", notes), prices, base_name
        self.bundles = bundles  # priced by all that has to be bought; other vans as if both were bought new

    def __repr__(self) -> str:
        vans, trips, run = len(self.cost), len(self.trips), next(iter(self.risks.values()))
        against = f"{vans} van{'s' * (vans > 1)} against {self.base_name!r}"
        return f"<Comparison: {against}, {trips} trip{'s' * (trips > 1)}, {run.trials:,} trials, seed {run.seed}>"

    @property
    def vans(self) -> list[str]:
        """Names of the vans, the base first."""
        return [self.base_name, *self.cost]

    def _names(self) -> Mapping[str, AmountRange]:
        return self.cost

    def __contains__(self, key: object) -> bool:
        return key in self.cost or key in self.differences

    @property
    def trips(self) -> list[str]:
        """Names of the trips."""
        return list(dict.fromkeys(trip for _, trip in self.risks))

    def __getitem__(self, key: str | tuple[str, str]) -> VanDifference:
        """A van on the trip, or on all trips together; ``(van, trip)`` for one of several trips."""
        found = [a for a in self.differences.values() if key in (a.van, (a.van, a.trip))]
        if found:
            return found[-1]
        one = isinstance(key, tuple)
        of_base = (key[0] if one and key else key) == self.base_name
        hint = f"{self.base_name!r} is the base: see .risks" if of_base else ""
        what, known = ("van and trip", self.differences) if one else ("van", self.cost)
        raise unknown_key(what, key, known, hint=hint)

    def same_risk_for_less(self) -> list[str]:
        """List the vans that are as safe as the base, or safer, for less.

        Returns
        -------
        list of str
            Those with no difference of risk shown, or a lower one, that cost or weigh less and neither more.
        """
        better = []
        for name, cost in self.cost.items():
            risk, mass = self[name]["risk"].difference, self.mass_kg[name]
            if risk and risk.low <= 0 and cost.high <= 0 and mass.high <= 0 and (cost.low < 0 or mass.low < 0):
                better.append(name)
        return better

    def to_dict(self) -> dict[str, Any]:
        """Plain numbers: what was run, and by van and trip its risk and the outcomes with their differences."""

        def numbers(entry: OutcomeDifference) -> dict[str, Any]:
            plain = {"base": entry.base, "other": entry.other, "trials_with_both": entry.trials_with_both}
            return plain | {"difference": plain_content(entry.difference)}

        def on_trip(a: VanDifference) -> dict[str, Any]:
            return {
                "risk": plain_content(self._value("risk", a.van, a.trip)),
                "risk_difference_with_model_error": self._difference_range(a),
                "variance_ratio": plain_content(a.variance_ratio),
                "outcomes": {name: numbers(entry) for name, entry in a.outcomes.items()},
            }

        vans = {
            van: {
                "cost": vars(self.cost[van]),
                "mass_kg": vars(self.mass_kg[van]),
                "notes": list(self.notes.get(van, ())),
                "trips": {a.trip: on_trip(a) for a in self.differences.values() if a.van == van},
            }
            for van in self.cost
        }
        base = {trip: plain_content(self.risks[self.base_name, trip].cutout) for trip in self.trips}
        about = {key: value for key, value in self._about().items() if not key.endswith("digest")}
        return {**NOTES, **about, "base": self.base_name, "base_risk": base, "vans": vans}

    def to_xarray(self) -> xarray.Dataset:
        """Dimensions van (the base first) and trip: each outcome, and its ``_difference`` from the base with interval.

        Where there are several trips, variables along van alone, which end in ``_all_trips``, are the means over them:
        a chance there has its interval too (``risk_all_trips_low``), in which trips that fail in the same trials count
        for less than as many. The base differs from itself by 0.
        """
        return self._labelled(self.trips, self._means_over_trips() if len(self.trips) > 1 else None)

    def _means_over_trips(self) -> dict[str, tuple[str, str, Sequence[object]]]:
        """Of each van, by what labelled data call them."""
        cells: dict[str, tuple[str, str, Sequence[object]]] = {}
        for name in OUTCOMES:
            unit, label, less = _words(name)
            means = [self._value(name, van, ALL_TRIPS) for van in self.vans]
            cells[f"{name}_all_trips"] = unit, f"{label}, mean over the trips", means
            gaps = [self._difference(name, van, ALL_TRIPS) for van in self.vans]
            cells[f"{name}_difference_all_trips"] = unit, f"{less}, mean over the trips", gaps
        return cells

    def _labelled(self, trips: Sequence[str], means: Columns | None = None) -> xarray.Dataset:
        """The outcomes along van and these trips, of which one may be the mean over all, and others along van alone."""
        at = [(van, trip) for van in self.vans for trip in trips]
        cells: dict[str, tuple[str, str, Sequence[object]]] = {}
        for name in OUTCOMES:
            unit, label, less = _words(name)
            cells[name] = unit, label, [self._value(name, *cell) for cell in at]
            cells[f"{name}_difference"] = unit, less, [self._difference(name, *cell) for cell in at]
        more = {
            "cost": (self.prices.currency, "cost beyond the base", [self.cost.get(van) for van in self.vans]),
            "mass_kg": ("kg", "mass beyond the base", [self.mass_kg.get(van) for van in self.vans]),
        }
        data = make_dataset({"van": self.vans, "trip": trips}, cells, more | dict(means or {}), **self._about())
        named = {trip: self._trip(trip) for trip in trips}
        return data.assign_coords(trips_coordinates(named)) if len(trips) > 1 else data

    @checked_call
    def to_dataframe(self, *, units: bool = False, long: bool = False, all_trips: bool = False) -> pandas.DataFrame:
        """A row per van and trip, the base too (needs pandas and xarray).

        Parameters
        ----------
        units : bool
            Put the units into a second header row as well.
        long : bool
            A row per van, trip and outcome: ``value``, ``low``, ``high`` (NaN where it has no interval),
            ``difference``
            from the base with ``difference_low`` and ``difference_high``, and ``unit``.
        all_trips : bool
            Keep the mean over all trips, which is left out, so that no mean or sum over the rows counts a trip
            twice.

        Returns
        -------
        pandas.DataFrame
            The tidy table.
        """
        data = self._labelled([*self.trips, ALL_TRIPS] if all_trips and len(self.trips) > 1 else self.trips)
        if not long:
            return to_tidy_frame(data, units=units)
        import pandas

        ends = {"value": "", "low": "_low", "high": "_high"}
        ends |= {f"difference{end}": f"_difference{end}" for end in ("", "_low", "_high")}
        rows = [
            {"van": van, "trip": trip, "outcome": name}
            | {column: _at(data, name + end, van, trip) for column, end in ends.items()}
            | {"unit": unit_and_label(name)[0]}
            for van in data["van"].values
            for trip in data["trip"].values
            for name in OUTCOMES
        ]
        frame = pandas.DataFrame(rows)
        frame.attrs.update(data.attrs | {"long_name": {name: unit_and_label(name)[1] for name in OUTCOMES}})
        return frame

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of all runs, each once."""
        return tuple(dict.fromkeys(text for risk in self.risks.values() for text in risk.warnings))

    @checked_call
    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """The risk of each van on each trip, with its interval (needs matplotlib)."""
        from ..report.pictures.rankings import plot_comparison
        from ..report.plots import checked

        return plot_comparison(self, *checked(size, title))

    def _about(self) -> dict[str, Any]:
        run = next(iter(self.risks.values()))
        trips = [self._trip(trip) for trip in self.trips]
        only = trips[0] if len(trips) == 1 else None
        about = run_attributes(self.risks[self.base_name, self.trips[0]].van, only, run.seed, run.trials)
        if only is None:  # the rest of these are coordinates
            about |= {"trip": "; ".join(map(repr, trips))}
        return about | warnings_attribute(
            f"{text} (van {van!r})" for (van, _), risk in self.risks.items() for text in risk.warnings
        )

    def _trip(self, name: str) -> Any:
        run = self.risks.get((self.base_name, name))
        return run.trip if run else None

    def _value(self, name: str, van: str, trip: str) -> Estimate | float | None:
        if name not in SHARES:
            return self._mean(name, van, trip)
        if trip == ALL_TRIPS:
            return mean_chance([happened(name, self.risks[van, one].columns) for one in self.trips])
        run = self.risks[van, trip]
        return run.cutout if name == "risk" else run.chances[name]

    def _mean(self, name: str, van: str, trip: str) -> float | None:
        base = van == self.base_name
        entry = self.differences[next(iter(self.cost)) if base else van, trip][name]
        return entry.base if base else entry.other

    def _difference_range(self, a: VanDifference) -> dict[str, float] | None:
        """Of the risks on one trip, with the model's error; None where it could not be sized for both vans."""
        gap = a["risk"].difference
        if a.trip == ALL_TRIPS or gap is None:
            return None
        found = difference_range(self.risks[self.base_name, a.trip], self.risks[a.van, a.trip], gap)
        return dict(zip(("low", "high"), found, strict=True)) if found else None

    def _difference(self, name: str, van: str, trip: str) -> Estimate | None:
        if van != self.base_name:
            return self.differences[van, trip][name].difference
        exists = self._value(name, van, trip) is not None
        return no_difference(next(iter(self.risks.values())).trials) if exists else None


_WARNING_TRIALS = ", of the trials in which both cut out; each van's own mean is over all trials in which it does"


def _words(name: str) -> tuple[str, str, str]:
    """Unit and meaning of an outcome, and of its difference."""
    unit, label = unit_and_label(name)
    return unit, label, f"{label}, less the base's" + (_WARNING_TRIALS if name == "warning_h" else "")


def _at(data: xarray.Dataset, name: str, van: str, trip: str) -> float:
    return float(data[name].sel(van=van, trip=trip)) if name in data else float("nan")
