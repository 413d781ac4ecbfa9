"""Validates arguments of runs and studies before any trial runs; errors name field, value and allowed range."""

from __future__ import annotations

import sys
import warnings
from collections.abc import Iterable

import ridethrough._core as _core

from ..model import clocks
from ..model.checks import is_number
from ..model.checks import validate_int as validate_int
from ..model.checks import validate_number as validate_number
from ..model.checks import validate_seed as validate_seed
from ..model.checks import validate_trials as validate_trials
from ..model.classes import Trip, Van
from ..model.configuration import Configuration
from ..model.declaration_text import fields_of
from ..model.errors import bad_input


def validate_risk_level(level: object) -> None:
    """InputError where a risk that is looked at is none."""
    if not is_number(level) or not 0 < level < 1:
        hint = f"is per cent meant? write {level / 100:g}" if is_number(level) and 1 <= level < 100 else ""
        raise bad_input("level", level, allowed="above 0 and below 1", hint=hint)


def require_van_and_trip(van: Van, trip: Trip) -> None:
    """InputError where something else is given in their place."""
    if isinstance(van, Trip) and isinstance(trip, Van):
        raise bad_input("van", van, reason="this is the trip", hint="the van comes first, then the trip")
    require_kind("van", van, Van)
    require_kind("trip", trip, Trip)


def require_kind(name: str, value: object, kind: type[Configuration]) -> None:
    """InputError where an argument is no van or trip."""
    if isinstance(value, kind):
        return
    what, hint = kind.__name__, ""
    if isinstance(value, type) and issubclass(value, kind):
        hint = f"call it: {what}(...)"
    elif isinstance(value, Configuration):
        field = next((field.name for field in fields_of(kind._declaration) if value.schema.name in field.choices), "")
        hint = f"put it into one: {what}({field}=...)" if field else ""
    elif isinstance(getattr(value, "van", None), Van) and isinstance(getattr(value, "trip", None), Trip):
        hint = "a scenario has both: .van and .trip"
    raise bad_input(name, value, reason=f"must be a {what}", hint=hint)


def validate_threads(threads: object) -> int:
    """0: one per processor."""
    return validate_int("threads", threads, 0, _core.MOST_THREADS)


def compile_trip(van: Van, trip: Trip, clock: _core.Clock | None = None) -> _core.Compiled:
    """Compile van and trip, which validates them; refuses loads that keep somebody alive."""
    compiled = clocks.compile_with_clock(van, trip, clock)
    _core.refuse_life_support(compiled.load_names)
    return compiled


def compile_with_warnings(van: Van, trip: Trip) -> _core.Compiled:
    """Compile van and trip, and warn of what is allowed but probably not meant."""
    compiled = compile_trip(van, trip)
    warn_once(compiled.warnings)
    return compiled


def warn_once(texts: Iterable[str]) -> tuple[str, ...]:
    """Warn of each of these once: a study does so before its runs, which then warn of nothing."""
    said = tuple(dict.fromkeys(texts))
    for text in said:
        warn_caller(text)
    return said


def warn_caller(text: str) -> None:
    """Warn at the line outside this package that called into it."""
    frame, level = sys._getframe(1), 2
    while frame.f_back is not None and frame.f_globals.get("__name__", "").partition(".")[0] == "ridethrough":
        frame, level = frame.f_back, level + 1
    warnings.warn(text, UserWarning, stacklevel=level)
