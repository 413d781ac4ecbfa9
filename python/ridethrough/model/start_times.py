"""The start of a trip, as text, date or time of Python, NumPy or pandas: kept as the clock time at the first place.

A date alone means 15:00 (`ridethrough._core.USUAL_START_HOUR`). A time with a time zone is that moment on the clock of
the trip's first place.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np

import ridethrough._core as _core

from . import time_zones
from .date_forms import require_date_form
from .errors import bad_input

ALLOWED = "'2026-11-06 15:00', or a date or time of Python, NumPy or pandas (a date alone means 15:00)"


def start_text(start: Any, trip: Mapping[str, Any]) -> Any:
    """Clock time at the first place of a trip with these values."""
    given = start
    if isinstance(start, np.datetime64):
        start = start.item() if np.datetime_data(start)[0] in ("D", "W", "M", "Y") else start.astype("M8[s]").item()
    if isinstance(start, str):
        return _of_text(start, trip)
    if not isinstance(start, date) or start != start:  # what is missing does not equal itself
        raise bad_input("Trip.start", given, reason="not a time", allowed=ALLOWED)
    if isinstance(start, datetime):  # pandas' Timestamp too
        return _of_time(start, trip)
    return _with_usual_hour(start.isoformat())


def _of_text(text: str, trip: Mapping[str, Any]) -> str:
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return _with_usual_hour(text)
    if re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d", text):
        return text.replace("T", " ")
    if len(text) <= len("2026-11-06 15:00"):
        require_date_form("Trip.start", text)
        return text
    try:
        return _of_time(datetime.fromisoformat(text), trip)
    except ValueError as error:
        if isinstance(error, _core.InputError):
            raise
        require_date_form("Trip.start", text)
        return text


def _with_usual_hour(text: str) -> str:
    return f"{text} {_core.USUAL_START_HOUR:02d}:00"


def _of_time(start: datetime, trip: Mapping[str, Any]) -> str:
    on_clock = start if start.utcoffset() is None else _on_clock_of_place(start, trip)
    if on_clock.second or on_clock.microsecond:
        raise bad_input("Trip.start", str(start), allowed="full hours, on the clock of the first place")
    return on_clock.strftime("%Y-%m-%d %H:%M")


def _on_clock_of_place(start: datetime, trip: Mapping[str, Any]) -> datetime:
    stops = trip.get("stops") or ()
    site = getattr(stops[0], "site", None) if stops else trip.get("site")
    if not isinstance(site, _core.Configuration) or site.schema.name != "Site":
        raise bad_input("Trip.start", str(start), reason="its time zone needs a site", allowed="a site beside it")
    moment = start.astimezone(UTC)
    place: Any = site
    if place.utc_offset_h is not None:
        return (moment + timedelta(hours=place.utc_offset_h)).replace(tzinfo=None)
    zone = place.time_zone or time_zones.zone_at(place.latitude, place.longitude)
    offset = timedelta(seconds=time_zones.offset_s(zone, moment.timestamp()))
    clock = (moment + offset).replace(tzinfo=None)
    text = clock.strftime("%Y-%m-%d %H:%M")
    if time_zones.start_in_zone(zone, text)[0] != round(moment.timestamp()) and not clock.second:
        raise bad_input(
            "Trip.start", str(start), reason=f"the clock of {zone} shows {text} twice, and a trip starts the first time"
        )
    return clock
