"""The evening's forecast as text."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

import ridethrough._core as _core

from ..model.cautions import CAUTION, cautions
from ..model.places import places_of
from ..tonight.forecast_result import Forecast
from .cause_text import short_date
from .layout import NARROW, WIDE, Section, lay_out
from .registry import format_report
from .sentences import percent
from .trip_description import place_text, van_in_short

_NARROW = 0.03  # of an interval: a tenth of a point is told then
_SMALLEST = 0.01  # per cent


@format_report.register(Forecast)
def format_forecast(found: Forecast) -> str:
    """All of it, as wide as a terminal."""
    return write_forecast(found)


def write_forecast(found: Forecast, *, narrow: bool = False, title: str = "") -> str:
    """The forecast in sections: what was read, the answer, the charge, how it changed, how sure."""
    return lay_out(_sections(found, title), NARROW if narrow else WIDE)


def _sections(found: Forecast, title: str) -> Iterable[Section]:
    readings = "; ".join(str(one) for one in found.readings) or "none"
    places = "; then ".join(place_text(place) for place in places_of(found.trip))
    yield Section("", [f"{title.strip() or 'This trip'}: {_moment(found.now)}", places, f"{van_in_short(found.van)}."])
    yield Section("WHAT THE METERS SAY", [f"Read: {readings}.", *found.notes])
    yield Section("WILL THE FRIDGE STAY ON FROM NOW ON?", list(_answer(found)))
    yield Section("THE BATTERY", list(_charge(found)))
    yield Section("WHAT THE READINGS CHANGED", list(_changes(found)))
    yield Section("HOW SURE?", list(_sureness(found)))
    yield Section("", [" ".join(cautions(found.van, found.trip)), CAUTION])


def _answer(found: Forecast) -> Iterable[tuple[str, str] | str]:
    tomorrow = chance_from_now(found, found.tomorrow)
    yield f"Chance of a cut-out before the sun of {_moment(found.tomorrow_at)}: {tomorrow}."
    for day, estimate in list(found.by_day.items())[:-1]:
        yield f"By the end of {short_date(date.fromisoformat(day))}: {chance_from_now(found, estimate)}."
    yield f"By the end of the trip: {chance_from_now(found, found.end)}."
    if found.kept_on:
        yield "That the fridge has kept on until now is taken as known."


def _charge(found: Forecast) -> Iterable[str]:
    soc, lowest = found.soc, found.lowest_soc
    yield (
        f"Charge now, by readings and model together: {percent(soc[0.5])}, in 9 of 10 such trips "
        f"{percent(soc[0.05])} to {percent(soc[0.95])}."
    )
    yield (
        f"Lowest from now on: {percent(lowest[0.5])} in a middling trip, about {_moment(found.lowest_at)}; under "
        f"{percent(lowest[0.05])} in 1 of 20."
    )


def _changes(found: Forecast) -> Iterable[str]:
    for one in found.evenings:
        when = "At the start" if one.when == "the start" else f"On {_moment(one.when)}"
        trials = f"{one.end.trials:,} {'trips' if one.end.events is not None else 'effective trips'}"
        yield f"{when} the chance of a cut-out by the end was {_chance(one.end, trials)}."
    yield f"With all readings it is {chance_from_now(found, found.end)}."


def _sureness(found: Forecast) -> Iterable[str]:
    how = "weighted by how well they agree" if found.method == "weights" else "moved until they agree"
    yield (
        f"Of {found.trials:,} trips of this van, {how} with the readings, as good as {found.effective_trials:,} trips "
        "of equal weight. The intervals are of their number alone: the model's own error comes on top, and readings "
        "do not take it away. ridethrough run tells its range for the whole trip."
    )


def chance_from_now(found: Forecast, estimate: _core.Estimate) -> str:
    """A chance with its interval and the effective number of trials."""
    return _chance(estimate, f"{found.effective_trials:,} effective trips")


def _chance(estimate: _core.Estimate, trials: str) -> str:
    if estimate.value == 0:
        return f"none seen, at most {_digits(estimate.high, 2)} % ({trials})"
    places = 1 if estimate.high - estimate.low < _NARROW else 0
    value, low, high = (_digits(x, places) for x in (estimate.value, estimate.low, estimate.high))
    return f"{value} % ({low}-{high} %, {trials})"


def _digits(share: float, places: int) -> str:
    """A share in per cent: two digits where it is small, none that it has not."""
    per_cent = 100 * share
    rarer = min(per_cent, 100 - per_cent)
    if 0 < rarer < _SMALLEST:
        return f"under {_SMALLEST}" if per_cent < 50 else f"over {100 - _SMALLEST}"
    return f"{per_cent:.{2 if 0 < rarer < 1 else places}f}"


def _moment(text: str) -> str:
    """Day and time, "Sat 7 Nov 20:00"."""
    return f"{short_date(date.fromisoformat(text[:10]))} {text[11:16]}"
