"""Days of a trip's plan that were given as dates, for trips that are moved to another start."""

from __future__ import annotations

from datetime import date
from typing import Any

from .classes import Trip

_LISTS = {"drives": "days", "day_trips": "days", "idling": "days", "generator_runs": "days", "shore_power": "nights"}
_FIELDS = ("water_days", "warm_food_days")


def with_numbered_days(trip: Trip) -> Trip:
    """The trip with numbers in place of dates, so that its plan moves with its start; weekdays stay."""
    first = date.fromisoformat(trip.start[:10])

    def numbered(days: tuple[int | str, ...]) -> list[int | str]:
        return [_number(day, first) for day in days]

    changes: dict[str, Any] = {field: numbered(getattr(trip, field)) for field in _FIELDS}
    for field, days in _LISTS.items():
        changes[field] = [one.replace(**{days: numbered(getattr(one, days))}) for one in getattr(trip, field)]
    return trip.replace(**changes)


def _number(day: int | str, first: date) -> int | str:
    is_date = isinstance(day, str) and day[:1].isdigit()
    return (date.fromisoformat(str(day)) - first).days + 1 if is_date else day
