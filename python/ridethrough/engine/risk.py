"""The outcome of a simulated trip."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model import clocks
from ..model.checks import validate_numbers
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call, unknown_name
from ..model.former_names import name_now
from ..model.outputs import CUTOUT_CAUSES, FLAGS, RESULTS, TANKS, TIME_SERIES, format_list, result_line, series_line
from ..model.places import Place, places_of
from . import event_chances
from .energy_balance import DayBalance, day_balances
from .failing_trials import FailingDifference, compare_failing_trials
from .labelled_data import to_tidy_frame
from .model_error import model_error_of, model_error_of_risk
from .named_numbers import Named
from .result import Result
from .risk_data import risk_to_xarray, time_series_to_xarray
from .risk_dict import LEVELS as LEVELS
from .risk_dict import risk_to_dict
from .trial_sums import Summary
from .validation import validate_number, validate_risk_level, validate_threads

if TYPE_CHECKING:
    import pandas
    import xarray

    from ..report.plots import RiskPlots
    from ..studies.suggestions import Suggestions


_SAID_AS = {"risk": "cutout", "probability": "cutout", "value": "cutout.value", "low": "cutout.low"}
_SAID_AS |= {"high": "cutout.high", "plots": "plot", "results": "columns", "mean": "means"}


LEAST_LIMIT, MOST_LIMIT = 0.01, 0.99  # that an owner may not want to go below


class Risk(Result):
    """Probability that a low-voltage cut-out drops the fridge before the trip ends, and what goes with it.

    Attributes
    ----------
    warnings : tuple of str
        What is allowed in the van and the trip but probably not meant.
    cutout : Estimate
        ``.value``, ``.low``, ``.high`` (95 %, sampling error alone), ``.events``, ``.trials``.
    columns : mapping of str to ndarray, shape (trials,)
        A result of each trial, in the order of the trials; ``explain("columns")`` lists them, with their units. Empty
        with ``keep="summary"``.
    means : dict
        Mean per trial of those columns of which a mean says something (not a time, a night or a code).
    time_series : xarray.Dataset
        The hourly time series that were asked for, along trial and hour, with units, meanings and the time on the
        trip's clock; ``explain("time_series")`` says what each is.
    time_series_values : mapping of str to ndarray, shape (trials, hours)
        The same as plain arrays, which need no xarray.
    clock : Clock
        ``.zone``, where it is from, its data's version, ``.utc_offset_h`` at the start [h], and ``.changes`` within
        the trip: (hours since the start, offset from then on). Hours since the start are time that has passed.
    """

    warnings: tuple[str, ...] = ()

    def __init__(
        self,
        van: Van,
        trip: Trip,
        compiled: _core.Compiled,
        summary: Summary,
        seed: int,
        precision: str,
        time_series: Mapping[str, NDArray[np.float64]],
    ) -> None:
        self.van, self.trip, self.compiled = van, trip, compiled
        self.seed, self.precision = seed, precision
        self.trials = summary.trials
        self.columns: Mapping[str, NDArray[Any]] = Named("columns", summary.columns)
        self.time_series_values: Mapping[str, NDArray[np.float64]] = Named("time_series_values", time_series)
        self.half_width_reached = True
        self.cutout = _core.wilson(summary.events, summary.trials)
        self.means: Mapping[str, float] = Named("means", summary.means)
        self.trials_with = summary.trials_with
        asked_for = zip(compiled.load_names, summary.load_ah.tolist(), strict=True)
        self.load_ah: Mapping[str, float] = Named("load_ah", dict(asked_for))
        self.cutout_causes = dict(zip(CUTOUT_CAUSES, summary.cutout_causes.tolist(), strict=True))
        self.cutouts_by_hour = summary.cutouts_by_hour
        self.nights_of: Mapping[str, NDArray[np.int64]] = summary.nights
        self.hours: int = compiled.hours
        self.start_hour: float = compiled.start_hour
        self.clock: _core.Clock = compiled.clock
        self.warnings = tuple(compiled.warnings)
        self.worst_charge_miss = summary.worst_charge_miss
        self.worst_energy_miss = summary.worst_energy_miss
        self._summary = summary
        self._suggestions: Suggestions | None = None

    @property
    def nights(self) -> int:
        """Length of the trip."""
        return self.hours // 24

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

    @checked_call
    def charge_quantiles(self, shares: Sequence[float]) -> NDArray[np.float64]:
        """State of charge [share of full] at the end of each hour; shape (len(shares), hours).

        From counts in bins of 0.005, and so right to within 0.005; where trials crowd at full, that much too low.
        """
        wanted = _shares(shares)
        histogram = self._summary.charge_histogram
        assert histogram is not None  # there is no risk without a trial
        return _quantiles(histogram, wanted)

    @checked_call
    def lowest_charge_quantiles(self, shares: Sequence[float]) -> NDArray[np.float64]:
        """Lowest state of charge of a trip [share of full]; shape (len(shares),); to within its bins of 0.0025."""
        return _quantiles(self._summary.lowest_histogram[None, :], _shares(shares))[:, 0]

    @checked_call
    def quantile(self, column: str, share: float) -> _core.Estimate:
        """Quantile of a column over the trials as an Estimate with its 95 % interval (order statistics)."""
        if column not in self.columns:
            raise bad_input("column", column, allowed=", ".join(self.columns) or "none was kept")
        return _core.quantile_interval(self.columns[column].astype(np.float64), validate_number("share", share, 0, 1))

    def survival(self) -> list[_core.Estimate]:
        """Estimates of the chance that no cut-out has dropped the fridge by 24 h, 48 h, ... after the start."""
        lost = np.cumsum(self.cutouts_by_hour.reshape(self.nights, 24).sum(axis=1))
        return [_core.wilson(self.trials - int(n), self.trials) for n in lost]

    @checked_call
    def nights_at(self, level: float) -> int:
        """Nights (24 h each, from the start) for which the 95 % interval's upper end stays within a risk; at most the
        trip's. Where it is all of them, a longer trip may hold too.
        """
        validate_risk_level(level)
        return sum(1 - e.low <= level for e in self.survival())

    def cutouts_by_night(self) -> NDArray[np.int64]:
        """First cut-outs; shape (nights + 1, 24): night 1 runs from noon of the first day to noon of the next, and
        the columns are clock hours. The last row is what comes after the last noon.
        """
        table = np.zeros((self.nights + 1, 24), dtype=np.int64)
        clock = clocks.clock_hours(self.compiled, np.arange(self.hours))
        night = np.clip((clock - 12) // 24, 0, self.nights).astype(int)
        np.add.at(table, (night, (clock % 24).astype(int)), self.cutouts_by_hour)
        return table

    def tank_chances(self) -> dict[str, _core.Estimate]:
        """Estimates of the chance that the fresh tank runs dry and the grey tank full; empty without ``Van.water``."""
        return {
            key: _core.wilson(self.trials - int(self.nights_of[name][0]), self.trials)
            for key, name in TANKS.items()
            if name in self.nights_of
        }

    @property
    def chances(self) -> dict[str, _core.Estimate]:
        """Estimates of what else may happen: ``fridge_off_over_1h`` [in a row], ``food_warm_2h``, ``food_warm_4h``
        [above 5 degC in a row], ``food_frozen`` [below 0 degC for over 1 h], ``cold_cabin`` [cabin below 10 degC for
        over 1 h, people aboard], ``cabin_frozen``, ``below_half`` [charge].
        """
        return Named("chances", event_chances.estimate_chances(self.trials_with, self.trials))

    @property
    def fridge_off_over_1h(self) -> _core.Estimate:
        """Chance that the fridge is off for more than an hour in a row, by whatever cut-out: the second headline."""
        return self.chances[event_chances.FRIDGE_OFF]

    @checked_call
    def warm_h_if_failed(self, share: float = 0.1) -> tuple[float, float]:
        """Hours above 5 degC inside the fridge, given that a cut-out dropped it: the mean, and the whole hours that a
        share of those trials exceeds. NaN where none failed.
        """
        return self._summary.warm_h_if_failed(validate_number("share", share, 0, 1))

    @property
    def freezing(self) -> _core.Estimate:
        """Estimate of the chance that a lead-acid battery gets to its freezing point."""
        return self.flag_chance("frozen")

    @checked_call
    def flag_chance(self, name: str) -> _core.Estimate:
        """Estimate of the chance of a result that is 0 or 1 in each trial, such as "frozen"."""
        if name not in FLAGS:
            raise unknown_name("name", name, FLAGS, "is not 0 or 1 in each trial")
        return _core.wilson(round(self.means[name] * self.trials), self.trials)

    @cached_property
    def common(self) -> list[FailingDifference]:
        """Differences between failing trials and the others, strongest first."""
        return compare_failing_trials(self)

    @cached_property
    def day_balances(self) -> tuple[DayBalance, DayBalance]:
        """Energy balances of middling days and of hard days."""
        return day_balances(self)

    @property
    def plot(self) -> RiskPlots:
        """Pictures: ``risk.plot.charge()``, ``survival()``, ``first_cutout()``, ``ledger()``, ``temperatures()``,
        ``bad_trip()``, ``changes()``; each has ``.figure`` and ``save(path)`` (needs matplotlib).
        """
        from ..report.plots import RiskPlots

        return RiskPlots(self)

    @cached_property
    def likely_range(self) -> tuple[float, float]:
        """The range of the risk with sampling error and the known errors of the model together."""
        return model_error_of_risk(self).together(self.cutout)

    @checked_call
    def nights_within(self, level: float) -> int:
        """Nights as of :meth:`nights_at`, with the known errors of the model counted too: fewer, if anything."""
        validate_risk_level(level)
        nights = 0
        for survival in self.survival():
            lost = _core.wilson(self.trials - (survival.events or 0), self.trials)
            error = model_error_of(self.van, self.trip, self.compiled, lost.value, nights + 1)
            if error.together(lost)[1] > level:
                break
            nights += 1
        return nights

    @checked_call
    def below_charge(self, charge: float) -> _core.Estimate:
        """Chance that the charge falls below a limit at some time, a share of full such as 0.5, from bins of 0.0025."""
        limit = validate_number("charge", charge, LEAST_LIMIT, MOST_LIMIT)
        histogram = self._summary.lowest_histogram
        return _core.wilson(int(histogram[: round(limit * len(histogram))].sum()), self.trials)

    def suggestions(self, threads: int = 0) -> Suggestions:
        """A few usual changes tried on the first of the same trips: some two seconds, once; kept from then on."""
        from ..studies.suggestions import try_changes

        if self._suggestions is None:
            self._suggestions = try_changes(self, validate_threads(threads))
        return self._suggestions

    @checked_call
    def verdict(
        self,
        *,
        details: bool = False,
        narrow: bool = False,
        suggest: bool = True,
        charge_limit: float | None = None,
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
        charge_limit : float, optional
            The charge that you don't go below, a share of full: trips that do are counted beside those with a cut-out.
        title : str
            Stands above the dates.
        """
        from ..report.verdict import write_verdict

        if charge_limit is not None:
            validate_number("charge_limit", charge_limit, LEAST_LIMIT, MOST_LIMIT)
        found = self.suggestions() if suggest else None
        return write_verdict(self, found, details=details, narrow=narrow, charge_limit=charge_limit, title=title)

    @checked_call
    def report(self, path: str | Path, *, title: str = "", charge_limit: float | None = None) -> Path:
        """Write a page to hand on: one HTML file that fetches nothing, for a telephone, a desk and two sheets of A4.

        It has the verdict, four pictures, what was assumed and where each input came from, the cautions, and the
        scenario from which it can be run again. A file that is there is replaced.
        """
        from ..report.page import write_page

        if charge_limit is not None:
            validate_number("charge_limit", charge_limit, LEAST_LIMIT, MOST_LIMIT)
        return write_page(self, path, title=title, charge_limit=charge_limit)

    def to_dict(self) -> dict[str, Any]:
        """Plain numbers and texts, ready for JSON (None where a number does not exist)."""
        return risk_to_dict(self)

    def to_xarray(self) -> xarray.Dataset:
        """Risk, results of each trial and kept time series, with units (needs xarray).

        Dimensions are ``night``, ``trial`` (where columns were kept) and ``hour`` (where time series were);
        ``time_utc`` and ``local_time`` belong to the ends of the hours.
        """
        return risk_to_xarray(self)

    def to_dataframe(self, *, units: bool = False) -> pandas.DataFrame:
        """Results of each trial, a row each; where no columns were kept, the survival by night (needs pandas)."""
        data = self.to_xarray().drop_dims("hour", errors="ignore")
        along = "trial" if "trial" in data.sizes else "night"
        return to_tidy_frame(data[[name for name in data.data_vars if data[name].dims == (along,)]], units=units)

    def _content(self) -> dict[str, Any]:
        names = ("van", "trip", "seed", "precision", "trials", "half_width_reached", "time_series_values")
        return {name: getattr(self, name) for name in names} | {"sums": vars(self._summary)}

    def __getattr__(self, name: str) -> Any:
        """Only reached by a name that is not there."""
        if now := name_now(f"Risk.{name}"):
            raise AttributeError(f"Risk.{name}: now {now}")
        meant = _SAID_AS.get(name) or _core.nearest_name(name, [known for known in dir(self) if known[0] != "_"])
        hint = f"; did you mean {meant}?" if meant and not name.startswith("_") else ""
        raise AttributeError(f"'Risk' object has no attribute {name!r}{hint}")

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


def _shares(given: object) -> NDArray[np.float64]:
    allowed = "a list of numbers 0 to 1"
    wanted = np.asarray(validate_numbers("shares", given, allowed), dtype=float)
    if not np.all((wanted >= 0) & (wanted <= 1)):
        raise bad_input("shares", given, allowed=allowed)
    return wanted


def _quantiles(histogram: NDArray[Any], shares: NDArray[np.float64]) -> NDArray[np.float64]:
    """Quantiles of each row of a histogram over equal bins of 0 to 1, linear within a bin."""
    rows, bins = histogram.shape
    out = np.empty((len(shares), rows))
    edges = np.arange(bins + 1) / bins
    for row in range(rows):
        cumulative = np.concatenate([[0], np.cumsum(histogram[row])]) / histogram[row].sum()
        rising = np.concatenate([[True], np.diff(cumulative) > 0])
        rising[:-1] |= rising[1:]  # and the point before each rise
        out[:, row] = np.interp(shares, cumulative[rising], edges[rising])
    return out
