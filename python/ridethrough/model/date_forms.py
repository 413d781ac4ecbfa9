"""Dates in other forms than the accepted one, to tell which was meant: "9/24/2026", "24.9.2026", "Sept 24"."""

from __future__ import annotations

import re
from datetime import date

import ridethrough._core as _core

from .errors import bad_input

_ACCEPTED = re.compile(r"\d{4}-\d\d-\d\d(?:[ T]\d\d:\d\d)?")
_TIME = re.compile(r"[,\sT]+(?:at\s+)?(\d{1,2})(?::(\d{2})(?::00)?\s*(am|pm)?|\s*(am|pm))\s*$", re.IGNORECASE)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_ANY_YEAR, _NO_YEAR = 2028, "YYYY"  # a leap year


def dates_meant(text: str) -> list[str]:
    """The dates that a text may mean, in the accepted form; without a year as "YYYY-09-24". None: no date."""
    day, clock = _clock_cut_off(text)
    words = re.findall(r"[A-Za-z]+|\d+", re.sub(r"(?<=\d)(st|nd|rd|th)\b", "", day))
    months = [n for word in words for n, name in enumerate(_MONTHS, 1) if word.lower().startswith(name)]
    others = [w for w in words if w.isalpha() and w.lower()[:3] not in (*_MONTHS, *_DAYS) and w.lower() != "of"]
    numbers = [word for word in words if word.isdigit()]
    if others or len(months) > 1 or not 1 <= len(numbers) <= 3 or len(numbers) + len(months) > 3:
        return []
    years = [word for word in numbers if len(word) == 4]
    rest = [int(word) for word in numbers if len(word) < 4]
    if len(years) > 1 or len(rest) + len(months) != 2:
        return []
    year = years[0] if years else _NO_YEAR
    if months:
        pairs = [(months[0], rest[0])]
    elif years and words[0] == year:
        pairs = [(rest[0], rest[1])]
    else:
        pairs = [(rest[1], rest[0]), (rest[0], rest[1])]
    return [f"{year}-{month:02d}-{at:02d}{clock}" for month, at in dict.fromkeys(pairs) if _is_date(year, month, at)]


def require_date_form(path: str, text: str) -> None:
    """InputError where a text has another form than the accepted one, with the date where that can be told."""
    meant = [] if _ACCEPTED.fullmatch(text) else dates_meant(text)
    if not meant:
        return
    hint = 'write "YYYY-MM-DD HH:MM", years 1950 to 2050'
    if len(meant) > 1:
        hint += f", here {' or '.join(meant)}"
    elif meant[0].startswith(_NO_YEAR):
        hint += f", here {meant[0]} with its year"
    alone = meant[0] if len(meant) == 1 and not meant[0].startswith(_NO_YEAR) else ""
    error: _core.InputError = bad_input(
        f'{path} = "{text}"', reason="not a date and time", hint=hint, suggestion=alone, quoted=True
    )
    error.path, error.value = path, text
    raise error


def _clock_cut_off(text: str) -> tuple[str, str]:
    """The text without a time of day, and that time."""
    found = _TIME.search(text)
    if found is None:
        return text, ""
    hour, minute, half = int(found[1]), found[2] or "00", (found[3] or found[4] or "").lower()
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    return text[: found.start()], f" {hour:02d}:{minute}"


def _is_date(year: str, month: int, day: int) -> bool:
    try:
        date(_ANY_YEAR if year == _NO_YEAR else int(year), month, day)
    except ValueError:
        return False
    return True
