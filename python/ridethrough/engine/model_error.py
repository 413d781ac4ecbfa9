"""The model's own error as far as it is known, for one van on one trip.

Everything is one standard deviation of the log odds of a cut-out: odds, as an error that makes 40 % of 30 % cannot make
130 % of 98 %. The figures stand in `data/known_errors.toml`, which `tests/long/known_errors.py` writes with the vans of
the hindcast, five comfortable to marginal with each chemistry. Trips over 7 nights have the figures of 7, and the text
says so. What is left out nobody has measured.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model.attribute_names import ToldNames
from ..model.classes import Fan, Party, Site, Trip, Van
from ..model.climate_source import DEFAULT_CLIMATE, source_of
from ..model.places import places_of
from ..model.values import mean_value
from ..model.van_parts import climate_of, heaters_of, in_common

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .risk import Risk


SEASONS = ("winter", "spring", "summer", "autumn")
NIGHTS = (1, 3, 5, 7)  # rows of the tables; columns are the seasons, from December in the north and June in the south

TABLE = Path(__file__).parents[1] / "data" / "known_errors.toml"
_STORED: dict[str, Any] = tomllib.loads(TABLE.read_text(encoding="utf-8"))

# Hindcasts of two daily records of 38 and 31 years, months that failed in 3 to 97 %: root mean square of what the
# model's log odds miss beyond the noise, by how the days of a month are drawn. Rows: nights. Under LEAST the
# records cannot tell: a month's own noise is about .13.
LEAST = 0.07
DRAWN = {days: np.array(rows) for days, rows in _STORED["drawn"].items()}
# Learned days miss spring one way: the odds are too low, by this share of the figure above on average. Seen over five
# nights, in so many of all van-months; taken for the other lengths too.
SPRING, TOO_LOW = 1, float(_STORED["spring_too_low"])
TOO_LOW_IN, SPRING_MONTHS = _STORED["spring_van_months"]
# How far one year lies from the mean of many there: a record of n years has this over the root of n.
ONE_YEAR = np.array(_STORED["one_year"])
# Both records are of plains far from any sea. By `tests/long/generator_seasons.py` the spread of days is missed there
# and in Greensboro by 7 % (root mean square of the seasons), in Sand Point and Miami, where the coldest and the warmest
# month lie less than 15 K apart, by 22 %: three times as much.
LITTLE_RANGE_K, LITTLE_RANGE = 15, 3
# Most over least chance that n days bring less than half of their normal sun, between published ways to draw them:
# Bendt et al. 1981 beside Hollands & Huget 1983 (one night) and Aguiar et al. 1988, mean clearness .374 (the checking
# notebook, section 8). Taken for outcomes too rare for a hindcast.
GENERATORS = (1.2, 2.0, 2.6, 3.3)
RARE = 0.03

# Capacity: an AGM's 3 % off the C/10 share of PyBaMM's cell (the checking notebook, section 5), for lithium 1 % (from
# memory: it was the charge by which a full one was too full, before it came down to its float voltage); volts: half of
# what .1 V either way does, by which charts of rested volts differ. By season; the length of a trip makes no
# difference.
BATTERY: dict[str, list[float]] = _STORED["battery"]
# People and the share of the day that they spend in the van, by the defaults of party and trip.
PERSONS = int(Party().persons)
OUT_SHARE, _OUT_FROM_H, _OUT_TO_H = (
    mean_value(Trip._declaration.field(name).default_value) for name in ("out_share", "out_from_h", "out_to_h")
)
OUT_HOURS = _OUT_TO_H - _OUT_FROM_H
INSIDE = 1 - OUT_SHARE * OUT_HOURS / 24
# A tenth less of the fridge's coefficient of performance.
FRIDGE = np.array(_STORED["fridge_tenth"])
# Energy the fridge takes here over CoolProp's cycle with one efficiency, by the air around it [degC], %
# (`tests/python/physics/test_fridge_cop.py`).
FRIDGE_AIR_C, FRIDGE_MISS = _STORED["fridge_air_c"], _STORED["fridge_energy_percent"]

# What an error of the normals does to the log odds, by season: per ln of the sun, and per K; root mean squares over
# two vans at the places of 53 weather files (`tests/long/climate_tables.py --chances`).
PER_LN_SUN = (4.8, 4.5, 5.0, 4.5)
PER_K = (0.26, 0.27, 0.42, 0.31)


@dataclass(frozen=True)
class KnownError(ToldNames):
    """What the log odds may be off by, as far as it is known.

    Attributes
    ----------
    parts : tuple
        By cause, the largest first: standard deviations, or root mean squares with a mean.
    too_low : float
        That mean: by so much the log odds given are too low.
    nights : int
        Length of the trip.

    Examples
    --------
    >>> error = rt.simulate(van, trip, trials=50).model_error
    >>> low, high = error.around(0.2)
    >>> low < 0.2 < high, error.odds_factor >= error.odds_factor_down > 1
    (True, True)
    """

    parts: tuple[tuple[str, float], ...]
    too_low: float = 0.0
    nights: int = 1

    @property
    def sd(self) -> float:
        """Standard deviation of the log odds, all parts together."""
        return math.hypot(*(size for _, size in self.parts))

    @property
    def odds_factor(self) -> float:
        """Of the odds, two standard deviations; upwards, where something goes one way."""
        return math.exp(2 * self.sd)

    @property
    def odds_factor_down(self) -> float:
        """The same without what goes upwards only."""
        return math.exp(2 * math.sqrt(self.sd**2 - self.too_low**2))

    def around(self, risk: float) -> tuple[float, float]:
        """The range of a risk by these errors alone, two standard deviations of the odds each way.

        Parameters
        ----------
        risk : float
            Between 0 and 1.

        Returns
        -------
        (float, float)
            Low and high.
        """
        odds = [risk * f for f in (1 / self.odds_factor_down, self.odds_factor)]
        low, high = (o / (1 - risk + o) for o in odds)
        return low, high

    def together(self, chance: _core.Estimate) -> tuple[float, float]:
        """The range of a chance by these errors and by sampling error together, two standard deviations each way.

        Where nothing or everything happened, sampling gives a bound and no spread: then the factor is put on the
        bound.

        Parameters
        ----------
        chance : Estimate
            With its 95 % interval.

        Returns
        -------
        (float, float)
            Low and high.
        """
        p, low, high = chance.value, chance.low, chance.high
        if not 0 < p < 1:
            return (0.0, self.around(high)[1]) if p == 0 else (self.around(low)[0], 1.0)
        up = math.hypot(math.log(self.odds_factor), _log_odds(high) - _log_odds(p)) if high < 1 else math.inf
        down = math.hypot(math.log(self.odds_factor_down), _log_odds(p) - _log_odds(low)) if low > 0 else math.inf
        return _chance(_log_odds(p) - down), _chance(_log_odds(p) + up)

    def without(self, cause: str) -> KnownError:
        """These errors without one cause: what would be left if that were known exactly.

        Parameters
        ----------
        cause : str
            As in ``parts``.

        Returns
        -------
        KnownError
            The others.
        """
        kept = tuple(part for part in self.parts if part[0] != cause)
        return KnownError(kept, self.too_low if len(kept) == len(self.parts) else 0.0, self.nights)

    @property
    def longer(self) -> bool:
        """Whether the trip is longer than those that the figures are of."""
        return self.nights > NIGHTS[-1]

    def to_dict(self, risk: float) -> dict[str, Any]:
        """Plain numbers, ready for JSON, with the risk's range.

        Parameters
        ----------
        risk : float
            Between 0 and 1.

        Returns
        -------
        dict
            Factors of the odds, all together and by cause, and the range.
        """
        low, high = self.around(risk) if 0 < risk < 1 else (None, None)
        return {
            "odds_factor": self.odds_factor,
            "odds_factor_down": self.odds_factor_down,
            "low": low,
            "high": high,
            "covers": "known errors alone, two standard deviations"
            + (f"; the figures are those of {NIGHTS[-1]} nights" if self.longer else ""),
            "odds_factors": {what: math.exp(2 * size) for what, size in self.parts},
        }


def _log_odds(p: float) -> float:
    return math.log(p / (1 - p))


def _chance(log_odds: float) -> float:
    return 1 / (1 + math.exp(-log_odds)) if log_odds > -700 else 0.0


def known_error(
    van: Van,
    sites: Sequence[Site],
    *,
    start: str,
    nights: int,
    risk: float,
    waking: tuple[float, float],
    replay: bool = False,
) -> KnownError:
    """Of a trip through places of which the worst counts, in the month of its middle.

    ``waking`` are the clock hours of getting up and of going to bed.
    """
    month = int(str(np.datetime64(start[:10]) + nights // 2)[5:7])
    kind = type(in_common(van)).__name__
    kind = kind if kind in BATTERY else "AgmBattery"  # a chemistry of which nothing is known: the larger of the two
    name = "AGM" if kind == "AgmBattery" else "lithium"
    season = _season(sites[0], month)
    air = max((_around_fridge_c(van, waking, site, month) for site in sites), key=lambda c: abs(_fridge_miss(c)))
    what, sd, too_low = max((_weather(site, month, nights, risk, replay) for site in sites), key=lambda part: part[1])
    parts = [
        (what, sd),
        (f"{name} volts and capacity", BATTERY[kind][season]),
        (f"fridge in {air:.0f} degC", abs(_fridge_miss(air)) / 10 * _at(FRIDGE, nights, season)),
        *([] if replay else _normals(sites, month)),
    ]
    return KnownError(tuple(sorted(parts, key=lambda part: -part[1])), too_low, nights)


def model_error_of_risk(risk: Risk) -> KnownError:
    """What is known of the model's own error in this van on this trip."""
    return model_error_of(risk.van, risk.trip, risk.compiled, risk.cutout.value)


def model_error_of(
    van: Van, trip: Trip, compiled: _core.Compiled, risk: float, nights: int | None = None
) -> KnownError:
    """What is known of the model's own error at a risk of this van on this trip, or on its first nights."""
    return known_error(
        van,
        [place.site for place in places_of(trip)],
        start=trip.start,
        nights=compiled.hours // 24 if nights is None else nights,
        risk=risk,
        waking=(trip.wake_h, trip.bedtime_h),
        replay=bool(compiled.replay_starts),
    )


def _weather(site: Site, month: int, nights: int, risk: float, replay: bool) -> tuple[str, float, float]:
    """Cause, size, and how much of it goes one way."""
    climate, season = climate_of(site), _season(site, month)
    years = climate.weather_series.hours / 8766 if isinstance(climate.weather_series, _core.HourlySeries) else 0
    sampled = _at(ONE_YEAR, nights, season) / math.sqrt(years) if years else 0.0
    if replay:
        return "years that were not measured", sampled, 0.0
    # Errors never fall with the length of the trip: that would be the noise of some 40 van-months.
    drawn = np.maximum.accumulate(DRAWN[climate.clearness_days], axis=0)
    sd = max(LEAST, _at(drawn, nights, season))
    stretch = f"{nights} night{'s' if nights > 1 else ''}"
    if climate.clearness_days == "record":
        return f"{SEASONS[season]} days drawn from the record over {stretch}", math.hypot(sd, sampled), 0.0
    too_low = TOO_LOW * sd if climate.clearness_days == "learned" and season == SPRING else 0.0
    if np.ptp(climate.air_temp_c) < LITTLE_RANGE_K:
        sd, too_low = LITTLE_RANGE * sd, 0.0  # their days are spread too much, if anything
    rarer = max(min(risk, 1 - risk), 1e-9)
    beyond = min(max(math.log10(RARE / rarer), 0.0), 1.0)  # none at 3 %, whole at .3 %
    forms = math.log(float(np.interp(nights, NIGHTS, GENERATORS))) / 2
    what = f"{SEASONS[season]} days drawn from twelve normals over {stretch}" + (": odds too low" if too_low else "")
    return what, math.hypot(sd, beyond * forms), too_low


def _normals(sites: Sequence[Site], month: int) -> list[tuple[str, float]]:
    """What the normals may be off by, where they say so: the trials draw it, the truth has one value."""
    found = []
    for site in sites:
        source, season = source_of(climate_of(site)), _season(site, month)
        what = f"{DEFAULT_CLIMATE} in place of own normals" if source.kind == "default" else "error of the normals"
        sun, air = source.sun_sd or 0.0, source.air_temp_sd_k or 0.0
        found.append((what, math.hypot(sun * PER_LN_SUN[season], air * PER_K[season])))
    worst = max(found, key=lambda part: part[1])
    return [worst] if worst[1] > 0 else []


def _at(table: NDArray[np.float64], nights: int, season: int) -> float:
    return float(np.interp(nights, NIGHTS, table[:, season]))


def _season(site: Site, month: int) -> int:
    turned = 6 if site.latitude < 0 else 0
    return int((month + turned) % 12 // 3)


def _around_fridge_c(van: Van, waking: tuple[float, float], site: Site, month: int) -> float:
    """Outdoor normal and the van's own warmth, from people, the mean sun and a heater."""
    climate = climate_of(site)
    outdoor_c = float(climate.air_temp_c[month - 1])
    sun = climate.ghi_kwh_m2_day[month - 1] * 1000 / 24
    people_w = PERSONS * INSIDE * mean_value(van.cabin_person_heat_w)
    shut_k = mean_value(van.cabin_sun_rise_k_per_w_m2) * sun + people_w / mean_value(van.cabin_heat_loss_w_per_k)
    air_c = outdoor_c + shut_k
    for _ in range(20):  # halfway to where it settles with what is open
        air_c = (air_c + outdoor_c + shut_k / (1 + _ventilation(van, waking, air_c))) / 2
    return air_c + _heater_rise_k(van, waking, air_c)


def _ventilation(van: Van, waking: tuple[float, float], air_c: float) -> float:
    """Windows and fans, mean of the day, in parts of the shut van's heat loss."""

    def open_share(none_c: float, all_c: float) -> float:
        return min(max((air_c - none_c) / (all_c - none_c), 0), 1)

    windows = mean_value(van.window_ventilation) * open_share(van.windows_open_above_c, van.windows_wide_above_c)
    fans = sum(
        f.fitted_probability * mean_value(f.ventilation) * open_share(f.starts_above_c, f.full_above_c)
        for f in van.loads
        if isinstance(f, Fan)
    )
    waking_share = (waking[1] - waking[0]) / 24
    out = OUT_SHARE * OUT_HOURS / 24 * (1 - van.windows_open_when_out)
    return float(windows * (waking_share - out + (1 - waking_share) * van.windows_open_at_night) + fans)


def _heater_rise_k(van: Van, waking: tuple[float, float], air_c: float) -> float:
    """Mean over the day of what a heater adds."""
    up_h, bed_h = waking
    for load in heaters_of(van):
        if air_c >= mean_value(load.switch_on_below_c):
            return 0.0
        most_k = load.power_w / mean_value(van.cabin_heat_loss_w_per_k)
        day_k, night_k = (
            min(max(mean_value(c) - air_c, 0), most_k) for c in (load.set_point_c, load.night_set_point_c)
        )
        waking_h = max(load.morning_until_h - up_h, 0) + max(bed_h - load.evening_from_h, 0)
        waking_h = min(waking_h, bed_h - up_h)
        night_h = 24 - bed_h + up_h if load.all_night else 0
        return float(waking_h * day_k + night_h * night_k) / 24
    return 0.0


def _fridge_miss(air_c: float) -> float:
    return float(np.interp(air_c, FRIDGE_AIR_C, FRIDGE_MISS))
