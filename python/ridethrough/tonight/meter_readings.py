"""What readings say in numbers that the core compares with its trials: rounding, errors, what they share."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import ridethrough._core as _core

from ..model.classes import Trip, Van
from ..model.errors import bad_input
from ..model.values import mean_value
from ..model.van_parts import in_common, is_lithium, rated_ah
from .load_powers import loads_w
from .meter_errors import error_value, sum_of_sds
from .reading import Reading
from .reading_notes import notes_of
from .reading_times import TripClock
from .stated_checks import require_device

MOST_SHARE = 2.0  # stands for no limit above a display that ends at 100 %, as its negative does below 0 %
MOST_COUNTED = 1.2  # of the rated capacity: what a counter of the same battery can show at most; own choice


@dataclass(frozen=True)
class Observation:
    """A reading as the core weighs it.

    Attributes
    ----------
    quantity : str
        "soc", "ah_used", "ah_left", "volts", "amps", "yield_wh" or "fridge_c".
    hour : float
        Hours since the start.
    low, high : float
        What the display rounds to what it shows.
    sd, relative_sd : float
        Error that no other reading has: in the quantity's unit, and as a share of the true value.
    bias : str
        Name of the error that readings share; empty for none.
    bias_sd, bias_relative_sd : float
        How large that one is. With ``since_full_h`` the first grows with the root of the days since then.
    at : str
        "terminals", "panel" or "fridge".
    compressor : bool or None
        Whether it runs; None: as in the trial.
    loads_w : float or None
        What is on [W]; None: as in the trial.
    nothing_charges : bool
        Whether charging has ended; False: as in the trial, whose chargers then decide the volts.
    since_full_h : float or None
        Hours since a counter's last true full charge.
    """

    quantity: str
    hour: float
    low: float
    high: float
    sd: float
    relative_sd: float = 0.0
    bias: str = ""
    bias_sd: float = 0.0
    bias_relative_sd: float = 0.0
    at: str = "terminals"
    compressor: bool | None = None
    loads_w: float | None = None
    nothing_charges: bool = False
    since_full_h: float | None = None

    @property
    def total_sd(self) -> float:
        """All of the error that does not go with the true value, in the quantity's unit."""
        days = 1.0 if self.since_full_h is None else max(self.since_full_h, 1.0) / 24
        return sum_of_sds(self.sd, self.bias_sd * math.sqrt(days))


@dataclass(frozen=True)
class Observed:
    """Readings in the order of their times, what the core weighs of them, and what is to be told beside.

    Attributes
    ----------
    readings : tuple of Reading
        In that order.
    observations : tuple of Observation
        Of those that say something of the van's state; a tank, or hours left, give none.
    notes : tuple of str
        Sentences: how each was taken, what a stated check found.
    now_h : float
        Hours since the start.
    """

    readings: tuple[Reading, ...]
    observations: tuple[Observation, ...]
    notes: tuple[str, ...]
    now_h: float


def observe(
    readings: str | Reading | Iterable[Reading | str],
    van: Van,
    trip: Trip,
    now: str | date,
    compiled: _core.Compiled | None = None,
) -> Observed:
    """What readings of a van on a trip say.

    Parameters
    ----------
    readings : Reading, str or iterable of them
        In any order: they are sorted by time.
    van : Van
        Whose meters show them.
    trip : Trip
        On which.
    now : str or datetime
        "2026-09-24 20:00"; readings without a time are of now.
    compiled : Compiled, optional
        The two compiled, where that is there already.

    Returns
    -------
    Observed
        What the core weighs, and sentences.

    Raises
    ------
    InputError
        A reading later than now, outside the trip, of a device that the van has not, or that cannot be.

    Examples
    --------
    >>> seen = observe(["62 %", "310 Wh today"], van, trip, "2026-11-07 20:00")
    >>> [(one.quantity, one.hour, one.low, one.high) for one in seen.observations]
    [('yield_wh', 29.0, 309.5, 310.5), ('soc', 29.0, 0.615, 0.625)]
    """
    clock = TripClock.of(van, trip, now, compiled)
    timed = [_Timed.of(one, clock) for one in ([readings] if isinstance(readings, (str, Reading)) else readings)]
    timed.sort(key=lambda one: (one.hour, str(one.reading)))
    observations, notes = list[Observation](), list[str]()
    fulls = [one.full_h for one in timed if one.full_h is not None]
    for one in timed:
        require_device(one.reading, van)
        made = _observation(one, clock, max((full_h for full_h in fulls if full_h <= one.hour), default=None))
        observations += [] if made is None else [made]
        notes += notes_of(one.reading, one.hour, made, clock)
    return Observed(tuple(one.reading for one in timed), tuple(observations), tuple(dict.fromkeys(notes)), clock.now_h)


@dataclass(frozen=True)
class _Timed:
    reading: Reading
    hour: float
    full_h: float | None

    @staticmethod
    def of(given: Reading | str, clock: TripClock) -> _Timed:
        if not isinstance(given, (Reading, str)):
            raise bad_input("readings", given, allowed='texts such as "62 %", or Reading(...)')
        reading = Reading(given) if isinstance(given, str) else given
        day = reading._meaning.day
        hour = clock.hour_of_reading(None if reading.time is None else str(reading.time), day)
        full_h = None if reading.full is None else clock.hour_of_full(str(reading.full))
        if full_h is not None and full_h > hour:
            raise bad_input("Reading.full", reading.full, reason="later than the reading")
        return _Timed(reading, hour, full_h)


def _observation(one: _Timed, clock: TripClock, full_h: float | None) -> Observation | None:
    quantity = one.reading.quantity
    if quantity == "soc" or quantity in ("ah_used", "ah_left"):
        return _charge(one.reading, one.hour, clock, full_h)
    if quantity == "volts":
        return _volts(one.reading, one.hour, clock)
    if quantity == "amps":
        return _amps(one.reading, one.hour, clock)
    if quantity in ("yield_wh", "yield_ah"):
        return _yield(one.reading, one.hour, clock)
    if quantity == "fridge_c":
        return _fridge(one.reading, one.hour)
    return _charger(one.reading, one.hour)


def since_full_h(clock: TripClock, hour: float, full_h: float | None) -> float:
    """Hours since a true full charge, as said or as it is taken where nothing is said."""
    if full_h is None:
        full_at_start = mean_value(in_common(clock.van).initial_soc) >= error_value("full_at_start_share")
        full_h = 0.0 if full_at_start else -24 * error_value("full_unknown_days")
    return max(hour - full_h, 1.0)


def _until_limit(since_h: float, drift: float) -> float:
    return min(since_h, 24 * (error_value("counter_drift_limit") / drift) ** 2)


def _charge(reading: Reading, hour: float, clock: TripClock, full_h: float | None) -> Observation:
    """A percentage, ampere-hours used or left: of a counter, of the battery's own meter, or guessed from volts."""
    rated = rated_ah(clock.van)
    unit = 1.0 if reading.quantity == "soc" else rated  # a share of full in the quantity's unit
    quantity, low, high = reading.quantity, reading.low, reading.high
    if quantity != "soc" and reading.value > MOST_COUNTED * rated:
        raise bad_input(
            "Reading.text",
            reading.text,
            reason=f"more than the battery has, {rated:g} Ah",
            hint="is capacity_ah right?",
        )
    model = error_value("model_discrepancy_share") * unit
    at = "panel" if reading.at == "panel" else "terminals"
    if reading.meter in (None, "counter"):
        if quantity == "ah_left":  # it shows the capacity that it was told less what was used
            quantity, low, high = "ah_used", rated - high, rated - low
        kind = "percent" if quantity == "soc" else "charge"
        drift = error_value(f"counter_{kind}_drift_per_root_day")
        low, high = _open_ended(quantity, low, high)
        return Observation(
            *(quantity, hour, low, high, sum_of_sds(error_value(f"counter_{kind}_noise") * unit, model)),
            bias="counter" if full_h is None else f"counter full at {full_h:g} h",
            bias_sd=drift * unit,
            at=at,
            since_full_h=_until_limit(since_full_h(clock, hour, full_h), drift),
        )
    if reading.meter == "app":
        high_by = error_value("app_reads_high") * (-unit if quantity == "ah_used" else unit)
        noise, shared = error_value("app_noise"), error_value("app_shared")
    else:
        high_by, noise = 0.0, error_value("controller_noise")
        shared = error_value(f"controller_shared_{'lithium' if is_lithium(clock.van) else 'agm'}")
    low, high = _open_ended(quantity, low, high)
    sd = sum_of_sds(noise * unit, model)
    return Observation(
        quantity, hour, low - high_by, high - high_by, sd, bias=str(reading.meter), bias_sd=shared * unit, at=at
    )


def _open_ended(quantity: str, low: float, high: float) -> tuple[float, float]:
    """A percentage stops at 0 and 100, so its ends stand for all that is beyond."""
    if quantity != "soc":
        return low, high
    return (-MOST_SHARE if low <= 0 else low), (MOST_SHARE if high >= 1 else high)


def _volts(reading: Reading, hour: float, clock: TripClock) -> Observation:
    """Volts: all but a flicker is shared by the readings of a day at one place, so that a second look adds little."""
    lithium = is_lithium(clock.van)
    at = "terminals" if reading.at == "shunt" else reading.at
    shared = [
        error_value(f"volts_of_charge_{'lithium' if lithium else 'agm'}"),
        error_value("model_discrepancy_share") * error_value("model_discrepancy_v_per_share"),
    ]
    if not lithium:
        shared.append(surface_charge_v(clock, hour, reading))
    place = "" if at == "terminals" else f"_{at}"
    own = [error_value("volts_noise")]
    if reading.compressor is None:
        own.append(error_value(f"volts_compressor_unknown{place}"))
    return Observation(
        *("volts", hour, reading.low, reading.high, sum_of_sds(*own)),
        bias=f"volts at {at}, day {clock.day_of(hour)}",
        bias_sd=sum_of_sds(error_value(f"volts_shared{place}"), *shared),
        at=at,
        compressor=reading.compressor,
        loads_w=_named_loads_w(reading, clock),
        nothing_charges=_charging_has_ended(reading, hour, clock),
    )


def _named_loads_w(reading: Reading, clock: TripClock) -> float | None:
    return None if reading.on is None else loads_w(clock.van, reading.on)


def _charging_has_ended(reading: Reading, hour: float, clock: TripClock) -> bool:
    """Whether that is said; where nothing is, it is as in the trial."""
    return reading.charged is not None and clock.charged_before_h(hour, str(reading.charged)) > 0


def surface_charge_v(clock: TripClock, hour: float, reading: Reading) -> float:
    """What surface charge adds to the error of lead-acid's volts, falling since the battery was last charged [V]."""
    since_h = clock.charged_before_h(hour, None if reading.charged is None else str(reading.charged))
    left = max(0.0, 1 - since_h / error_value("volts_surface_charge_gone_h"))
    return error_value("volts_surface_charge") * left


def _amps(reading: Reading, hour: float, clock: TripClock) -> Observation:
    """Amperes are of the moment: what is not said of it, and clouds within the hour, make them a hint and no more."""
    on = _named_loads_w(reading, clock)
    own, relative = [error_value("amps_noise")], [error_value("amps_relative")]
    if reading.compressor is None:
        own.append(error_value("amps_compressor_unknown"))
    if on is None:
        own.append(error_value("amps_loads_unknown"))
    else:
        relative.append(error_value("amps_of_loads"))
    if clock.charged_before_h(hour, None) == 0:
        relative.append(error_value("amps_of_sun"))
    return Observation(
        *("amps", hour, reading.low, reading.high, sum_of_sds(*own), sum_of_sds(*relative)),
        compressor=reading.compressor,
        loads_w=on,
    )


def _yield(reading: Reading, hour: float, clock: TripClock) -> Observation | None:
    """The day's yield; none of the first day, of which the controller counted what came before the start."""
    if clock.first_day_is_cut(hour):
        return None
    volts, relative = 1.0, [error_value("yield_relative")]
    if reading.quantity == "yield_ah":
        volts = error_value(f"yield_charging_v_{'lithium' if is_lithium(clock.van) else 'agm'}")
        relative.append(error_value("yield_charging_v_relative"))
    return Observation(
        *(
            "yield_wh",
            hour,
            reading.low * volts,
            reading.high * volts,
            error_value("yield_floor"),
            sum_of_sds(*relative),
        ),
        bias="yield",
        bias_relative_sd=error_value("yield_shared"),
    )


def _fridge(reading: Reading, hour: float) -> Observation:
    shared = error_value("fridge_shared")
    return Observation(
        *("fridge_c", hour, reading.low, reading.high, error_value("fridge_noise")),
        bias="fridge thermometer",
        bias_sd=shared,
    )


def _charger(reading: Reading, hour: float) -> Observation | None:
    """A charger's stage tells a least charge; its other words and a tank's tell none."""
    stage = reading.text.rpartition(" ")[2] if reading.text.startswith("charger in ") else ""
    if stage not in ("float", "absorption"):
        return None
    return Observation(
        "soc", hour, error_value(f"{stage}_least_share"), MOST_SHARE, error_value(f"{stage}_noise"), bias=""
    )
