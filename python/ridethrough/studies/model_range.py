"""Risks of a range of vans over places, months and a mix of customers, and what a brochure can state."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..engine.named_numbers import Named
from ..engine.progress import ProgressOption
from ..engine.run_options import TRIALS, ExecutorOption, Precision
from ..engine.validation import require_kind, validate_int
from ..model.checks import is_number, validate_list, validate_mapping
from ..model.classes import Site, Trip, Van
from ..model.errors import bad_input, checked_call
from ..model.habit_profiles import Habits, habits
from ..model.trip_days import with_numbered_days
from ..model.values import to_python_value
from ..model.van_parts import climate_of
from .grid import grid_of
from .grid_sweep import sweep
from .range_result import VanRange
from .study_store import StorePlace

if TYPE_CHECKING:
    import xarray


# A weight, or what a customer is beside it: habits, or changes by dotted path.
Customer = float | tuple[Habits | Mapping[str, Any], float]
FOOD = "food_warm_4h"
_MIXED = tuple(f"{name}{end}" for name in ("risk", "risk_by_night", FOOD) for end in ("", "_low", "_high"))
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@checked_call
def van_range(
    models: Mapping[str, Van],
    trip: Trip,
    *,
    sites: Iterable[Site] | Mapping[str, Site],
    customers: Mapping[str, Customer],
    months: Mapping[str, str] | Iterable[int] = range(1, 13),
    sold: Mapping[str, Iterable[str]] | None = None,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    cells_per_task: int = 1,
    store: StorePlace | None = None,
) -> VanRange:
    """Simulate a range of vans over places, months and a weighted mix of customers, all on the same trials.

    Parameters
    ----------
    models : dict of str to Van
        The range, by name.
    trip : Trip
        The plan that is stated: nights, drives, shade; its site and month are replaced.
    sites : list of Site, or dict of str to Site
        Places with their climates; a list is called by the climates' names, or coordinates.
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
    plan = _plan(models, trip, sites, customers, months, sold)
    swept = sweep(
        next(iter(plan.models.values())),
        plan.trip,
        plan.axes,
        trials=trials,
        seed=seed,
        threads=threads,
        precision=precision,
        executor=executor,
        progress=progress,
        cells_per_task=cells_per_task,
        store=store,
    )
    return _result(plan, swept.dataset)


@dataclass(frozen=True, kw_only=True)
class _Plan:
    """What is swept, found valid."""

    models: dict[str, Van]
    trip: Trip  # days of its plan as numbers
    places: dict[str, Site]
    starts: dict[str, str]  # by month
    weights: dict[str, float]  # by customer
    sold: NDArray[np.bool_]  # by place and month
    axes: dict[str, dict[Any, Mapping[str, Any]]]


def _plan(
    models: object, trip: object, sites: object, customers: Mapping[str, Customer], months: object, sold: object
) -> _Plan:
    """The axes of the sweep and what goes with them; InputError for whatever is not as it should be."""
    weights = _weights(customers)
    if not isinstance(trip, Trip):
        raise bad_input("trip", trip, reason="must be a Trip")
    trip = with_numbered_days(trip)
    starts = _starts(trip, months)
    range_of_vans = _models(models)
    place_axis = grid_of(next(iter(range_of_vans.values())), trip, {"trip.site": sites}).axes[0]
    taken = _months_sold([str(label) for label in place_axis.labels], starts, sold)
    axes: dict[str, dict[Any, Mapping[str, Any]]] = {
        "model": {name: {"van": van} for name, van in range_of_vans.items()},
        "site": dict(zip(place_axis.labels, place_axis.changes, strict=True)),
        "month": {name: {"trip.start": start} for name, start in starts.items()},
        "customer": {name: _changes(name, given) for name, given in customers.items()},
    }
    places = {str(label): changes["trip.site"] for label, changes in axes["site"].items()}
    return _Plan(models=range_of_vans, trip=trip, places=places, starts=starts, weights=weights, sold=taken, axes=axes)


def _models(models: object) -> dict[str, Van]:
    if not isinstance(models, Mapping) or not models:
        raise bad_input("models", models, reason="must be a dict of names to vans")
    for name, van in models.items():
        require_kind(f"models[{name!r}]", van, Van)
    return {str(name): van for name, van in models.items()}


def _result(plan: _Plan, by_customer: xarray.Dataset) -> VanRange:
    """The risks by customer with their weighted mean."""
    about = {"units": "1", "long_name": "share of the customers"}
    by_customer = by_customer.assign_coords(weight=("customer", list(plan.weights.values()), about))
    mix = by_customer[list(_MIXED)].weighted(by_customer["weight"]).mean("customer", keep_attrs=True)
    mix = _seasons(mix.clip(0, 1, keep_attrs=True), list(plan.places.values()), plan.starts, plan.sold)
    named = (Named("models", plan.models), plan.trip, Named("places", plan.places), Named("starts", plan.starts))
    return VanRange(by_customer, mix, *named)


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


def _changes(name: str, given: Customer) -> dict[str, Any]:
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
    sold = validate_mapping("sold", {} if sold is None else sold, "a dict of sites to lists of months")
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
