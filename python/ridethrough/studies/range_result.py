"""What a range of vans returns: risks by model, place, month and customer, and what a brochure can state of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

import ridethrough._core as _core
from ridethrough._core import Estimate

from ..engine.labelled_data import to_tidy_frame
from ..engine.result import Result
from ..engine.validation import validate_number, validate_risk_level
from ..model.classes import Site, Trip, Van
from ..model.errors import checked_call, unknown_key

if TYPE_CHECKING:
    import pandas
    import xarray

    from ..report.pictures.picture import Picture


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

    Examples
    --------
    >>> models, customers = {"a": van, "b": van.replace("solar.rated_w", 300)}, {"light_couple": 0.7, "family": 0.3}
    >>> found = rt.van_range(models, trip, sites=[trip.site], customers=customers, months=[6, 12], trials=50)
    >>> (place,) = found.places
    >>> found.worst_month("a", place), dict(found.nights_at(0.05).sizes)
    ('Dec', {'model': 2, 'site': 1, 'month': 2})
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

    @checked_call
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
        """List the months in which vans are sold for use at a place.

        Parameters
        ----------
        site : str
            Name of the place.

        Returns
        -------
        list of str
            Labels of the months.
        """
        sold = self.mix["sold"].sel(self._labels(site=site))
        return [str(m) for m in sold["month"].values[sold.values]]

    @checked_call
    def worst_month(self, model: str, site: str) -> str:
        """Name the sold month of the highest risk.

        Parameters
        ----------
        model, site : str
            Names of the model and the place.

        Returns
        -------
        str
            Label of the month.
        """
        risk = self.mix["risk"].sel(self._labels(model=model, site=site)).sel(month=self.months_sold(site))
        return str(risk["month"].values[np.argmax(risk.values)])

    @checked_call
    def hottest_month(self, site: str) -> str:
        """Name the sold month of the highest mean air temperature: the other season in which vans fail.

        Parameters
        ----------
        site : str
            Name of the place.

        Returns
        -------
        str
            Label of the month.
        """
        air = self.mix["air_temp_c"].sel(self._labels(site=site)).sel(month=self.months_sold(site))
        return str(air["month"].values[np.argmax(air.values)])

    @checked_call
    def risk(self, model: str, site: str, month: str) -> Estimate:
        """Risk of the mix of customers.

        Parameters
        ----------
        model, site, month : str
            Names of the model and the place, label of the month.

        Returns
        -------
        Estimate
            The risk with its interval.
        """
        return self._estimate(self.mix.sel(self._labels(model=model, site=site, month=month)))

    def _labels(self, **labels: str) -> dict[str, str]:
        """The labels, each of which there must be."""
        for axis, label in labels.items():
            known = [str(one) for one in self.mix[axis].values]
            if label not in known:
                raise unknown_key(axis, label, known)
        return labels

    @checked_call
    def nights_at(self, level: float) -> xarray.DataArray:
        """Count the nights for which the interval's upper end stays within a risk.

        Parameters
        ----------
        level : float
            The risk, above 0 and below 1.

        Returns
        -------
        xarray.DataArray
            Nights of 24 h; dimensions model, site, month.
        """
        validate_risk_level(level)
        nights = (self.mix["risk_by_night_high"] <= level).sum("night")
        return nights.assign_attrs(units="nights", long_name=f"nights at a risk of {100 * level:g} %").rename("nights")

    @checked_call
    def failing_customers(self, model: str, site: str, month: str | None = None) -> xarray.Dataset:
        """Say who fails in a month.

        Parameters
        ----------
        model, site : str
            Names of the model and the place.
        month : str, optional
            Label of the month; the worst sold one where not given.

        Returns
        -------
        xarray.Dataset
            Along customer, highest risk first: ``risk`` with its interval, ``weight``, ``share_of_failures``.
        """
        here = self._labels(model=model, site=site, month=month or self.worst_month(model, site))
        found = self.by_customer[["risk", "risk_low", "risk_high", "trials", "weight"]].sel(here)
        failures = found["risk"] * found["weight"]
        share = failures / failures.sum() if failures.sum() > 0 else failures
        return found.assign(share_of_failures=share).sortby("risk", ascending=False)

    @checked_call
    def calls_per_1000(self, model: str, site: str, *, trips_a_year: float, call_share: float) -> Estimate:
        """Calls a year from 1,000 vans at a place.

        Trips are spread evenly over the months sold, and some of the failures ring up. Neither number has a default:
        they are the
        maker's own experience.

        Parameters
        ----------
        model, site : str
            Names of the model and the place.
        trips_a_year : float
            Of a van, 0 to 100.
        call_share : float
            Of the failures, 0 to 1.

        Returns
        -------
        Estimate
            Calls a year with their interval.
        """
        validate_number("call_share", call_share, 0, 1)
        validate_number("trips_a_year", trips_a_year, 0, 100)
        sold = self.mix.sel(self._labels(model=model, site=site)).sel(month=self.months_sold(site))
        here = sold.mean("month")
        return self._estimate(here, 1000 * trips_a_year * call_share)

    @checked_call
    def brochure(self, model: str, site: str) -> str:
        """What can be stated: nights at 5, 10 and 20 % risk in the worst sold month, with conditions and intervals.

        Parameters
        ----------
        model, site : str
            Names of the model and the place.

        Returns
        -------
        str
            The statement.
        """
        from ..report.range_report import format_brochure

        return format_brochure(self, model, site)

    def customers(self) -> tuple[list[str], list[float]]:
        """Kinds of customers and their weights.

        Returns
        -------
        (list of str, list of float)
            Their names and shares.
        """
        return [str(c) for c in self.by_customer["customer"].values], self.by_customer["weight"].values.tolist()

    def _estimate(self, mix: xarray.Dataset, factor: float = 1.0) -> Estimate:
        value, low, high = (factor * float(mix[name]) for name in ("risk", "risk_low", "risk_high"))
        trials = int(self.by_customer["trials"].max())
        # Rounding of a mean must not put the value outside its limits.
        return _core.Estimate(value=value, low=min(low, value), high=max(high, value), events=None, trials=trials)
