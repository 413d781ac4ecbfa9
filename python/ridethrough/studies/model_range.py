"""Risks of a range of vans over places, months and a mix of customers, and what a brochure can state."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core
from ridethrough._core import Estimate

from ..engine.labelled_data import to_tidy_frame
from ..engine.progress import ProgressOption
from ..engine.result import Result
from ..engine.run_options import TRIALS, ExecutorOption, Precision
from ..engine.validation import validate_int, validate_number, validate_risk_level
from ..model.checks import is_number, validate_list, validate_mapping
from ..model.classes import Site, Trip, Van
from ..model.errors import bad_input, checked_call, unknown_name
from ..model.habit_profiles import Habits, habits
from ..model.trip_days import with_numbered_days
from ..model.values import to_python_value
from ..model.van_parts import climate_of
from .grid import grid_of
from .grid_sweep import sweep

if TYPE_CHECKING:
    import pandas
    import xarray

    from ..report.pictures.picture import Picture


FOOD = "food_warm_4h"
_MIXED = tuple(f"{name}{end}" for name in ("risk", "risk_by_night", FOOD) for end in ("", "_low", "_high"))
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, eq=False, repr=False)
class VanRange(Result):
    """What :func:`van_range` returns: risks of every model at every place in every month.

    Attributes
    ----------
    by_customer : xarray.Dataset
        Dimensions model, site, month, customer; all that :func:`ridethrough.sweep` gives.
    mix : xarray.Dataset
        The customers' weighted mean: model, site, month. Customers live through the same weather, so their sampling
        errors go together: the mix's interval is the weighted mean of theirs, which is never too short.
    models : dict of str to Van
        The range.
    trip : Trip
        The plan that was stated.
    places : dict of str to Site
        By name.
    starts : dict of str to str
        Start times by the months' names.
    """

    by_customer: xarray.Dataset
    mix: xarray.Dataset
    models: Mapping[str, Van]
    trip: Trip
    places: Mapping[str, Site]
    starts: Mapping[str, str]

    def __repr__(self) -> str:
        return (
            f"<VanRange: models {', '.join(self.models)}; places {', '.join(self.places)}; {len(self.starts)} months>"
        )

    def to_xarray(self) -> xarray.Dataset:
        """The same as ``mix``: dimensions model, site and month."""
        return self.mix

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of all models, places, months and customers."""
        return tuple(self.by_customer.attrs.get("warnings", "").splitlines())

    def to_dataframe(self, *, units: bool = False) -> pandas.DataFrame:
        """A tidy table, one row per model, site and month (needs pandas); the nights stand in :meth:`to_xarray`."""
        return to_tidy_frame(self.mix.drop_dims("night"), units=units)

    @checked_call
    def plot(self, model: str | None = None, *, size: str = "screen", title: str = "") -> Picture:
        """Seasons by place: a model's risk of the mix by month, the first's unless named (needs matplotlib)."""
        from ..report.pictures.studies import plot_range
        from ..report.plots import checked

        name = next(iter(self.models)) if model is None else model
        return plot_range(self, self._labels(model=name)["model"], *checked(size, title))

    @checked_call
    def months_sold(self, site: str) -> list[str]:
        """Labels of the months in which vans are sold for use at this place."""
        sold = self.mix["sold"].sel(self._labels(site=site))
        return [str(m) for m in sold["month"].values[sold.values]]

    @checked_call
    def worst_month(self, model: str, site: str) -> str:
        """The sold month of the highest risk."""
        risk = self.mix["risk"].sel(self._labels(model=model, site=site)).sel(month=self.months_sold(site))
        return str(risk["month"].values[np.argmax(risk.values)])

    @checked_call
    def hottest_month(self, site: str) -> str:
        """The sold month of the highest mean air temperature: the other season in which vans fail."""
        air = self.mix["air_temp_c"].sel(self._labels(site=site)).sel(month=self.months_sold(site))
        return str(air["month"].values[np.argmax(air.values)])

    @checked_call
    def risk(self, model: str, site: str, month: str) -> Estimate:
        """Risk of the mix, with its interval."""
        return self._estimate(self.mix.sel(self._labels(model=model, site=site, month=month)))

    def _labels(self, **labels: str) -> dict[str, str]:
        """The labels, each of which there must be."""
        for axis, label in labels.items():
            known = [str(one) for one in self.mix[axis].values]
            if label not in known:
                raise unknown_name(axis, label, known, f"no {axis} is called so")
        return labels

    @checked_call
    def nights_at(self, level: float) -> xarray.DataArray:
        """Nights for which the interval's upper end stays within a risk; model, site, month."""
        validate_risk_level(level)
        nights = (self.mix["risk_by_night_high"] <= level).sum("night")
        return nights.assign_attrs(units="nights", long_name=f"nights at a risk of {100 * level:g} %").rename("nights")

    @checked_call
    def failing_customers(self, model: str, site: str, month: str | None = None) -> xarray.Dataset:
        """Who fails in a month (the worst sold one): ``risk`` with interval, ``weight``, ``share_of_failures``."""
        here = self._labels(model=model, site=site, month=month or self.worst_month(model, site))
        found = self.by_customer[["risk", "risk_low", "risk_high", "trials", "weight"]].sel(here)
        failures = found["risk"] * found["weight"]
        share = failures / failures.sum() if failures.sum() > 0 else failures
        return found.assign(share_of_failures=share).sortby("risk", ascending=False)

    @checked_call
    def calls_per_1000(self, model: str, site: str, *, trips_a_year: float, call_share: float) -> Estimate:
        """Calls a year from 1,000 vans at a place: trips spread evenly over the months sold, a share of the failures
        (``call_share``, 0 to 1) rings up. Neither number has a default: they are the maker's own experience.
        """
        validate_number("call_share", call_share, 0, 1)
        validate_number("trips_a_year", trips_a_year, 0, 100)
        sold = self.mix.sel(self._labels(model=model, site=site)).sel(month=self.months_sold(site))
        here = sold.mean("month")
        return self._estimate(here, 1000 * trips_a_year * call_share)

    @checked_call
    def brochure(self, model: str, site: str) -> str:
        """What can be stated: nights at 5, 10 and 20 % risk in the worst sold month, with conditions and intervals."""
        from ..report.range_report import format_brochure

        return format_brochure(self, model, site)

    def customers(self) -> tuple[list[str], list[float]]:
        """Their names and shares."""
        return [str(c) for c in self.by_customer["customer"].values], self.by_customer["weight"].values.tolist()

    def _estimate(self, mix: xarray.Dataset, factor: float = 1.0) -> Estimate:
        value, low, high = (factor * float(mix[name]) for name in ("risk", "risk_low", "risk_high"))
        trials = int(self.by_customer["trials"].max())
        # Rounding of a mean must not put the value outside its limits.
        return _core.Estimate(value=value, low=min(low, value), high=max(high, value), events=None, trials=trials)


@checked_call
def van_range(
    models: Mapping[str, Van],
    trip: Trip,
    *,
    sites: Iterable[Any] | Mapping[str, Any],
    customers: Mapping[str, Any],
    months: Mapping[str, str] | Iterable[int] = range(1, 13),
    sold: Mapping[str, Iterable[str]] | None = None,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    cells_per_task: int = 1,
    store: Any = None,
) -> VanRange:
    """Simulate a range of vans over places, months and a weighted mix of customers, all on the same trials.

    Parameters
    ----------
    models : dict of str to Van
        The range, by name.
    trip : Trip
        The plan that is stated: nights, drives, shade; its site and month are replaced.
    sites : list of Site, or dict of str to Site
        Places with their climates; a list is called by the climates' names.
    customers : dict
        Weights by the name of ready-made habits, ``{"light_couple": 0.6, "family": 0.4}``, or by any name with what
        it stands for, ``{"cold workers": (habits_or_changes, 0.2)}``: a Habits, or a dict of dotted paths to values.
        Weights are taken as shares of their sum.
    months : list of int, or dict of str to str, optional
        Months (trips then start on the 15th at the trip's hour), or start times by name.
    sold : dict, optional
        Names of the months sold, by site; a site not named is sold in all. The worst and the hottest month, the
        brochure's and the calls are of these.
    trials, seed, threads, precision, executor, progress, cells_per_task, store : optional
        As of :func:`sweep`, for each kind of customer.

    Returns
    -------
    VanRange
        Risks of every model at every place in every month.

    Raises
    ------
    InputError
        No model, site, customer or month, or anything :func:`sweep` refuses.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; with ``store`` the same call goes on where it ended.

    Examples
    --------
    >>> found = rt.van_range({"a": van}, trip, sites=[trip.site], customers={"light_couple": 1}, months=[6], trials=50)
    >>> found.mix.sizes["month"]
    1
    """
    weights = _weights(customers)
    if not isinstance(trip, Trip):
        raise bad_input("trip", trip, reason="must be a Trip")
    trip = with_numbered_days(trip)
    starts = _starts(trip, months)
    if not isinstance(models, Mapping) or not models:
        raise bad_input("models", models, reason="must be a dict of names to vans")
    for name, van in models.items():
        if not isinstance(van, Van):
            raise bad_input(f"models[{name!r}]", van, reason="must be a Van")
    place_axis = grid_of(next(iter(models.values())), trip, {"trip.site": sites}).axes[0]
    taken = _months_sold([str(label) for label in place_axis.labels], starts, sold)
    axes = {
        "model": {str(name): {"van": van} for name, van in models.items()},
        "site": dict(zip(place_axis.labels, place_axis.changes, strict=True)),
        "month": {name: {"trip.start": start} for name, start in starts.items()},
        "customer": {name: _changes(name, given) for name, given in customers.items()},
    }
    by_customer = sweep(
        next(iter(models.values())),
        trip,
        axes,
        trials=trials,
        seed=seed,
        threads=threads,
        precision=precision,
        executor=executor,
        progress=progress,
        cells_per_task=cells_per_task,
        store=store,
    ).dataset
    about = {"units": "1", "long_name": "share of the customers"}
    by_customer = by_customer.assign_coords(weight=("customer", list(weights.values()), about))
    mix = by_customer[list(_MIXED)].weighted(by_customer["weight"]).mean("customer", keep_attrs=True)
    mix = mix.clip(0, 1, keep_attrs=True)
    places = [changes["trip.site"] for changes in place_axis.changes]
    by_name = dict(zip(place_axis.labels, places, strict=True))
    named = {str(label): place for label, place in by_name.items()}
    return VanRange(by_customer, _seasons(mix, places, starts, taken), dict(models), trip, named, starts)


def _weights(customers: object) -> dict[str, float]:
    if not isinstance(customers, Mapping) or not customers:
        raise bad_input("customers", customers, reason="must be a dict of names to weights")
    found = {}
    for name, given in customers.items():
        weight = given[1] if isinstance(given, tuple) and len(given) == 2 else given
        if not is_number(weight) or not 0 < weight < float("inf"):
            raise bad_input("customers", reason=f"weight of {name!r} = {weight!r}: allowed numbers above 0")
        found[str(name)] = float(weight)
    return {name: weight / sum(found.values()) for name, weight in found.items()}


def _changes(name: str, given: Any) -> dict[str, Any]:
    what = given[0] if isinstance(given, tuple) else habits(name)
    if isinstance(what, Habits):
        return {**what.van, **{f"trip.{key}": value for key, value in what.trip.items()}}
    if not isinstance(what, Mapping):
        raise bad_input("customers", reason=f"{name!r} = {what!r}: must be Habits or a dict of dotted paths to values")
    return dict(what)


def _starts(trip: Trip, months: Any) -> dict[str, str]:
    if isinstance(months, Mapping):
        return {str(name): str(to_python_value(start)) for name, start in months.items()}
    year, hour = trip.start[:4], trip.start[11:]
    allowed = "whole numbers 1 to 12, or a dict of names to start times"
    chosen = [validate_int("months: each", month, 1, 12) for month in validate_list("months", months, allowed)]
    return {MONTHS[m - 1]: f"{year}-{m:02d}-15 {hour}" for m in chosen}


def _months_sold(names: list[str], starts: Mapping[str, str], sold: object) -> NDArray[np.bool_]:
    """Whether a month is sold at a place, by site and month."""
    sold = validate_mapping("sold", sold or {}, "a dict of sites to lists of months")
    if unknown := set(sold) - set(names):
        raise bad_input("sold", reason=f"no site is called {sorted(unknown)}; they are {', '.join(names)}")
    taken = np.ones((len(names), len(starts)), dtype=bool)
    for i, name in enumerate(names):
        if name in sold:
            wanted = validate_list(f"sold[{name!r}]", sold[name], f"one or more of {', '.join(starts)}")
            if any(month not in starts for month in wanted):
                raise bad_input("sold", reason=f"{name} = {wanted!r}: allowed one or more of {', '.join(starts)}")
            taken[i] = [month in wanted for month in starts]
    return taken


def _seasons(
    mix: xarray.Dataset, sites: list[Any], starts: Mapping[str, str], taken: NDArray[np.bool_]
) -> xarray.Dataset:
    """The mix with the normals' air temperature of each month, and whether it is sold there."""
    months = [int(start[5:7]) - 1 for start in starts.values()]
    air = [[climate_of(site).air_temp_c[m] for m in months] for site in sites]
    where = ("site", "month")
    return mix.assign(
        air_temp_c=(where, air, {"units": "degC", "long_name": "the normals' mean air temperature"}),
        sold=(where, taken),
    )
