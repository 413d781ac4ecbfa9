"""Dates in other forms: which was meant is told where it can be, and never guessed where it can't."""

from __future__ import annotations

import pytest
import ridethrough as rt
from input_fixture import trip
from ridethrough.model.date_forms import dates_meant


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("9/24/2026", ["2026-09-24"]),
        ("24.9.2026", ["2026-09-24"]),
        ("24-09-2026 15:00", ["2026-09-24 15:00"]),
        ("2026/09/24", ["2026-09-24"]),
        ("2026-9-4 8:00", ["2026-09-04 08:00"]),
        ("Sep 24, 2026 3 pm", ["2026-09-24 15:00"]),
        ("Thursday 24th of September 2026, 12 am", ["2026-09-24 00:00"]),
        ("Sept 24", ["YYYY-09-24"]),
        ("24.9.", ["YYYY-09-24"]),
        ("9/5/2026", ["2026-05-09", "2026-09-05"]),  # day first in most countries, month first in some
        ("5/5/2026", ["2026-05-05"]),
        ("29 Feb 2026", []),
        ("31.9.2026", []),
        ("next Friday", []),
        ("tomorrow 15:00", []),
        ("24", []),
        ("", []),
    ],
)
def test_the_date_that_is_meant(text: str, meant: list[str]) -> None:
    assert dates_meant(text) == meant


@pytest.mark.parametrize(
    ("text", "told", "suggestion"),
    [
        ("9/24/2026", "HH:MM\", years 1950 to 2050; did you mean '2026-09-24'?", "2026-09-24"),
        ("9/5/2026", "here 2026-05-09 or 2026-09-05", ""),
        ("Sept 24", "here YYYY-09-24 with its year", ""),
    ],
)
def test_the_error_has_the_date(text: str, told: str, suggestion: str) -> None:
    with pytest.raises(rt.InputError) as refused:
        trip(start=text)
    error = refused.value
    assert told in str(error) and str(error).startswith(f'Trip.start = "{text}": not a date and time; write "YYYY')
    assert (error.path, error.value, error.suggestion) == ("Trip.start", text, suggestion)
    if suggestion:
        assert trip(start=suggestion).start == f"{suggestion} 15:00"
