"""Suggests what a scenario file with a syntax error was meant to say."""

from __future__ import annotations

import re

_NUMBER = r"(-?\d[\d.]*)\s*$"
# Patterns before and after the place where the parser gave up, and the suggestion.
_LIKELY = (
    (r"^\s*start\s*=", r"", 'dates stand in quotes: "2026-09-22 15:00"'),
    (r"\d$", r",\d{3}(?!\d)", "thousands have no comma, and decimals a point: 1500, 1.5"),
    (r"\d$", r",\d", "decimals are written with a point: 1.5"),
    (_NUMBER, r"((?:[^\W\d_]|[%\u00b0])[^#,\]}\"']*)", 'a number with its unit stands in quotes: "{number} {unit}"'),
    (r"[=,\[]\s*$", r"\.\d", "a number begins with a digit: 0.5"),
    (r"=\s*$", r"(?:True|False|yes|no|on|off)\b", "a yes or no is written true or false"),
    (r"=\s*$", r"[^\W\d_]", 'words stand in quotes: "none"'),
    (r"=\s*$", r"#|$", "a value is missing after ="),
)


def explain_toml_error(text: str, message: str) -> str:
    """A reason for a syntax error, from the place that the parser names; "" where none is likely."""
    lines = text.splitlines()
    place = re.search(r"line (\d+), column (\d+)", message)
    number, column = (int(place[1]), int(place[2])) if place else (len(lines), len(lines[-1]) + 1 if lines else 1)
    if not 1 <= number <= len(lines):
        return ""
    before, after = lines[number - 1][: column - 1], lines[number - 1][column - 1 :]
    for left, right, said in _LIKELY:
        if (found := re.search(left, before)) and (rest := re.match(right, after)):
            if left != _NUMBER:
                return f"; {said}"
            return "; " + said.format(number=found[1], unit=rest[1].strip())
    return ""
