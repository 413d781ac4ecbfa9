"""The model's own error as far as it is known, for one van on one trip.

Everything is one standard deviation of the log odds of a cut-out: odds, as an error that makes 40 % of 30 % cannot make
130 % of 98 %. How the days are drawn stands in `data/known_errors.toml`, which `tests/long/known_errors.py` writes with
the vans of the hindcast; trips over 7 nights have the figures of 7, and the text says so. All other causes are worked
out for the van itself by a run in which they are drawn (`error_run`), where that was played and enough trials failed;
else they are those of many vans, in `data/general_errors.toml`, which `tests/long/error_coverage.py` writes.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model.attribute_names import ToldNames
from ..model.classes import Site, Trip, Van
from ..model.climate_source import DEFAULT_CLIMATE, source_of
from ..model.places import places_of
from ..model.van_parts import climate_of, in_common
from .error_causes import CAUSES, GROUPS
from .error_run import CauseEffect, Effects
from .seasons import Season, season_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .risk import Risk


NIGHTS = (1, 3, 5, 7)  # rows of the tables; columns are the seasons, from winter

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
# month lie 10 to 13 K apart, by 22 %: three times as much.
LITTLE_RANGE_K, LITTLE_RANGE = (12, 18), 3  # whole up to the first, nothing from the second on
# Most over least chance that n days bring less than half of their normal sun, between published ways to draw them:
# Bendt et al. 1981 beside Hollands & Huget 1983 (one night) and Aguiar et al. 1988, mean clearness .374 (the checking
# notebook, section 8). Taken for outcomes too rare for a hindcast.
GENERATORS = (1.2, 2.0, 2.6, 3.3)
RARE = 0.03

# Groups of causes by chemistry and season: what they do to the vans of `tests/long/error_coverage.py`.
GENERAL: dict[str, dict[str, list[float]]] = tomllib.loads(
    TABLE.with_name("general_errors.toml").read_text(encoding="utf-8")
)
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
        By group of causes, the largest first: standard deviations, or root mean squares with a mean. They are
        independent of each other.
    too_low : float
        That mean: by so much the log odds given are too low.
    nights : int
        Length of the trip.
    effects : tuple of CauseEffect
        What each cause does to this van; empty where that was not played or failures are too rare, and the parts are
        those of vans in general.
    bend : float
        The log odds rise by this times the square of what the causes do together, which widens the range on that side.
    failures, trials : int
        Those of the model-error run.

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
    effects: tuple[CauseEffect, ...] = ()
    bend: float = 0.0
    failures: int = 0
    trials: int = 0

    @property
    def sd(self) -> float:
        """Standard deviation of the log odds, all parts together."""
        return math.hypot(*(size for _, size in self.parts))

    @property
    def odds_factor(self) -> float:
        """Of the odds, two standard deviations upwards."""
        return math.exp(2 * self.sd + max(self._bent, 0.0))

    @property
    def odds_factor_down(self) -> float:
        """The same downwards, without what goes upwards only."""
        return math.exp(2 * math.sqrt(self.sd**2 - self.too_low**2) - min(self._bent, 0.0))

    @property
    def undrawn_sd(self) -> float:
        """The same of what no run can draw: the weather's part."""
        return math.hypot(*(size for what, size in self.parts if what not in _DRAWN))

    @property
    def _bent(self) -> float:
        """What the bend adds at two standard deviations of the causes that were drawn: at most half of their own.

        It widens one side and narrows none, as it is not known so well.
        """
        drawn = math.hypot(*(size for what, size in self.parts if what in _DRAWN))
        return min(max(4 * self.bend * drawn**2, -drawn), drawn)

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
        too_low = 0.0 if any(part[0] == cause and part[0] not in _DRAWN for part in self.parts) else self.too_low
        return replace(self, parts=kept, too_low=too_low)

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
            "sized_for_this_van": bool(self.effects),
            "effects": [
                {**vars(effect), "group": GROUPS[CAUSES[effect.cause].group].words, **_about(effect.cause)}
                for effect in self.effects
            ],
            "failures": self.failures,
            "trials": self.trials,
        }


_OF_NORMALS = (f"{DEFAULT_CLIMATE} in place of own normals", "error of the normals")
_DRAWN = frozenset(group.words for group in GROUPS.values()) | set(_OF_NORMALS)


def _about(cause: str) -> dict[str, Any]:
    known = CAUSES[cause]
    return {"words": known.words, "change": known.change, "sd": known.sd, "unit": known.unit, "source": known.source}


def _log_odds(p: float) -> float:
    return math.log(p / (1 - p))


def _chance(log_odds: float) -> float:
    return 1 / (1 + math.exp(-log_odds)) if log_odds > -700 else 0.0


def known_error(
    van: Van, sites: Sequence[Site], *, start: str, nights: int, risk: float, replay: bool = False
) -> KnownError:
    """Of vans in general, through places of which the worst counts, in the month of the trip's middle."""
    month = int(str(np.datetime64(start[:10]) + nights // 2)[5:7])
    kind = type(in_common(van)).__name__
    kind = kind if kind in GENERAL else "AgmBattery"  # a chemistry of which nothing is known: the larger of the two
    season = _season(sites[0], month)
    weather, too_low = _weather_of_worst(sites, month, nights, risk, replay)
    parts = [
        weather,
        *((GROUPS[group].words, season.of(sizes)) for group, sizes in GENERAL[kind].items()),
        *([] if replay else _normals(sites, month)),
    ]
    return KnownError(tuple(sorted(parts, key=lambda part: -part[1])), too_low, nights)


def _weather_of_worst(
    sites: Sequence[Site], month: int, nights: int, risk: float, replay: bool
) -> tuple[tuple[str, float], float]:
    what, sd, too_low = max((_weather(site, month, nights, risk, replay) for site in sites), key=lambda part: part[1])
    return (what, sd), too_low


def sized_error(general: KnownError, effects: Effects, cabin_c: float) -> KnownError:
    """The error with the causes' effects on one van in place of those on vans in general."""
    sizes = dict(effects.by_group)
    cop = next((one for one in effects.causes if one.cause == "fridge_cop"), None)
    if cop is not None:  # off by so many % of its energy in this air, where the cause is off by its own sd
        in_this_air = cop.log_odds * abs(_fridge_miss(cabin_c)) / 100 / CAUSES["fridge_cop"].sd
        sizes["fridge"] = math.hypot(sizes["fridge"], in_this_air)
    normals = next((what for what, _ in general.parts if what in _OF_NORMALS), "")
    parts = [part for part in general.parts if part[0] not in _DRAWN]
    parts += [(normals if group == "normals" else GROUPS[group].words, size) for group, size in sizes.items()]
    parts.sort(key=lambda part: -part[1])
    found = replace(general, parts=tuple(parts), effects=effects.causes, bend=effects.bend)
    return replace(found, failures=effects.failures, trials=effects.trials)


def model_error_of_risk(risk: Risk) -> KnownError:
    """What is known of the model's own error of vans in general, at the risk of this van on this trip."""
    return model_error_of(risk.van, risk.trip, risk.compiled, risk.cutout.value)


def model_error_of(
    van: Van, trip: Trip, compiled: _core.Compiled, risk: float, nights: int | None = None
) -> KnownError:
    """The same at a risk that is not a run's own, or on the first nights."""
    return known_error(
        van,
        [place.site for place in places_of(trip)],
        start=trip.start,
        nights=compiled.hours // 24 if nights is None else nights,
        risk=risk,
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
        return f"{season.adjective}days drawn from the record over {stretch}", math.hypot(sd, sampled), 0.0
    too_low = TOO_LOW * sd * season.share if climate.clearness_days == "learned" and season.number == SPRING else 0.0
    range_k = float(np.ptp(climate.air_temp_c))
    sd *= float(np.interp(range_k, LITTLE_RANGE_K, (LITTLE_RANGE, 1)))
    too_low *= float(np.interp(range_k, LITTLE_RANGE_K, (0, 1)))  # their days are spread too much, if anything
    rarer = max(min(risk, 1 - risk), 1e-9)
    beyond = min(max(math.log10(RARE / rarer), 0.0), 1.0)  # none at 3 %, whole at .3 %
    forms = math.log(float(np.interp(nights, NIGHTS, GENERATORS))) / 2
    what = f"{season.adjective}days drawn from twelve normals over {stretch}" + (": odds too low" if too_low else "")
    return what, math.hypot(sd, beyond * forms), too_low


def _normals(sites: Sequence[Site], month: int) -> list[tuple[str, float]]:
    """What the normals may be off by, as they say or as normals are in general; the truth has one value."""
    found = []
    for site in sites:
        source, season = source_of(climate_of(site)), _season(site, month)
        what = _OF_NORMALS[0 if source.kind == "default" else 1]
        sun = CAUSES["normal_sun"].sd if source.sun_sd is None else source.sun_sd
        air = CAUSES["normal_air"].sd if source.air_temp_sd_k is None else source.air_temp_sd_k
        found.append((what, math.hypot(sun * season.of(PER_LN_SUN), air * season.of(PER_K))))
    return [max(found, key=lambda part: part[1])]


def _at(table: NDArray[np.float64], nights: int, season: Season) -> float:
    return season.of([float(np.interp(nights, NIGHTS, column)) for column in table.T])


def _season(site: Site, month: int) -> Season:
    return season_of(climate_of(site).air_temp_c, month)


def _fridge_miss(air_c: float) -> float:
    return float(np.interp(air_c, FRIDGE_AIR_C, FRIDGE_MISS))
