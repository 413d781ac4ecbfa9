"""What the rest of a trip looks like, given what its meters have shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..engine.interruption import Interrupted
from ..engine.named_numbers import Named
from ..engine.progress import ProgressOption, track_progress
from ..engine.validation import compile_with_warnings, require_van_and_trip, validate_threads
from ..model.checks import validate_int, validate_seed
from ..model.classes import Trip, Van
from ..model.clocks import dated
from ..model.errors import bad_input, checked_call
from .forecast_result import SHARES, Evening, Forecast
from .meter_readings import Observed, observe
from .posterior import LEAST, MOST_TRIALS, ROUND, Posterior, condition, weigh, with_effective
from .reading import Reading
from .reading_times import TripClock

SUN_IS_UP = 0.26  # sine of 15 degrees: a panel then carries the usual loads of a day; own choice
_NOON_H = 12


@checked_call
def forecast(
    van: Van,
    trip: Trip,
    *,
    now: str | datetime,
    readings: str | Reading | Sequence[str | Reading] = (),
    seed: int = 0,
    trials: int = MOST_TRIALS,
    threads: int = 0,
    kept_on: bool = True,
    progress: ProgressOption = None,
) -> Forecast:
    """Chance of a cut-out from now on, given what the meters have shown since the trip began.

    The trips of the whole run that agree with the readings are weighted by how well they do. A van that is lower than
    most by the third evening is a thirsty one, or stands in more shade than was thought: such trips keep their habits,
    their shade and their weather, which a new trip that starts with the charge read would forget.

    Parameters
    ----------
    van, trip : Van, Trip
        As they were when the trip began; the trip is the whole one, with its start.
    now : str or datetime
        Clock time of the trip, "2026-09-24 20:00", an hour or more after its start.
    readings : str, Reading or sequence of them
        What meters show now, or have shown since the start: "62 %", "12.1 V", "38 Ah used", "310 Wh today", or a
        :class:`Reading` that says where and when. In any order.
    seed : int
        0 to 2**64 - 1: the same trips as those of :func:`simulate`.
    trials : int
        Most trips that are drawn, 2,500 to 1,048,576; fewer are where these agree with the readings often enough.
        Where they do not, 8,192 are moved until they do.
    threads : int
        0 for one per processor.
    kept_on : bool
        No low-voltage cut-out has dropped the fridge until now, which is information too. False: one may have.
    progress : bool or callable, optional
        As for :func:`simulate`.

    Returns
    -------
    Forecast
        ``.end``, ``.tomorrow`` and ``.by(date)``: chances of a cut-out from now on; ``.soc``: the charge now.

    Raises
    ------
    InputError
        Something in the van, the trip, the time or a reading is missing or cannot be; no trip of this model looks
        like the readings, or too few for an answer.
    Interrupted
        Ctrl-C.

    Examples
    --------
    >>> tonight = rt.forecast(van, trip, now="2026-11-07 20:00", readings=["72 %"], trials=16_384)
    >>> tonight.end.low <= tonight.end.value <= tonight.end.high
    True
    """
    require_van_and_trip(van, trip)
    seed, threads = validate_seed(seed), validate_threads(threads)
    trials = validate_int("trials", trials, LEAST, MOST_TRIALS)
    if not isinstance(kept_on, bool):
        raise bad_input("kept_on", kept_on, allowed="True or False")
    compiled = compile_with_warnings(van, trip)
    clock = TripClock.of(van, trip, now, compiled)
    if clock.now_h < 1:
        raise bad_input(
            "now", clock.now, reason="within the first hour of the trip", hint="simulate tells of all of it"
        )
    observed = observe(readings, van, trip, clock.now, compiled)
    try:
        with track_progress(progress, trials, 0, "trip") as report_done:
            posterior = condition(
                compiled,
                observed.observations,
                clock.now_h,
                seed,
                trials=trials,
                threads=threads,
                kept_on=kept_on,
                report_done=report_done,
            )
            return _forecast(van, trip, clock, observed, posterior, seed, threads, kept_on)
    except KeyboardInterrupt as raised:
        raise Interrupted("forecast", None) from raised


def _forecast(
    van: Van,
    trip: Trip,
    clock: TripClock,
    observed: Observed,
    posterior: Posterior,
    seed: int,
    threads: int,
    kept_on: bool,
) -> Forecast:
    """Play the copies to the end and read off what they say."""
    compiled = clock.compiled
    played = posterior.play(compiled, seed, ["soc"] if kept_on else ["soc", "fridge_off"], threads)
    now, sun_h = int(clock.now_h), tomorrow_h(clock)
    soc = np.asarray(played["time_series"]["soc"])
    posterior = with_effective(posterior, soc[:, now - 1])
    dropped_h = drop_after(played, now, kept_on)
    if kept_on:  # single copies whose drop lies within rounding of now
        posterior = _without_dropped(posterior, dropped_h > now)
        soc, dropped_h = soc[dropped_h > now], dropped_h[dropped_h > now]
    lowest = soc[:, now:].min(axis=1) if soc.shape[1] > now else soc[:, -1]
    lowest_at = now + soc[:, now:].argmin(axis=1) if soc.shape[1] > now else np.full(len(soc), now)
    return Forecast(
        van=van,
        trip=trip,
        now=clock.now,
        readings=observed.readings,
        notes=observed.notes,
        kept_on=kept_on,
        end=posterior.share(dropped_h < np.inf),
        tomorrow=posterior.share(dropped_h <= sun_h),
        tomorrow_at=_clock_text(clock, sun_h),
        by_day={day: posterior.share(dropped_h <= hour) for day, hour in _days_to_come(clock)},
        soc=Named("soc", dict(zip(SHARES, posterior.quantiles(soc[:, now - 1], SHARES).tolist(), strict=True))),
        lowest_soc=Named("lowest_soc", dict(zip(SHARES, posterior.quantiles(lowest, SHARES).tolist(), strict=True))),
        lowest_at=_clock_text(clock, float(posterior.quantiles(lowest_at + 1.0, [0.5])[0])),
        evenings=_evenings(clock, observed, min(ROUND, posterior.drawn), seed, threads, kept_on),
        effective_trials=int(posterior.effective),
        trials=posterior.drawn,
        method=posterior.method,
        log_evidence=posterior.log_evidence,
        seed=seed,
    )


def _without_dropped(posterior: Posterior, stays: NDArray[np.bool_]) -> Posterior:
    if stays.all():
        return posterior
    weights = posterior.weights[stays]
    replicate = None if posterior.replicate is None else posterior.replicate[stays]
    return replace(posterior, weights=weights / weights.sum(), replicate=replicate, rows={})


def drop_after(played: dict[str, Any], now: int, kept_on: bool) -> NDArray[np.float64]:
    """Hours from the start to the first drop after now; infinite where there is none."""
    if kept_on:
        return np.asarray(played["columns"]["first_cutout_h"], dtype=np.float64)
    off = np.asarray(played["time_series"]["fridge_off"])[:, now:] > 0
    return np.where(off.any(axis=1), now + off.argmax(axis=1) + 0.5, np.inf)


def tomorrow_h(clock: TripClock) -> float:
    """Hours from the start to when the Sun next comes to stand high enough to charge; the next day's noon else."""
    hours = clock.now_h + np.arange(0, 24, 0.25)
    up = clock.sun_stands(hours, SUN_IS_UP)
    rises = np.flatnonzero(up[1:] & ~up[:-1])
    noon = clock.hour_of(f"{_date_after(clock, 1)} {_NOON_H}:00")
    return min(float(hours[1 + rises[0]]) if len(rises) else noon, float(clock.compiled.hours))


def _date_after(clock: TripClock, days: int) -> str:
    return (date.fromisoformat(clock.now[:10]) + timedelta(days=days)).isoformat()


def _days_to_come(clock: TripClock) -> Iterable[tuple[str, float]]:
    """Each date after today with the hour at which it is over, or the trip is."""
    last = date.fromisoformat(clock.end[:10])
    day = date.fromisoformat(clock.now[:10]) + timedelta(days=1)
    while day <= last:
        over = clock.hour_of(f"{(day + timedelta(days=1)).isoformat()} 00:00")
        yield day.isoformat(), min(over, float(clock.compiled.hours))
        day += timedelta(days=1)


def _clock_text(clock: TripClock, hour: float) -> str:
    return dated(clock.compiled, clock.clock_h(hour))


def _evenings(
    clock: TripClock, observed: Observed, trials: int, seed: int, threads: int, kept_on: bool
) -> tuple[Evening, ...]:
    """What was to be said at the start and at each earlier time with readings, on the same trips."""
    compiled = clock.compiled
    times = sorted({one.hour for one in observed.observations if 1 <= one.hour < int(clock.now_h)})
    part = _core.simulate(compiled, trials, seed, threads=threads)
    if part["raised"] is not None:
        raise part["raised"]
    dropped = np.isfinite(np.asarray(part["columns"]["first_cutout_h"]))
    found = [Evening("the start", _core.wilson(int(dropped.sum()), trials))]
    for hour in times if kept_on else ():
        known = [one for one in observed.observations if one.hour <= hour]
        weights = _core.weights(weigh(compiled, known, hour, 0, trials, seed, threads=threads))
        if weights["effective"] >= LEAST / 10:
            share = _core.weighted_share(weights["share"], dropped.astype(np.uint8))
            found.append(Evening(_clock_text(clock, hour), share))
    return tuple(found)
