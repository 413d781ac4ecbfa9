"""What is said of the coming days' sun: words, clearness or irradiation, with a skill that fades within a week."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import ridethrough._core as _core

from ..model.checks import is_number, validate_int
from ..model.date_forms import require_date_form
from ..model.errors import bad_input
from ..model.places import place_at, places_of
from ..model.quantities import read_quantity
from ..model.values import to_python_value
from .meter_errors import error_value, sum_of_sds
from .reading_times import TripClock

WORDS = ("sunny", "mixed", "dull", "rain")
_OTHER_WORDS = {
    **dict.fromkeys(("clear", "sun", "fine", "bright"), "sunny"),
    **dict.fromkeys(("cloudy", "partly cloudy", "some sun", "changeable", "broken cloud"), "mixed"),
    **dict.fromkeys(("overcast", "grey", "gray", "fog", "dark"), "dull"),
    **dict.fromkeys(("rainy", "wet", "storm", "snow"), "rain"),
}
MOST_CLEARNESS = 0.85  # of a day; that of the clearest days on a high mountain, from memory
_LEAST_SKY_WH_M2 = 100.0  # under it a day is dark, and its clearness says nothing; own choice
_ALLOWED = "sunny, mixed, dull, rain, a clearness such as 0.55, or an irradiation such as 4.2 kWh/m2"


@dataclass(frozen=True)
class DayOutlook:
    """What an outlook says of one day.

    Attributes
    ----------
    day : int
        Of the trip, counted from 1, the day of the start.
    clearness : float
        Daily irradiation over what there is without an atmosphere.
    sd : float
        Its error, so wide that with the climate's own days it leaves the stated skill; 0: the day is given, as in
        "what if it is dull".
    """

    day: int
    clearness: float
    sd: float


def read_outlook(outlook: Any, clock: TripClock) -> tuple[DayOutlook, ...]:
    """What an outlook says of the days after today.

    Parameters
    ----------
    outlook : str, list of str or float, or mapping
        For tomorrow and the days after it: "sunny, mixed, dull", or a list of words, of clearness (0.55) and of
        irradiation ("4.2 kWh/m2"); or such by date ("2026-09-25") or by day of the trip (3).
    clock : TripClock
        Of the trip, with the time that is now.

    Returns
    -------
    tuple of DayOutlook
        In the order of the days; none of a day that is so far ahead that there is no skill.

    Raises
    ------
    InputError
        A day that is today, past or after the trip's end, a word that is not known, more sun than there is.

    Examples
    --------
    >>> clock = TripClock.of(van, trip, "2026-11-06 20:00")
    >>> [(one.day, one.clearness) for one in read_outlook("sunny, dull", clock)]
    [(2, 0.68), (3, 0.25)]
    """
    found = []
    for day, said in sorted(_by_day(outlook, clock).items()):
        lead = day - _today(clock)
        clearness, own_range = _clearness(said, day, clock)
        if (skill := skill_of(lead)) > 0:
            found.append(DayOutlook(day, clearness, outlook_sd(skill, own_range)))
    return tuple(found)


def dull_days(days: int, clock: TripClock) -> tuple[DayOutlook, ...]:
    """The next so many days dull for certain: "what if we get four".

    Examples
    --------
    >>> dull_days(1, TripClock.of(van, trip, "2026-11-06 20:00"))
    (DayOutlook(day=2, clearness=0.25, sd=0.0),)
    """
    most = _last_day(clock) - _today(clock)
    count = validate_int("dull_days", days, 1, max(most, 1))
    if most < 1:
        raise bad_input("dull_days", days, reason="the trip has no day left")
    return tuple(DayOutlook(_today(clock) + ahead, error_value("outlook_dull"), 0.0) for ahead in range(1, count + 1))


def skill_of(lead_days: int) -> float:
    """Correlation of an outlook with the day so many days ahead, 1 for tomorrow; 0 after about a week."""
    left = 1 - (lead_days - 1) / error_value("outlook_skill_gone_days")
    return error_value("outlook_skill_first_day") * max(left, 0.0)


def outlook_sd(skill: float, own_range: float) -> float:
    """Error of a stated clearness: its own range, and what makes its correlation with the truth the skill.

    Of days with variance s2 an observation with variance s2 (1/r2 - 1) has the correlation r with them.
    """
    return sum_of_sds(own_range, error_value("clearness_of_days") * math.sqrt(1 / (skill * skill) - 1))


def _today(clock: TripClock) -> int:
    return clock.day_of(clock.now_h)


def _last_day(clock: TripClock) -> int:
    return clock.day_of(float(clock.compiled.hours))


def _by_day(outlook: Any, clock: TripClock) -> dict[int, Any]:
    """What is said, by day of the trip."""
    today, last = _today(clock), _last_day(clock)
    if isinstance(outlook, Mapping):
        pairs = [(_day_number(key, clock), said) for key, said in outlook.items()]
    else:
        texts = re.split(r"\s*[,;]\s*", outlook.strip()) if isinstance(outlook, str) else outlook
        if not isinstance(texts, (list, tuple)) or not texts:
            raise bad_input("outlook", outlook, allowed=f"of each coming day {_ALLOWED}")
        pairs = [(today + ahead, said) for ahead, said in enumerate(texts, 1)]
    for day, said in pairs:
        if not today < day <= last:
            told = f"{_date_of(day, clock)}, day {day} of the trip"
            reason = "today or past" if day <= today else "after the trip's end"
            raise bad_input("outlook", said, reason=f"{told}, is {reason}", allowed=f"days {today + 1} to {last}")
    if len({day for day, _ in pairs}) != len(pairs):
        raise bad_input("outlook", outlook, reason="a day is in it twice")
    return dict(pairs)


def _date_of(day: int, clock: TripClock) -> str:
    return (date.fromisoformat(clock.compiled.start_date) + timedelta(days=day - 1)).isoformat()


def _day_number(key: Any, clock: TripClock) -> int:
    if is_number(key):
        return validate_int("outlook", key, 1, 10_000)
    text = to_python_value(key)
    try:
        return (date.fromisoformat(str(text)[:10]) - date.fromisoformat(clock.compiled.start_date)).days + 1
    except ValueError:
        require_date_form("outlook", str(text))
        raise bad_input(
            "outlook", key, reason="not a day", allowed='a date "2026-09-25" or a day of the trip'
        ) from None


def _clearness(said: Any, day: int, clock: TripClock) -> tuple[float, float]:
    """Clearness of what is said of a day, and its own range."""
    if is_number(said):
        return _in_range(said, float(said)), error_value("outlook_number_range")
    if not isinstance(said, str):
        raise bad_input("outlook", said, allowed=_ALLOWED)
    word = _OTHER_WORDS.get(said.strip().lower(), said.strip().lower())
    if word in WORDS:
        return error_value(f"outlook_{word}"), error_value(f"outlook_{word}_range")
    if not re.match(r"[-+.\d]", word):
        near = _core.nearest_name(word, [*WORDS, *_OTHER_WORDS])
        raise bad_input("outlook", said, reason="not an outlook", allowed=_ALLOWED, suggestion=near, quoted=True)
    if "/m" not in word:
        return _in_range(said, read_quantity("outlook", said, "")), error_value("outlook_number_range")
    sky_wh_m2 = _sky_wh_m2(day, clock)
    if sky_wh_m2 < _LEAST_SKY_WH_M2:
        raise bad_input("outlook", said, reason=f"the Sun hardly rises on {_date_of(day, clock)}")
    wh_m2 = 1000 * read_quantity("outlook", said, "kWh/m2")
    most = MOST_CLEARNESS * sky_wh_m2 / 1000
    if not 0 <= wh_m2 <= 1000 * most:
        reason = f"more than a clear sky gives there on {_date_of(day, clock)}" if wh_m2 > 0 else "negative"
        raise bad_input("outlook", said, reason=reason, allowed=f"0 to {most:.1f} kWh/m2")
    return wh_m2 / sky_wh_m2, error_value("outlook_number_range")


def _in_range(said: Any, clearness: float) -> float:
    if not 0 <= clearness <= MOST_CLEARNESS:
        hint = f"of irradiation with its unit: {said} kWh/m2" if clearness > 1 else ""
        raise bad_input("outlook", said, allowed=f"a clearness of 0 to {MOST_CLEARNESS}", hint=hint)
    return clearness


def _sky_wh_m2(day: int, clock: TripClock) -> float:
    """What a day's Sun gives on the horizontal without an atmosphere [Wh/m2]."""
    compiled = clock.compiled
    start = date.fromisoformat(compiled.start_date)
    first = _core.day_number(start.year, start.month, start.day) + day - 1
    site = place_at(places_of(clock.trip), day).site
    return float(_core.sky_days(first, 1, site.latitude, site.longitude, compiled.sky_utc_offset_h)["h0_wh_m2"][0])


def each_day(outlook: tuple[DayOutlook, ...], clock: TripClock) -> Iterator[str]:
    """A sentence for each day of an outlook, with its skill."""
    for one in outlook:
        day = f"{_date_of(one.day, clock)}: clearness {one.clearness:.2f}"
        skill = skill_of(one.day - _today(clock))
        told = "as given" if one.sd == 0 else f"standard deviation {one.sd:.2f}, skill (correlation) {skill:.2f}"
        yield f"{day}, {told}."
