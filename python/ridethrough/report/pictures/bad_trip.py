"""One bad trip played again: its charge and its energy, with numbers that the captions below tell of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ...engine.risk import Risk
from ...model.clocks import clock_hours
from ...model.outputs import CUTOUT_CAUSES
from ...model.van_parts import is_lithium
from ..cause_text import short_date
from .dates import DRIVING, PLUGGED, dates_below, dates_room, drives, nights, plan_lane, plugged, shade_nights
from .drawing import drawn
from .facts import facts, spoken
from .picture import Picture
from .sheet import Sample, Sheet, ruled, text_width
from .style import BLUE, BLUE_LIGHT, HATCH, INK, NIGHT, RUST, SOFT
from .temperatures import FOOD_C

SAMPLE = 512  # trials whose mean is what is usual
_SERIES = ("soc", "solar_w", "fridge_w", "other_loads_w", "fridge_off", "fridge_c", "lowest_fridge_v", "ghi_w_m2")
_MOST = 9  # captions
_DULL, _GREEDY = 0.75, 1.25  # of the usual sun and of the usual use: worth a caption


@dataclass(frozen=True)
class Event:
    """Something that happened: hours since the start, and a sentence."""

    hour: float
    text: str


@dataclass(frozen=True)
class Replay:
    """One trial's hourly time series, and the means of many."""

    trial: int
    why: str
    failed: bool
    series: dict[str, NDArray[np.float64]]
    usual: dict[str, NDArray[np.float64]]


def replay_bad_trip(risk: Risk) -> Replay:
    """Of the failing trips the one whose first cut-out comes at the median time; of none the one that gets lowest."""
    first = list(range(min(SAMPLE, risk.trials)))
    traced = _trace(risk, first)
    usual = {name: traced[name].mean(axis=0) for name in _SERIES}
    cause = risk.columns.get("cutout_cause")
    failing = np.flatnonzero(traced["fridge_off"].any(axis=1) if cause is None else cause > 0)
    if len(failing):
        when = traced["fridge_off"].argmax(axis=1) if cause is None else risk.columns["first_cutout_h"]
        ordered = failing[np.argsort(when[failing], kind="stable")]
        trial, of = int(ordered[(len(ordered) - 1) // 2]), f"{len(failing):,} failing trips"
        why = f"Of {of} the one whose first cut-out comes at the median time: trip {trial + 1:,} of {risk.trials:,}."
    else:
        trial = int(traced["soc"].min(axis=1).argmin())
        why = (
            f"No trip failed. Of the first {len(first):,} trips the one whose charge gets lowest: trip "
            f"{trial + 1:,} of "
            f"{risk.trials:,}."
        )
    own = {name: values[0] for name, values in _trace(risk, [trial]).items() if name in _SERIES}
    return Replay(trial, why, bool(len(failing)), own, usual)


def _trace(risk: Risk, trials: list[int]) -> dict[str, Any]:
    return _core.trace(risk.compiled, trials, risk.seed, risk.precision, list(_SERIES))


def events_of(risk: Risk, replay: Replay) -> list[Event]:
    """What made the trip a bad one and what happened then, in its order."""
    found = [*_cutouts(risk, replay), *_charge(risk, replay), *_food(risk, replay)]
    days = sorted(_days(risk, replay), key=lambda one: -one[0])
    found += [event for _, event in days[: _MOST - len(found)]]
    return sorted(found, key=lambda e: e.hour)


def _days(risk: Risk, replay: Replay) -> list[tuple[float, Event]]:
    """Days with little sun and days of much use, each with how far it is from the usual."""
    clock = np.asarray(clock_hours(risk.compiled, np.arange(risk.hours)), dtype=float)
    number = (clock // 24).astype(int)
    found = []
    for day in np.unique(number):
        of = number == day
        sun, usual_sun = replay.series["ghi_w_m2"][of].sum(), replay.usual["ghi_w_m2"][of].sum()
        use, usual_use = (each["other_loads_w"][of].sum() for each in (replay.series, replay.usual))
        middle, whole = float(np.flatnonzero(of).mean() + 0.5), of.sum() >= 12
        name = _date(risk, int(day))
        if usual_sun > 100 and sun < _DULL * usual_sun:
            text = f"{name}: {100 * (1 - sun / usual_sun):.0f} % less sun than this day usually has."
            found.append((float(1 - sun / usual_sun), Event(middle, text)))
        if whole and use > _GREEDY * usual_use:
            text = f"{name}: {100 * (use / usual_use - 1):.0f} % more used than usual, the fridge apart."
            found.append((float(use / usual_use - 1), Event(middle + 0.1, text)))
    return found


def _cutouts(risk: Risk, replay: Replay) -> list[Event]:
    off = replay.series["fridge_off"] > 0
    starts = np.flatnonzero(off & ~np.concatenate([[False], off[:-1]]))
    if not len(starts):
        return [Event(float(risk.hours), f"The end: no cut-out; charge {100 * replay.series['soc'][-1]:.0f} %.")]
    at = int(starts[0])
    ends = np.flatnonzero(~off & np.concatenate([[False], off[:-1]]))
    cause = _cause(risk, replay.trial)
    volts, charge = replay.series["lowest_fridge_v"][at], replay.series["soc"][at]
    sagged = f", {volts:.1f} V at the fridge" if 0 < volts < 20 else ""
    found = [Event(at + 0.5, f"{_when(risk, at)}: first cut-out{cause}{sagged}; charge {100 * charge:.0f} %.")]
    later = f" It drops out {len(starts) - 1} more times." if len(starts) > 2 else ""
    later = " It drops out once more." if len(starts) == 2 else later
    if len(ends):
        hours = replay.series["fridge_off"][at : int(ends[0])].sum()
        found.append(Event(float(ends[0]), f"{_when(risk, int(ends[0]))}: on again, {_hours(hours)} later.{later}"))
    else:
        found.append(Event(float(risk.hours), f"The end: still off.{later}"))
    return found


def _cause(risk: Risk, trial: int) -> str:
    if "cutout_cause" not in risk.columns:
        return ""
    name = CUTOUT_CAUSES[int(risk.columns["cutout_cause"][trial])].replace("_", " ")
    return f" ({name})"


def _hours(hours: float) -> str:
    return f"{hours:.0f} h" if hours >= 1.5 else f"{60 * hours:.0f} min"


def _charge(risk: Risk, replay: Replay) -> list[Event]:
    below = np.flatnonzero(replay.series["soc"] < 0.5)
    if is_lithium(risk.van) or not len(below):
        return []
    return [Event(below[0] + 1.0, f"{_when(risk, int(below[0]) + 1)}: below half charge.")]


def _food(risk: Risk, replay: Replay) -> list[Event]:
    warm = np.flatnonzero((replay.series["fridge_c"] > FOOD_C) & (np.cumsum(replay.series["fridge_off"]) > 0))
    if not len(warm):
        return []
    most = replay.series["fridge_c"].max()
    text = f"{_when(risk, int(warm[0]) + 1)}: above {FOOD_C:g} degC in the fridge, later up to {most:.0f} degC."
    return [Event(warm[0] + 1.0, text)]


def _date(risk: Risk, day: int) -> str:
    return short_date(date.fromisoformat(risk.compiled.start_date) + timedelta(days=day))


def _when(risk: Risk, hour: int) -> str:
    clock = float(clock_hours(risk.compiled, hour))
    return f"{_date(risk, int(clock // 24))}, about {round(clock % 24) % 24}:00"


@drawn
def draw_bad_trip(risk: Risk, size: str, name: str) -> Picture:
    """Charge above, sun and use below, a number for each caption."""
    replay = replay_bad_trip(risk)
    events = events_of(risk, replay)
    title = "A bad trip played again" if replay.failed else "The hardest trip played again"
    sheet = Sheet(size, title, facts(risk), name)
    sheet.text(replay.why)
    sheet.skip(0.5)
    sheet.key(_samples(risk, replay))
    left = max(text_width(text, sheet.size.note_pt) for text in ("100", "1,000")) + 0.1
    sheet.caption("Charge, % of full")
    _numbers(sheet, risk, events, left)
    plan_lane(sheet, risk, left)
    hours = np.arange(1, risk.hours + 1)
    charge = sheet.axes(1.7, left=left, right=0.08, below=0.12)
    shade_nights(charge, risk)
    charge.plot(hours, 100 * replay.series["soc"], color=BLUE, lw=1.8, label="charge")
    for begin, end in _off_spans(replay):
        charge.axvspan(begin, end, facecolor="none", edgecolor=RUST, hatch=HATCH, lw=0.8, label="off")
    charge.set(ylim=(0, 102), yticks=range(0, 101, 25))
    ruled(charge)
    sheet.caption("Power, W")
    power = sheet.axes(1.2, left=left, right=0.08, below=dates_room(sheet, risk))
    shade_nights(power, risk)
    power.fill_between(hours - 0.5, replay.series["solar_w"], color=BLUE_LIGHT, lw=0, label="solar")
    power.plot(hours - 0.5, replay.usual["solar_w"], color=SOFT, lw=1, ls=":", label="usual")
    used = replay.series["fridge_w"] + replay.series["other_loads_w"]
    power.plot(hours - 0.5, used, color=INK, lw=1, label="used")
    power.set_ylim(bottom=0)
    ruled(power)
    dates_below(sheet, power, risk)
    charge.set_xlim(0, risk.hours)
    charge.set_xticks(power.get_xticks(), [""] * len(power.get_xticks()))
    for number, event in enumerate(events, 1):
        sheet.word(str(number), 0.12, sheet.top, points=sheet.size.note_pt, weight="bold")
        sheet.text(event.text, left=0.24)
    shown = " ".join(f"{number}. {event.text}" for number, event in enumerate(events, 1))
    return sheet.finish(spoken(risk, title, f"{replay.why} {shown}"))


def _off_spans(replay: Replay) -> list[tuple[float, float]]:
    off = np.concatenate([[False], replay.series["fridge_off"] > 0, [False]]).astype(int)
    edges = np.diff(off)
    return list(zip(np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True))


def _samples(risk: Risk, replay: Replay) -> list[Sample]:
    found = [
        Sample("charge of this trip", line={"color": BLUE, "lw": 1.8}),
        Sample("solar, this trip", area={"color": BLUE_LIGHT, "lw": 0}),
        Sample("solar, mean of the trips", line={"color": SOFT, "lw": 1, "ls": ":"}),
        Sample("fridge and other loads", line={"color": INK, "lw": 1}),
    ]
    there: list[tuple[object, Callable[[], Sample]]] = [
        (
            _off_spans(replay),
            lambda: Sample("fridge off", area={"facecolor": "none", "edgecolor": RUST, "hatch": HATCH}),
        ),
        (nights(risk), lambda: Sample("night", area={"color": NIGHT, "lw": 0})),
        (drives(risk), lambda: Sample("driving", area=DRIVING)),
        (plugged(risk), lambda: Sample("plugged in", area=PLUGGED)),
    ]
    return found + [sample() for wanted, sample in there if wanted]


def _numbers(sheet: Sheet, risk: Risk, events: list[Event], left: float) -> None:
    """The captions' numbers above the drawing, moved apart where they would overlap, each with a stroke to its hour."""
    points = sheet.size.note_pt
    ax = sheet.axes(0.3, left=left, right=0.08, below=0.02, scaled=False)
    ax.set_gid("numbers")
    ax.set(xlim=(0, risk.hours), ylim=(0, 1), xticks=[], yticks=[])
    ax.spines[:].set_visible(False)
    least = (text_width("00", points, "bold") + 0.04) * risk.hours / sheet.width(ax)
    places = _apart([e.hour for e in events], least, risk.hours)
    for number, (event, x) in enumerate(zip(events, places, strict=True), 1):
        ax.plot([x, event.hour], [0.42, 0], color=SOFT, lw=0.7, clip_on=False)
        ax.text(x, 0.5, str(number), ha="center", va="bottom", fontsize=points, weight="bold")


def _apart(hours: list[float], least: float, end: float) -> list[float]:
    """Places in order, no two nearer than the least, none off the ends."""
    places: list[float] = []
    for hour in hours:
        places.append(max(hour, places[-1] + least if places else least / 2))
    last = end - least / 2
    for i in range(len(places) - 1, -1, -1):
        places[i] = min(places[i], last)
        last = places[i] - least
    return places
