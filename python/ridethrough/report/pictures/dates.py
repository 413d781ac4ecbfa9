"""The axis of time: days named between their midnights, as many as there is room for; nights, drives and plugs."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ...engine.risk import Risk
from ...model.clocks import clock_hours, since_start
from ..cause_text import DAYS, MONTHS
from .sheet import Sheet, label_below, text_width
from .style import BLUE, HATCH, INK, NIGHT, RULE, SOFT, Style

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_SUNRISE_COS_ZENITH = -0.0145  # the Sun's upper edge on the horizon: 50' below it (34' refraction, 16' radius)
_FEW_DAYS_H = 54  # up to here hours are named too


def nights(risk: Risk) -> list[tuple[float, float]]:
    """Spans of hours since the start with the Sun below the horizon, to 5 minutes."""
    steps = np.arange(12 * risk.hours + 1) / 12
    day0 = date.fromisoformat(risk.compiled.start_date)
    start = 24 * _core.day_number(day0.year, day0.month, day0.day) + risk.start_hour
    utc = start - risk.clock.utc_offset_h + steps
    night = clock_hours(risk.compiled, steps) // 24 + 1
    dark = np.zeros(len(steps), dtype=bool)
    for place in risk.places:  # a later place takes the days from its first on
        cos_zenith = _core.sun_position(utc, place.site.latitude, place.site.longitude)[0]
        dark = np.where(night >= place.first_night, cos_zenith < _SUNRISE_COS_ZENITH, dark)
    return _spans(steps, dark)


def _spans(steps: NDArray[np.float64], holds: NDArray[np.bool_]) -> list[tuple[float, float]]:
    edges = np.diff(np.concatenate([[False], holds, [False]]).astype(int))
    starts = np.flatnonzero(edges == 1)
    ends = np.minimum(np.flatnonzero(edges == -1), len(steps) - 1)
    return list(zip(steps[starts].tolist(), steps[ends].tolist(), strict=True))


def drives(risk: Risk) -> list[tuple[float, float]]:
    """Drives that charge."""
    if not risk.van.dc_dc:
        return []
    return _planned(risk, "drive") if risk.van.towed else _planned(risk, "drive", "day_trip")  # in the car alone


def plugged(risk: Risk) -> list[tuple[float, float]]:
    """Spans on shore power that charge."""
    return _planned(risk, "shore_power") if risk.van.mains else []


def _planned(risk: Risk, *kinds: str) -> list[tuple[float, float]]:
    return [(i.begin_h, i.end_h) for i in risk.compiled.schedule if i.kind in kinds]


DRIVING: Style = {"facecolor": INK, "edgecolor": INK, "linewidth": 0.6}
PLUGGED: Style = {"facecolor": "white", "edgecolor": BLUE, "linewidth": 0.8, "hatch": HATCH}


def plan_lane(sheet: Sheet, risk: Risk, left: float) -> None:
    """A lane above the drawing with the drives and the time on shore power; none where nothing is planned."""
    if not (spans := [(drives(risk), DRIVING, "driving"), (plugged(risk), PLUGGED, "plugged in")]):
        return
    if not any(found for found, *_ in spans):
        return
    ax = sheet.axes(0.12, left=left, below=0.05, scaled=False)
    ax.set_gid("plan")
    ax.set(xlim=(0, risk.hours), ylim=(0, 1), xticks=[], yticks=[])
    ax.spines[:].set_visible(False)
    for found, style, label in spans:
        for begin, end in found:
            ax.axvspan(begin, end, label=label, **style)


def shade_nights(ax: Axes, risk: Risk) -> None:
    """Grey between sunset and sunrise."""
    for low, high in nights(risk):
        ax.axvspan(low, high, color=NIGHT, lw=0, zorder=0)


def dates_below(sheet: Sheet, ax: Axes, risk: Risk) -> None:
    """A tick at each midnight, and under the axis the days, each in the middle of what the trip has of it."""
    midnights, days = _days(risk)
    ax.set_xlim(0, risk.hours)
    edges = np.concatenate([[0.0], midnights, [float(risk.hours)]])
    ax.set_xticks(midnights, [""] * len(midnights))
    for midnight in midnights:
        ax.axvline(midnight, color=RULE, lw=0.6, zorder=0.5)
    row = 0.0
    if risk.hours <= _FEW_DAYS_H:
        _hours_below(sheet, ax, risk)
        row = sheet.line_in
    points, inch = sheet.size.note_pt, sheet.width(ax) / risk.hours
    label, stride = _label_form(days, 24 * inch, points)
    ax.tick_params(axis="x", length=7 if stride == 1 else 3, color=SOFT)
    last = -np.inf
    for i, (day, begin, end) in enumerate(zip(days, edges[:-1], edges[1:], strict=True)):
        text = label(day)
        wide = max(text_width(line, points) for line in text.split("\n"))
        middle = inch * (begin + end) / 2
        if stride > 1 and i % stride:
            continue
        within = wide <= inch * (end - begin) if stride == 1 else wide / 2 <= min(middle, inch * risk.hours - middle)
        if not within or middle - wide / 2 < last + 0.04:
            continue
        last = middle + wide / 2
        label_below(ax, text, (begin + end) / 2, 72 * (0.06 + row), points)


def _days(risk: Risk) -> tuple[NDArray[np.float64], list[date]]:
    """Hours of the midnights within the trip, and its days."""
    end = float(clock_hours(risk.compiled, risk.hours))
    midnights = np.asarray(since_start(risk.compiled, np.arange(24, end, 24)), dtype=float)
    day0 = date.fromisoformat(risk.compiled.start_date)
    return midnights, [day0 + timedelta(days=i) for i in range(len(midnights) + 1)]


def dates_room(sheet: Sheet, risk: Risk) -> float:
    """Height that the dates take below the axes [in]."""
    return 0.1 + (3 if risk.hours <= _FEW_DAYS_H else 2) * sheet.line_in


def _label_form(days: list[date], day_in: float, points: float) -> tuple[Callable[[date], str], int]:
    """How days are named, and every which of them: the longest form that fits a day, else every second or more."""
    forms: tuple[Callable[[date], str], ...] = (
        lambda day: f"{DAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}",
        lambda day: f"{DAYS[day.weekday()]}\n{day.day} {MONTHS[day.month - 1]}",
    )
    for form in forms:
        if max(text_width(line, points) for day in days for line in form(day).split("\n")) + 0.06 <= day_in:
            return form, 1
    wide = max(text_width(line, points) for day in days for line in forms[1](day).split("\n"))
    return forms[1], int(np.ceil((wide + 0.08) / day_in))


def _hours_below(sheet: Sheet, ax: Axes, risk: Risk) -> None:
    """Every sixth hour of the clock."""
    end = float(clock_hours(risk.compiled, risk.hours))
    clock = np.arange(6 * np.ceil(risk.start_hour / 6), end + 1e-9, 6)
    at = np.asarray(since_start(risk.compiled, clock), dtype=float)
    points, inch = sheet.size.note_pt, sheet.width(ax) / risk.hours
    wide = text_width("00:00", points)
    every = 1 if wide + 0.05 <= 6 * inch else 2
    for hour, x in zip(clock, at, strict=True):
        if int(hour // 6) % every or x * inch < wide / 2 or (risk.hours - x) * inch < wide / 2 - 0.1:
            continue
        label_below(ax, f"{hour % 24:02.0f}:00", x, 72 * 0.06, points)
    ax.set_xticks(at, minor=True)
    ax.tick_params(axis="x", which="minor", length=3, color=SOFT, labelbottom=False)
