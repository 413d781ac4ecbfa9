"""The outcome of a simulated trip."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model import clocks
from ..model.charge_limit import require_charge_limit
from ..model.checks import validate_text
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call, require_whole_characters
from ..model.outputs import CUTOUT_CAUSES, RESULTS, TIME_SERIES, format_list, result_line, series_line
from ..model.places import Place, places_of
from .energy_balance import DayBalance, day_balances
from .error_estimates import ErrorEstimates
from .failing_trials import FailingDifference, compare_failing_trials
from .labelled_data import to_tidy_frame
from .named_numbers import Named
from .risk_data import risk_to_xarray, time_series_to_xarray
from .risk_dict import LEVELS as LEVELS
from .risk_dict import risk_to_dict
from .trial_sums import Summary
from .validation import validate_threads

if TYPE_CHECKING:
    import pandas
    import xarray

    from ..report.plots import RiskPlots
    from ..studies.suggestions import Suggestions


_GUESSES = {"risk": "cutout", "probability": "cutout", "value": "cutout.value", "low": "cutout.low"}
_GUESSES |= {"high": "cutout.high", "plots": "plot", "results": "columns", "mean": "means"}


def _title(title: object) -> str:
    text = validate_text("title", title)
    require_whole_characters("title", text)
    return text


def _limit(charge_limit: object) -> float | None:
    return None if charge_limit is None else require_charge_limit("charge_limit", charge_limit)


class Risk(ErrorEstimates):
    """Probability that a low-voltage cut-out drops the fridge before the trip ends, and what goes with it.

    Attributes
    ----------
    van, trip : Van, Trip
        What was simulated.
    trials, seed : int
        How many trials, and their seed.
    precision : {"double", "single"}
        Number type of the hourly kernel.
    warnings : tuple of str
        What is allowed in the van and the trip but probably not meant.
    half_width_reached : bool
        Whether the interval got as narrow as ``half_width`` asked for.
    nights, hours, start_hour : int, int, float
        Length of the trip [nights of 24 h, h], and the clock hour of its start [h].
    cutout : Estimate
        ``.value``, ``.low``, ``.high`` (95 %, sampling error alone), ``.events``, ``.trials``.
    columns : mapping of str to ndarray, shape (trials,)
        A result of each trial, in the order of the trials; ``explain("columns")`` lists them, with their units.
        Empty with ``keep="summary"``.
    means : dict
        Mean per trial of those columns of which a mean says something (not a time, a night or a code).
    load_ah : mapping of str to float
        Mean charge per trial that each load asked for [Ah].
    cutout_causes : dict of str to int
        Trials by what dropped the fridge first; ``CUTOUT_CAUSES`` has the names.
    cutouts_by_hour : ndarray of int, shape (hours,)
        First cut-outs by the hour since the start.
    event_counts : mapping of str to int
        Trials in which something happened at all, such as those of :attr:`chances`.
    night_counts : mapping of str to ndarray of int, shape (nights + 1,)
        Trials by the night in which a tank ran dry or full; at 0 those in which it did not.
    charge_balance_error, energy_balance_error : float
        The most that a trial's two ledgers miss, as a share of what passed through.
    time_series : xarray.Dataset
        The hourly time series that were asked for, along trial and hour, with units, meanings and the time on the
        trip's clock; ``explain("time_series")`` says what each is.
    time_series_values : mapping of str to ndarray, shape (trials, hours)
        The same as plain arrays, which need no xarray.
    clock : Clock
        ``.zone``, where it is from, its data's version, ``.utc_offset_h`` at the start [h], and ``.changes`` within
        the trip: (hours since the start, offset from then on). Hours since the start are time that has passed.

    Examples
    --------
    >>> risk = rt.simulate(van, trip, trials=500, seed=1)
    >>> risk.cutout.events == (risk.columns["cutout_cause"] > 0).sum(), risk.nights, len(risk.survival())
    (np.True_, 3, 3)
    >>> risk.nights_at(0.9), risk.min_soc_quantiles([0.05, 0.5]).shape, risk.to_dataframe().shape[0]
    (3, (2,), 500)
    """

    warnings: tuple[str, ...] = ()
    _guesses = ErrorEstimates._guesses | _GUESSES

    def __init__(
        self,
        van: Van,
        trip: Trip,
        compiled: _core.Compiled,
        summary: Summary,
        seed: int,
        precision: str,
        time_series: Mapping[str, NDArray[np.float64]],
        threads: int = 0,
    ) -> None:
        self.van, self.trip, self.compiled = van, trip, compiled
        self.seed, self.precision = seed, precision
        self.trials = summary.trials
        self.columns: Mapping[str, NDArray[Any]] = Named("columns", summary.columns)
        self.time_series_values: Mapping[str, NDArray[np.float64]] = Named("time_series_values", time_series)
        self.half_width_reached = True
        self.cutout = _core.wilson(summary.events, summary.trials)
        self.means: Mapping[str, float] = Named("means", summary.means)
        self.event_counts: Mapping[str, int] = Named("event_counts", summary.event_counts)
        asked_for = zip(compiled.load_names, summary.load_ah.tolist(), strict=True)
        self.load_ah: Mapping[str, float] = Named("load_ah", dict(asked_for))
        by_cause = zip(CUTOUT_CAUSES, summary.cutout_causes.tolist(), strict=True)
        self.cutout_causes: Mapping[str, int] = Named("cutout_causes", dict(by_cause))
        self.cutouts_by_hour = summary.cutouts_by_hour
        self.night_counts: Mapping[str, NDArray[np.int64]] = Named("night_counts", summary.nights)
        self.hours: int = compiled.hours
        self.nights = self.hours // 24
        self.start_hour: float = compiled.start_hour
        self.clock: _core.Clock = compiled.clock
        self.warnings = tuple(compiled.warnings)
        self.charge_balance_error = summary.charge_balance_error
        self.energy_balance_error = summary.energy_balance_error
        self._summary = summary
        self._suggestions: dict[float | None, Suggestions] = {}
        self._threads = threads

    @cached_property
    def time_series(self) -> xarray.Dataset:
        """The hourly time series that were kept, along trial and hour (needs xarray); the same object each time.

        ``time`` is the end of each hour with the time zone of the trip's clock, ``time_utc`` and ``local_time`` are the
        same without one, for ``groupby("local_time.hour")`` and for files, which hold no zones:
        ``risk.time_series.drop_vars("time").to_netcdf(...)``.
        """
        if not self.time_series_values:
            hint = "simulate(van, trip, time_series=True) keeps them all, time_series=['soc'] one of them"
            raise bad_input("time_series", reason="none was kept", hint=hint)
        return time_series_to_xarray(self)

    @property
    def mains_drawn_wh(self) -> float:
        """Mean energy per trial that the mains charger draws from shore power and the generator [Wh]."""
        mains = self.van.mains
        return self.means["mains_wh"] / mains.efficiency if mains else 0.0

    @property
    def places(self) -> tuple[Place, ...]:
        """Where the nights are spent, in order."""
        return places_of(self.trip)

    def cutouts_by_night(self) -> NDArray[np.int64]:
        """Count first cut-outs by night and clock hour.

        Returns
        -------
        ndarray of int, shape (nights + 1, 24)
            Night 1 runs from noon of the first day to noon of the next, and the columns are clock hours. The last row
            is what comes after the last noon.
        """
        table = np.zeros((self.nights + 1, 24), dtype=np.int64)
        clock = clocks.clock_hours(self.compiled, np.arange(self.hours))
        night = np.clip((clock - 12) // 24, 0, self.nights).astype(int)
        np.add.at(table, (night, (clock % 24).astype(int)), self.cutouts_by_hour)
        return table

    @cached_property
    def failing_differences(self) -> list[FailingDifference]:
        """Differences between failing trials and the others, strongest first."""
        return compare_failing_trials(self)

    @cached_property
    def day_balances(self) -> tuple[DayBalance, DayBalance]:
        """Energy balances of middling days and of hard days."""
        return day_balances(self)

    @property
    def plot(self) -> RiskPlots:
        """Pictures, such as ``risk.plot.charge()``; each has ``.figure`` and ``save(path)`` (needs matplotlib).

        ``charge``, ``survival``, ``first_cutout``, ``ledger``, ``temperatures``, ``bad_trip`` and ``changes``.
        """
        from ..report.plots import RiskPlots

        return RiskPlots(self)

    def suggestions(self, threads: int = 0, charge_limit: float | str | None = None) -> Suggestions:
        """Try a few usual changes on the first of the same trips: some two seconds, once; kept from then on.

        Parameters
        ----------
        threads : int
            0 for one per processor.
        charge_limit : float or str, optional
            The charge that you don't go below, 0.5 or "50 %" of full: trips that do fail too.

        Returns
        -------
        Suggestions
            What would help most; the verdict says it.
        """
        from ..studies.suggestions import try_changes

        limit = _limit(charge_limit)
        if limit not in self._suggestions:
            self._suggestions[limit] = try_changes(self, validate_threads(threads), limit)
        return self._suggestions[limit]

    @checked_call
    def verdict(
        self,
        *,
        details: bool = False,
        narrow: bool = False,
        suggest: bool = True,
        charge_limit: float | str | None = None,
        title: str = "",
    ) -> str:
        """The answer for a reader, in lines of 96 columns.

        Parameters
        ----------
        details : bool
            Also the energy table, all causes and the sampling.
        narrow : bool
            Lines of 45 columns.
        suggest : bool
            Say what would help most, which :meth:`suggestions` plays: some two seconds the first time. ``str(risk)``
            leaves it out and never plays anything.
        charge_limit : float or str, optional
            The charge that you don't go below, 0.5 or "50 %" of full: trips that do are counted beside those
            with a cut-out, in nights and in what would help too.
        title : str
            Stands above the dates.

        Returns
        -------
        str
            The text, with its cautions.
        """
        from ..report.verdict import write_verdict

        title, limit = _title(title), _limit(charge_limit)
        found = self.suggestions(charge_limit=limit) if suggest else None
        return write_verdict(self, found, details=details, narrow=narrow, charge_limit=limit, title=title)

    @checked_call
    def report(self, path: str | Path, *, title: str = "", charge_limit: float | str | None = None) -> Path:
        """Write a page to hand on: one HTML file that fetches nothing, for a telephone, a desk and two sheets of A4.

        It has the verdict, four pictures, what was assumed and where each input came from, the cautions, and the
        scenario from which it can be run again. A file that is there is replaced.

        Parameters
        ----------
        path : str or path
            Of the file, which ends in .html.
        title : str
            Its heading; not given: what the verdict has.
        charge_limit : float or str, optional
            A state of charge [share of full], 0.01 to 0.99 or such as "50 %", that you don't go below, counted beside
            the cut-out.

        Returns
        -------
        Path
            Of the file.

        Raises
        ------
        InputError
            A path that can't be written or is no page's; a title or a limit that is none.
        """
        from ..report.page import write_page

        return write_page(self, path, title=_title(title), charge_limit=_limit(charge_limit))

    def to_dict(self) -> dict[str, Any]:
        """Plain numbers and texts, ready for JSON (None where a number does not exist)."""
        return risk_to_dict(self)

    def to_xarray(self) -> xarray.Dataset:
        """Risk, results of each trial and kept time series, with units (needs xarray).

        Dimensions are ``night``, ``trial`` (where columns were kept) and ``hour`` (where time series were);
        ``time_utc`` and ``local_time`` belong to the ends of the hours.
        """
        return risk_to_xarray(self)

    @checked_call
    def to_dataframe(self, *, units: bool = False) -> pandas.DataFrame:
        """Results of each trial, a row each; where no columns were kept, the survival by night (needs pandas)."""
        data = self.to_xarray().drop_dims("hour", errors="ignore")
        along = "trial" if "trial" in data.sizes else "night"
        return to_tidy_frame(data[[name for name in data.data_vars if data[name].dims == (along,)]], units=units)

    def _content(self) -> dict[str, Any]:
        names = ("van", "trip", "seed", "precision", "trials", "half_width_reached", "time_series_values")
        return {name: getattr(self, name) for name in names} | {"sums": vars(self._summary)}

    def __getstate__(self) -> dict[str, Any]:
        """Without what is made again: the compiled trip from van, trip and clock, labelled data from its values."""
        return {name: value for name, value in vars(self).items() if name not in ("compiled", "time_series")}

    def __setstate__(self, state: dict[str, Any]) -> None:
        vars(self).update(state)
        self.compiled = clocks.compile_with_clock(self.van, self.trip, self.clock)
        for values in (*self.columns.values(), *self.time_series_values.values()):
            values.flags.writeable = False

    def __repr__(self) -> str:
        return f"<Risk {_core.estimate_text(self.cutout)}, seed {self.seed}>"


# help(Risk) lists the columns and time series that the core declares.
if Risk.__doc__:
    _listed = {"columns": [*map(result_line, RESULTS)], "time_series": [*map(series_line, TIME_SERIES)]}
    for _attribute, _lines in _listed.items():
        Risk.__doc__ += f"\n    Of ``{_attribute}``:\n\n{format_list(_lines)}\n    "
