"""Hindcasts: one van on every start day of a measured record, and the model's own risk month by month."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..engine.executors import run_each
from ..engine.interruption import attach_partial_result
from ..engine.labelled_data import require_pandas
from ..engine.progress import ProgressOption, track_progress
from ..engine.run_options import ExecutorOption, Precision, RunOptions
from ..engine.simulation import run_core
from ..engine.validation import compile_with_warnings, require_van_and_trip, validate_int
from ..model import clocks, time_zones
from ..model.classes import Climate, Site, Trip, Van
from ..model.errors import bad_input, checked_call
from ..model.trip_days import with_numbered_days
from ..weather import measured_days
from .hindcast_results import Hindcast, MonthlyRisk

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from pandas import DataFrame

    Array = NDArray[np.float64]
    Integers = NDArray[np.int64]

CYCLE_YEAR = 2001


@checked_call
def hindcast(
    van: Van,
    trip: Trip,
    record: DataFrame,
    *,
    trials: int = 4,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    label: str | None = None,
    utc_offset_h: float | None = None,
) -> Hindcast:
    """Drive a van through every real start day of a measured record.

    Parameters
    ----------
    van, trip : Van, Trip
        To one place, that of the record. The month and day of ``trip.start`` give way to each start day; the clock
        time stays, and so does the year's rule of summer time. What the van, the habits and the hours within a measured
        day leave open is drawn.
    record : pandas.DataFrame
        As :meth:`Climate.from_daily` takes it (``ghi_kwh_m2``, ``temp_min_c``, ``temp_max_c`` by date; the
        clouds within a day are drawn, the day's sum and mean temperature are the record's), or as
        :meth:`Climate.from_hourly` takes it (``ghi``, ``temp_air``; with ``label``). Here gaps are allowed.
    trials : int
        Of each start day, 1 to 1,000,000. A few do: a month's frequency is taken over thousands of start days.
    seed, threads, precision, executor, progress : optional
        As of :func:`simulate`. Each start day has its own trials; precision is double; progress counts start days.
    label : str
        Of an hourly record: ``"left"``, ``"right"`` or ``"centre"``.
    utc_offset_h : float, optional
        Of the clock whose midnight parts the days of a daily record.

    Returns
    -------
    Hindcast
        Used like its table by start day (``found["cutout"]``, ``found.frame``): ``cutout``, the share of trials that
        cut out; ``first_cutout_h``, the median of those [h after the start], NaN where none did; ``min_soc``,
        the trials' mean, as a share of full. ``trials``, ``seed``, and ``days_left_out``: start days whose trip meets a
        gap, a joint of a typical year, or an end.

    Raises
    ------
    InputError
        Something in the van, the trip, the record or the arguments is missing or out of range.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` is the hindcast of the start days that were done.

    Examples
    --------
    >>> found = rt.hindcast(van, trip, record, trials=1)
    >>> bool(found["cutout"].between(0, 1).all())
    True
    """
    require_pandas("a hindcast needs")
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    validate_int("trials", options.trials, 1, 1_000_000)
    if precision != "double":
        raise bad_input("precision", precision, allowed="'double' for a hindcast")
    site = _one_place(van, trip)
    days = measured_days.read(record, site.latitude, site.longitude, label, utc_offset_h)
    trip = _on_measured_days(trip, site, days)
    first = compile_with_warnings(van, trip.replace(weather="generated"))
    touched = int(first.start_hour + first.hours + 23) // 24
    starts, all_days = _start_days(trip, days, touched)
    about = {"days_left_out": int(all_days - len(starts)), "warnings": tuple(first.warnings)}
    played = _PlayedDays(van, trip, starts, options, about)
    with (
        attach_partial_result("hindcast", played.result),
        track_progress(progress, len(starts), 0, "start day") as report_done,
    ):

        def finished(at: Integers, part: dict[str, Any]) -> None:
            report_done(played.add(at, part))

        jobs = _hindcast_jobs(van, trip, days, starts, options)
        run_each(_play_days, jobs, executor=options.executor, finished=finished)
    return played.result()


MeasuredDays = measured_days.DailyWeather | measured_days.HourlyWeather


def _on_measured_days(trip: Trip, site: Site, days: MeasuredDays) -> Trip:
    """The trip with the record's normals, and with its hours where it has them."""
    climate: dict[str, Any] = {"latitude": site.latitude, "longitude": site.longitude, **days.normals()}
    weather: dict[str, Any] = {"weather": "generated"}
    if isinstance(days, measured_days.HourlyWeather):
        climate["weather_series"] = days.hours.to_series(site.latitude, site.longitude)
        weather = {"weather": "replayed", "replay_window_d": 0}
    return with_numbered_days(trip).replace(site=site.replace(climate=Climate(**climate)), **weather)


def _start_days(trip: Trip, days: MeasuredDays, touched: int) -> tuple[Integers, int]:
    """Days on which the trip may start, as it touches measured days only, and how many days there are in all."""
    if isinstance(days, measured_days.HourlyWeather):
        starts, all_days = _measured_starts(trip, days, touched), len(days.good) // 24
    else:
        starts, all_days = days.starts(touched), len(days.clearness)
    if len(starts) == 0:
        raise bad_input("record", reason=f"no run of {touched} whole days in it, which this trip touches")
    return starts, all_days


class _PlayedDays:
    """Results of the start days that have been played, by their places among all start days."""

    def __init__(self, van: Van, trip: Trip, starts: Integers, options: RunOptions, about: dict[str, Any]) -> None:
        self._van, self._trip, self._starts = van, trip, starts
        shape = (len(starts), options.trials)
        self._cutout_h, self._lowest = np.full(shape, np.nan, np.float32), np.full(shape, np.nan, np.float32)
        self._about = {"trials": options.trials, "seed": options.seed, **about}

    def add(self, at: Integers, part: dict[str, Any]) -> int:
        """Store what the core returned; returns how many start days have been played."""
        self._cutout_h[at], self._lowest[at] = part["first_cutout_h"], part["min_soc"]
        return int(np.isfinite(self._lowest[:, 0]).sum())

    def result(self) -> Hindcast:
        import pandas

        done = np.isfinite(self._lowest[:, 0])
        hours = self._cutout_h[done]
        cut = np.isfinite(hours)
        some = cut.any(axis=1)
        median = np.full(len(cut), np.nan)
        median[some] = np.nanmedian(np.where(cut, hours, np.nan)[some], axis=1)
        lowest = self._lowest[done].mean(axis=1)
        days = self._starts[done].astype("datetime64[D]").astype("datetime64[s]")
        made = pandas.DataFrame(
            {"cutout": cut.mean(axis=1), "first_cutout_h": median, "min_soc": lowest},
            index=pandas.DatetimeIndex(days, name="start_day"),
            dtype=np.float64,
        )
        made.attrs.update({name: value for name, value in self._about.items() if name != "warnings"})
        return Hindcast(self._van, self._trip, made, **self._about)


def _hindcast_jobs(
    van: Van,
    trip: Trip,
    days: MeasuredDays,
    starts: Integers,
    options: RunOptions,
) -> Iterator[tuple[Integers, tuple[object, ...]]]:
    """Start days that share a calendar day, with the measured days that their trips see."""
    threads = options.threads if options.executor is None else 1
    for at, dated, clock in _by_calendar_day(trip, starts):
        compiled = clocks.compile_with_clock(van, dated, clock)
        given: dict[str, Any] = {"clearness": [], "air_mean_c": [], "replay_start": []}
        if isinstance(days, measured_days.HourlyWeather):
            given["replay_start"] = days.record_hours(starts[at], compiled.sky_utc_offset_h).tolist()
        else:
            k, t = days.rows(starts[at], compiled.drawn_days)
            given["clearness"], given["air_mean_c"] = k.ravel().tolist(), t.ravel().tolist()
        given |= {"first_trial": (at * options.trials).tolist(), "trials": options.trials}
        yield at, (van, dated, clock, given | {"seed": options.seed, "threads": threads})


def _play_days(van: Van, trip: Trip, clock: _core.Clock, given: dict[str, Any]) -> dict[str, Any]:
    """The trials of these start days, in whatever process."""
    part: dict[str, Any] = _core.hindcast(clocks.compile_with_clock(van, trip, clock), **given)
    if part["raised"] is not None:
        raise part["raised"]
    return {name: part[name] for name in ("first_cutout_h", "min_soc")}


@checked_call
def normals_of(
    trip: Trip, record: DataFrame, *, label: str | None = None, utc_offset_h: float | None = None
) -> Climate:
    """Make a climate that knows only the twelve monthly normals of a record.

    Parameters
    ----------
    trip : Trip
        To the record's place.
    record : pandas.DataFrame
        As :func:`hindcast` takes it.
    label : str, optional
        Of an hourly record: ``"left"``, ``"right"`` or ``"centre"``.
    utc_offset_h : float, optional
        Of the clock whose midnight parts the days of a daily record.

    Returns
    -------
    Climate
        At the trip's place.

    Raises
    ------
    InputError
        A trip to several places or to none, or a record that is not complete.

    Examples
    --------
    >>> climate = rt.normals_of(trip, record)
    >>> len(climate.ghi_kwh_m2_day)
    12
    """
    if not isinstance(trip, Trip):
        raise bad_input("trip", trip, reason="must be a Trip")
    site = _site(trip)
    days = measured_days.read(record, site.latitude, site.longitude, label, utc_offset_h)
    normals: dict[str, Any] = days.normals()
    return Climate(latitude=site.latitude, longitude=site.longitude, **normals)


@checked_call
def monthly_risk(
    van: Van,
    trip: Trip,
    *,
    trials: int = 300,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
) -> MonthlyRisk:
    """The model's risk of a trip started on each day of a month, by month: what a hindcast's frequency answers to.

    Parameters
    ----------
    van, trip : Van, Trip
        To one place. The weather is the trip's own: give its site the climate in question.
    trials : int
        Of each day of a year, 1 to 1,000,000.
    seed, threads, precision, executor, progress : optional
        As of :func:`simulate`; progress counts days.

    Returns
    -------
    MonthlyRisk
        Used like its table by month (``found["risk"]``, ``found.frame``): ``risk`` with its 95 % interval
        ``risk_low``, ``risk_high`` (sampling error alone), ``trials``, and for the worksheet ``load_wh_day`` and
        ``solar_wh_day``, the latter with what no battery had room for.

    Raises
    ------
    InputError
        Something in the van, the trip or the arguments is missing or out of range.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` has the months that were done.

    Examples
    --------
    >>> found = rt.monthly_risk(van, trip, trials=1)
    >>> found["risk"].loc[6] <= found["risk_high"].loc[6]
    np.True_
    """
    require_pandas("a hindcast needs")
    import pandas

    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    validate_int("trials", options.trials, 1, 1_000_000)
    _one_place(van, trip)
    warned = tuple(compile_with_warnings(van, trip).warnings)
    year = int(_core.day_number(CYCLE_YEAR, 1, 1)) + np.arange(365)
    events, load, solar = np.full((3, 365), np.nan)
    month = year.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64) % 12

    def result() -> MonthlyRisk:  # whole months only: a missing day makes its month NaN
        done = np.isfinite(np.bincount(month, weights=solar))
        counts = np.bincount(month)[done]
        total = np.bincount(month, weights=events)[done].astype(int)
        ends = [_core.wilson(int(e), int(n) * options.trials) for e, n in zip(total, counts, strict=True)]
        columns = {
            "risk": total / (counts * options.trials),
            "risk_low": [e.low for e in ends],
            "risk_high": [e.high for e in ends],
            "trials": counts * options.trials,
            "load_wh_day": np.bincount(month, weights=load)[done] / counts,
            "solar_wh_day": np.bincount(month, weights=solar)[done] / counts,
        }
        months = pandas.Index(1 + np.flatnonzero(done), name="month")
        frame = pandas.DataFrame(columns, index=months)
        return MonthlyRisk(van, trip, options.seed, frame, options.trials, warned)

    with attach_partial_result("monthly_risk", result), track_progress(progress, 365, 0, "day") as report_done:

        def finished(at: Integers, found: tuple[int, float, float]) -> None:
            events[at], load[at], solar[at] = found
            report_done(int(np.isfinite(solar).sum()))

        workers = options.threads if options.executor is None else 1
        how = (options.trials, options.seed, workers, options.precision)
        days = _by_calendar_day(trip, year)
        jobs = ((at, (van, dated, clock, int(at[0]), *how)) for at, dated, clock in days)
        run_each(_one_day, jobs, executor=options.executor, finished=finished)
    return result()


def _one_day(
    van: Van, trip: Trip, clock: _core.Clock, day: int, trials: int, seed: int, threads: int, precision: Precision
) -> tuple[int, float, float]:
    """Trials with a cut-out, load and sun [Wh a day] of trips that start on a day of the year, in whatever process."""
    compiled = clocks.compile_with_clock(van, trip, clock)
    how: dict[str, Any] = {"first_trial": day * trials, "threads": threads, "precision": precision}
    c, nights = run_core(compiled, trials, seed, **how)["columns"], compiled.hours / 24
    load = float((c["fridge_wh"] + c["other_loads_wh"]).mean() / nights)
    return (
        int(np.isfinite(c["first_cutout_h"]).sum()),
        load,
        float((c["solar_wh"] + c["curtailed_wh"]).mean() / nights),
    )


def _by_calendar_day(trip: Trip, starts: Integers) -> Iterator[tuple[Integers, Trip, _core.Clock]]:
    """Places of the start days that share a month and day, the trip on the first of them, and their clock."""
    dates = starts.astype("datetime64[D]")
    months = dates.astype("datetime64[M]")
    key = (months.astype(np.int64) % 12) * 31 + (dates - months.astype("datetime64[D]")).astype(np.int64)
    for k in np.unique(key):
        at = np.flatnonzero(key == k)
        yield at, *_on_day(trip, str(dates[at[0]]))


def _on_day(trip: Trip, day: str) -> tuple[Trip, _core.Clock]:
    """The trip on another day, and the clock of that calendar day in the trip's own year.

    Measured years are played with today's habits. What would start in an hour that the clock skips starts after it.
    """
    year, hour = trip.start[:4], int(trip.start[11:13])
    in_year = f"{year}{day[4:]}" if day[5:] != "02-29" else f"{year}-02-28"
    while True:
        try:
            clock = clocks.clock_of(trip.replace(start=f"{in_year} {hour:02d}:00"))
        except time_zones.SkippedStart:
            if hour == 23:
                raise
            hour += 1
        else:
            return trip.replace(start=f"{day} {hour:02d}:00"), clock


def _measured_starts(trip: Trip, days: measured_days.HourlyWeather, touched: int) -> Integers:
    """Start days with all their hours measured. Each has its own clock; one that changes may need a day more."""
    series_offset_h, found = days.hours.utc_offset_h, []
    anywhere = np.arange(len(days.good) // 24 + 2) + days.hours.first_hour // 24
    known: dict[tuple[float, int], Integers] = {}
    for at, _, clock in _by_calendar_day(trip, anywhere):
        sky = _core.sky_utc_offset_h(clock.utc_offset_h, series_offset_h, int(trip.step_min))
        key = sky, touched + (1 if clock.changes else 0)
        if key not in known:
            known[key] = days.starts(key[1], sky)
        found.append(np.intersect1d(anywhere[at], known[key]))
    return np.sort(np.concatenate(found))


def _one_place(van: Van, trip: Trip) -> Site:
    require_van_and_trip(van, trip)
    if trip.stops:
        raise bad_input("trip.stops", reason="a hindcast is of a trip to one place, as one record has one place")
    return _site(trip)


def _site(trip: Trip) -> Site:
    if trip.site is None:
        raise bad_input("Trip.site", reason="must be given: the record's place")
    return trip.site
