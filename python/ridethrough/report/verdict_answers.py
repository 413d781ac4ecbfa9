"""The verdict's answers on the fridge: whether it stays on, how many nights, what a failure is like, how sure."""

from __future__ import annotations

import math
from datetime import date, timedelta

import ridethrough._core as _core

from ..engine.model_error import KnownError
from ..engine.risk import LEVELS, Risk
from ..model.outputs import CUTOUT_CAUSES
from ..model.places import place_at
from ..studies.suggestions import Suggestions
from .cause_text import plain_difference, short_date
from .chance_text import format_chance
from .layout import Section
from .model_error_text import TOO_RARE, plain_cause, worth_measuring
from .sentences import in_range, percent
from .verdict_details import replay_text

FEW_EVENTS = 20  # shares of fewer mean nothing
CAUSES_TOLD = 2
LEAST_DARK = 0.01  # of the failures in which everything on the battery goes off
FEWEST_DARK = 3  # trips
WORTH_MEASURING = 0.9  # of the honest range's width: what leaves more of it is not told
NEARLY_ALL, LEAST_SPOKEN = 0.95, 1 / 3  # as the core's phrases have it


def chance(estimate: _core.Estimate) -> str:
    """A chance with its interval and the number of trips."""
    return format_chance(estimate).replace("trials", "trips").replace("trial)", "trip)")


def stay_on(risk: Risk, charge_limit: float | None) -> Section:
    """The answer in words, in per cent, and the range that is honest."""
    lines = [_in_words(risk.cutout, risk.likely_range[1]), _in_percent(risk)]
    lines.append(f"Off for over 1 h: {chance(risk.fridge_off_over_1h)}.")
    if charge_limit is not None:
        below = chance(risk.below_soc(charge_limit))
        lines.append(f"Below the {percent(charge_limit)} charge that you keep to: {below}.")
    return Section("WILL THE FRIDGE STAY ON?", lines)


def _in_words(e: _core.Estimate, most: float) -> str:
    """The chance in words; where nothing failed, by the most that it may be with the model's error."""
    drops = "the battery gets too low"
    said = _core.chance_text(e)
    if "too few" in said:
        return f"Too few simulated trips to say: {'all' if e.value else 'none'} of {e.trials:,} had a cut-out."
    if e.value == 0:
        return f"In every simulated trip, yes; with the model's error up to about {one_in(most)} may have a cut-out."
    if e.value == 1:
        return f"No: in all {e.trials:,} simulated trips {drops}."
    if e.value >= NEARLY_ALL:
        return f"Hardly: in nearly all trips {drops}."
    if e.value > LEAST_SPOKEN:
        tenths = round(10 * e.value)
        if tenths == 5:
            return f"In about half of the trips, yes; in the other half {drops}."
        return f"In about {10 - tenths} trip{'s' if tenths < 9 else ''} of 10, yes; in {tenths} {drops}."
    count = said.removeprefix("About 1 in ")
    if int(count.replace(",", "")) <= 20:
        return f"In about {int(count) - 1} trip{'s' if int(count) > 2 else ''} of {count}, yes; in 1 {drops}."
    return f"In most trips, yes; in about 1 of {count} {drops}."


def one_in(share: float) -> str:
    """A small share as 1 in so many, two digits, rounded to the larger share."""
    number = math.floor(1 / share)
    scale = 10 ** max(len(str(number)) - 2, 0)
    return f"1 in {number // scale * scale:,}"


def _in_percent(risk: Risk) -> str:
    e = risk.cutout
    reach = in_range(*risk.likely_range)
    return f"Chance of a cut-out: {chance(e)}; with the model's error {reach}."


def how_many_nights(risk: Risk, found: Suggestions | None = None) -> Section:
    """Most nights at the usual risks; with a charge that the owner keeps to, those that hold it too."""
    counts = [risk.nights_at(level, model_error=True) for level in LEVELS]
    said = _nights_by_level(counts, risk.nights)
    lines = [f"{said[:1].upper()}{said[1:]}, counting the model's error."]
    if found is not None and found.nights and found.charge_limit is not None:
        kept = _nights_by_level(list(found.nights), risk.nights).replace("a risk of ", "")
        lines[0] += f" Above {percent(found.charge_limit)} charge: {kept}."
    return Section("HOW MANY NIGHTS?", lines)


def _nights_by_level(counts: list[int], nights: int) -> str:
    """Such as "3 nights at a risk of 5 %, 4 at 10 %"; a risk that buys no more is left out."""
    if not any(counts):
        return f"none, even at a risk of {percent(LEVELS[-1])}"
    said: list[str] = []
    unit_said = False
    for i, (count, level) in enumerate(zip(counts, LEVELS, strict=True)):
        if i and count == counts[i - 1]:
            continue
        every = "both" if nights == 2 else f"all {nights}"
        number = every if count == nights > 1 else str(count) if count else "none"
        what = "" if unit_said or not count else " night" if count == 1 else " nights"
        unit_said = unit_said or count > 0
        said.append(f"{number}{what} at {'' if said else 'a risk of '}{percent(level)}")
    return ", ".join(said)


def if_it_fails(risk: Risk) -> list[Section]:
    """When, why, and what then; nothing where nothing failed."""
    events = risk.cutout.events or 0
    if not events:
        return []
    if events < FEW_EVENTS:
        fail = "trip fails" if events == 1 else "trips fail"
        lines: list[str | tuple[str, str]] = [f"{events} of {risk.trials:,} {fail}: too few to say when or why."]
    else:
        lines = [("When", _when(risk)), *([("Why ", _why(risk))] if risk.failing_differences else [])]
    return [Section("IF IT FAILS", [*lines, ("Then", _then(risk))])]


def _when(risk: Risk) -> str:
    table = risk.cutouts_by_night()
    by_night, by_hour = table.sum(axis=1), table.sum(axis=0)
    night, hour = int(by_night.argmax()), int(by_hour.argmax())
    day = date.fromisoformat(risk.compiled.start_date) + timedelta(days=night)
    which = f"on night {night + 1} ({night_of(day)})" if night < risk.nights else f"on the last day ({short_date(day)})"
    where = f" at {place_at(risk.places, night + 1).name}" if risk.trip.stops else ""
    share = part_of(int(by_night[night]), int(table.sum()))
    return f"{share} of {table.sum():,} failures {which}{where}, most often about {hour}:00."


def night_of(day: date) -> str:
    """Fri 25-Sat 26 Sep."""
    begin, end = short_date(day), short_date(day + timedelta(days=1))
    return f"{begin.rpartition(' ')[0] if begin[-3:] == end[-3:] else begin}-{end}"


def part_of(count: int, total: int) -> str:
    """A part of counted trips in words."""
    share = count / total
    if count == total or not count:
        return "all" if count else "none"
    if share >= NEARLY_ALL:
        return "nearly all"
    if share >= LEAST_SPOKEN:
        return "half" if round(10 * share) == 5 else f"{round(10 * share)} in 10"
    return f"1 in {round(1 / share)}"


def _why(risk: Risk) -> str:
    first, *others = (plain_difference(risk, difference) for difference in risk.failing_differences[:CAUSES_TOLD])
    what, bracket, values = first.partition(" (")
    return f"{'; '.join([f'{what} than others{bracket}{values}', *others])}."


def _then(risk: Risk) -> str:
    hours = risk.means["hours_off"] / risk.cutout.value
    said = f"{hours:.0f} h" if hours >= 1 else f"{60 * hours:.0f} minutes"
    total = sum(n for name, n in risk.cutout_causes.items() if name != CUTOUT_CAUSES[0])
    dark = sum(risk.cutout_causes.get(name, 0) for name in CUTOUT_CAUSES[3:])
    text = f"off {said} on average"
    if dark >= max(LEAST_DARK * total, FEWEST_DARK):
        text += f"; in {dark:,} of {total:,} also lights, heater, alarms"
    return f"{text}."


def _width(of: tuple[float, float]) -> float:
    return of[1] - of[0]


def how_sure(risk: Risk) -> Section:
    """What the range is made of, and what would narrow it."""
    error = risk.model_error
    lines = []
    if error.parts:
        wide = _width(KnownError(()).together(risk.cutout)) > _width(risk.likely_range) / 2
        main = "how few trips were played" if wide else plain_cause(error.parts[0][0])
        lines.append(f"Least sure: {main}.")
        found = worth_measuring(error) if error.effects else []
        ranges = [(how, error.without(cause).together(risk.cutout)) for cause, how in found]
        width = WORTH_MEASURING * _width(risk.likely_range)
        said = [f"{how} ({in_range(*to)})" for how, to in ranges if _width(to) < width]
        lines += [f"To narrow it: {', '.join(said)}."] if said else []
        lines += [TOO_RARE] if not error.effects else []
    if not risk.half_width_reached:
        lines.append("The interval asked for was not reached with these trips.")
    if risk.compiled.replay_starts:
        lines.append(replay_text(risk))
    lines.append("No whole van was measured.")
    return Section("HOW SURE?", [" ".join(lines)])
