"""What hindcasts return: a result by start day, and the model's own risk by month."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from ..engine.labelled_data import NOTES, run_attributes
from ..engine.table_result import FrameResult
from ..model.checks import validate_mapping
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call

if TYPE_CHECKING:
    import pandas

    from ..report.pictures.picture import Picture

RESAMPLES = 1000  # of whole years, for the interval of a frequency


@dataclass(eq=False, repr=False)
class Hindcast(FrameResult):
    """What :func:`hindcast` returns; used like its table.

    Attributes
    ----------
    frame : pandas.DataFrame
        By start day: ``cutout`` [share of trials], ``first_cutout_h`` [h after the start, median], ``min_soc``
        [share of full, mean].
    van, trip : Van, Trip
        What was played. The trip has the record's climate.
    trials, seed : int
        Trials of each start day, and the seed.
    days_left_out : int
        Start days whose trip meets a gap, a joint of a typical year, or an end of the record.
    warnings : tuple of str
        What is allowed in van and trip but probably not meant.

    Examples
    --------
    >>> found = rt.hindcast(van, trip, record, trials=1)
    >>> list(found.frame), found["cutout"].equals(found.frame["cutout"]), len(found.by_month())
    (['cutout', 'first_cutout_h', 'min_soc'], True, 12)
    """

    van: Van
    trip: Trip
    frame: pandas.DataFrame
    trials: int
    seed: int
    days_left_out: int
    warnings: tuple[str, ...] = ()

    _columns: ClassVar = {
        "cutout": ("1", "share of the trials in which a low-voltage cut-out drops the fridge before the trip ends"),
        "first_cutout_h": ("h", "time from the start to the first cut-out, median of the trials that have one"),
        "min_soc": ("1", "lowest charge of the trip, share of full, mean of the trials"),
    }

    def by_month(self) -> pandas.DataFrame:
        """Frequency of a cut-out by month.

        Returns
        -------
        pandas.DataFrame
            By month 1 to 12: ``frequency``, ``low`` and ``high``, 95 % from a bootstrap over whole years,
            ``start_days``. Start
            days of one year share their weather, so the interval counts years, not days. It is NaN for one year.
        """
        import pandas

        index = pandas.DatetimeIndex(self.frame.index)
        if not len(index):
            return pandas.DataFrame({name: [] for name in ("frequency", "low", "high", "start_days")}, dtype=float)
        years, at = np.unique(index.year.to_numpy(), return_inverse=True)
        month = index.month.to_numpy() - 1
        events, days = np.zeros((len(years), 12)), np.zeros((len(years), 12))
        np.add.at(events, (at, month), self.frame["cutout"].to_numpy())
        np.add.at(days, (at, month), 1.0)
        pick = np.random.default_rng(0).integers(0, len(years), (RESAMPLES, len(years)))
        with np.errstate(invalid="ignore", divide="ignore"):
            drawn = events[pick].sum(axis=1) / days[pick].sum(axis=1)
            frequency = events.sum(axis=0) / days.sum(axis=0)
        there = np.flatnonzero(days.sum(axis=0))
        ends = np.full((2, 12), np.nan)
        if len(years) > 1:
            ends[:, there] = np.nanquantile(drawn[:, there], [0.025, 0.975], axis=0)
        columns = {"frequency": frequency, "low": ends[0], "high": ends[1], "start_days": days.sum(axis=0).astype(int)}
        made = pandas.DataFrame(columns, index=pandas.RangeIndex(1, 13, name="month"))
        return made.iloc[there]

    @checked_call
    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """Frequency of a cut-out by month, with its interval (needs matplotlib)."""
        from ..report.pictures.studies import plot_hindcast
        from ..report.plots import checked

        return plot_hindcast(self, *checked(size, title))

    def _about(self) -> dict[str, Any]:
        about = run_attributes(self.van, self.trip, self.seed, self.trials)
        return {**NOTES, **about, "days_left_out": self.days_left_out}

    def __repr__(self) -> str:
        return f"<Hindcast: {len(self.frame):,} start days, {self.trials} trials each>"


@dataclass(eq=False, repr=False)
class MonthlyRisk(FrameResult):
    """What :func:`monthly_risk` returns; used like its table.

    Attributes
    ----------
    frame : pandas.DataFrame
        By month: ``risk``, ``risk_low``, ``risk_high`` (95 %, sampling error alone), ``trials``, ``load_wh_day``,
        ``solar_wh_day``.
    van, trip, seed
        What was simulated.
    trials : int
        Of each day of a year.
    warnings : tuple of str
        What is allowed in van and trip but probably not meant.

    Examples
    --------
    >>> found = rt.monthly_risk(van, trip, trials=1)
    >>> found["risk"].equals(found.frame["risk"]), list(found.index) == list(range(1, 13))
    (True, True)
    """

    van: Van
    trip: Trip
    seed: int
    frame: pandas.DataFrame
    trials: int
    warnings: tuple[str, ...] = ()

    _columns: ClassVar = {
        "risk": ("1", "probability that a low-voltage cut-out drops the fridge before the trip ends"),
        "risk_low": ("1", "lower end of its 95 % interval, sampling error alone"),
        "risk_high": ("1", "upper end of its 95 % interval, sampling error alone"),
        "trials": ("1", "trials of the month"),
        "load_wh_day": ("Wh/d", "energy that fridge and other loads take"),
        "solar_wh_day": ("Wh/d", "energy that the array gives, with what no battery had room for"),
    }

    @checked_call
    def plot(
        self,
        others: Mapping[str, MonthlyRisk] | None = None,
        *,
        label: str = "as it is",
        size: str = "screen",
        title: str = "",
    ) -> Picture:
        """The risk by month, with its interval (needs matplotlib).

        ``others`` are risks by month at other places, or of other vans, by their names; ``label`` is then this one's.
        """
        from ..report.pictures.studies import plot_seasons
        from ..report.plots import checked

        given = validate_mapping("others", {} if others is None else others, "a dict of names to risks by month")
        for name, other in given.items():
            if not isinstance(other, MonthlyRisk):
                raise bad_input(f"others[{name!r}]", other, allowed="what monthly_risk() returns")
        return plot_seasons({label if given else "": self, **given}, *checked(size, title))

    def _about(self) -> dict[str, Any]:
        return {**NOTES, **run_attributes(self.van, self.trip, self.seed, self.trials)}

    def __repr__(self) -> str:
        return f"<MonthlyRisk: {len(self.frame)} months, {int(self.frame['trials'].sum()):,} trials>"
