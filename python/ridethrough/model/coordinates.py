"""Coordinates as people write them: decimal degrees, with a sign or a letter, or degrees with minutes and seconds."""

from __future__ import annotations

import re
from typing import Any

from .checks import is_number
from .errors import bad_input

_LIMITS = {"latitude": 90.0, "longitude": 180.0}
_ALLOWED = {
    "latitude": '-90 to 90 deg, such as 44.5, "44.5 N", "44 30 N" or "44°30\' N"',
    "longitude": '-180 to 180 deg, such as -110.2, "110.2 W", "110 12 W" or "110°12\' W"',
    "coordinates": 'degrees, such as "44.5, -110.2" or "44°30\' N, 110°12\' W"',
}
AXES = frozenset(_LIMITS)
_LETTERS = {"N": ("latitude", 1), "S": ("latitude", -1), "E": ("longitude", 1), "W": ("longitude", -1)}
_WORDS = {"NORTH": "N", "SOUTH": "S", "EAST": "E", "WEST": "W"}
_PLAIN = str.maketrans({"−": "-", "–": "-", "º": "°", "’": "'", "′": "'", "”": '"', "″": '"'})
_ONE = re.compile(
    r"""(?P<before>[NSEW])?\s*(?P<sign>[-+])?\s*(?P<degrees>\d+(?:\.\d+)?)\s*(?:°|D(?:EG(?:REES?)?)?)?
    (?:\s*(?P<minutes>\d+(?:\.\d+)?)\s*(?:'|M(?:IN(?:UTES?)?)?)?
    (?:\s*(?P<seconds>\d+(?:\.\d+)?)\s*(?:"|''|SEC(?:ONDS?)?)?)?)?\s*(?P<after>[NSEW])?""",
    re.VERBOSE,
)


def read_coordinate(name: str, value: Any, path: str = "") -> float:
    """``name`` is "latitude" or "longitude"; a number, or a text such as 44.5 N or 44°30' N [deg].

    ``path`` is what an error calls it.
    """
    limit, path = _LIMITS[name], path or name
    if isinstance(value, str):
        axis, degrees = _read(name, value, path, value)
        if axis not in ("", name):
            raise bad_input(path, value, reason=f"that is a {axis}", allowed=f"{-limit:g} to {limit:g} deg")
    elif not is_number(value):
        raise bad_input(path, value, allowed=_ALLOWED[name])
    else:
        degrees = float(value)
    if not -limit <= degrees <= limit:
        raise bad_input(path, value, allowed=f"{-limit:g} to {limit:g} deg")
    return degrees


def coordinates_text(latitude: float, longitude: float, between: str = ", ") -> str:
    """Degrees with their directions."""
    north, east = ("N" if latitude >= 0 else "S"), ("E" if longitude >= 0 else "W")
    return f"{abs(latitude):g} {north}{between}{abs(longitude):g} {east}"


def read_all(owner: str, values: dict[str, Any]) -> dict[str, Any]:
    """The values, with coordinates that are texts as degrees; errors call them by the owner's name too."""
    texts = {name: text for name, text in values.items() if name in _LIMITS and isinstance(text, str)}
    return {**values, **{name: read_coordinate(name, text, f"{owner}.{name}") for name, text in texts.items()}}


def coordinates(text: str) -> tuple[float, float]:
    """Latitude and longitude [deg] of a text such as ``44.5, -110``, ``44°30' N 110° W`` or ``N44 30, W110 0``.

    Without letters the latitude comes first. Names of places are not known here.
    """
    parts = _two(text)
    if parts is None:
        raise bad_input("coordinates", text, reason="must be two", allowed=_ALLOWED["coordinates"])
    read = [_read("coordinates", part, "coordinates", text) for part in parts]
    if read[0][0] == "longitude" or read[1][0] == "latitude":
        read.reverse()
    for (axis, _), name in zip(read, _LIMITS, strict=True):
        if axis not in ("", name):
            raise bad_input("coordinates", text, reason=f"two of {axis}", allowed="a latitude and a longitude")
    latitude, longitude = (read_coordinate(name, degrees) for (_, degrees), name in zip(read, _LIMITS, strict=True))
    return latitude, longitude


def _two(text: str) -> list[str] | None:
    """At a comma or semicolon, after the first letter, before the second letter, or at the only space."""
    plain = _upper(text)
    for pattern in (
        r"^([^,;]+)[,;]([^,;]+)$",
        r"^([^NSEW]+[NSEW])\s*([^NSEW]+[NSEW])$",
        r"^([NSEW][^NSEW]+)([NSEW][^NSEW]+)$",
        r"^(\S+)\s+(\S+)$",
    ):
        if found := re.match(pattern, plain.strip()):
            return list(found.groups())
    return None


def _upper(text: str) -> str:
    plain = text.translate(_PLAIN).upper()
    for word, letter in _WORDS.items():
        plain = re.sub(rf"\b{word}\b", letter, plain)
    return plain


def _read(name: str, text: str, path: str, whole: str) -> tuple[str, float]:
    """Axis that a letter says, "" without one, and degrees; errors call it by its path and show the whole text."""
    found = _ONE.fullmatch(_upper(text).strip())
    if not found:
        hint = "names of places are not known: read the degrees off a map"
        if re.search(r"\d,\d", whole):
            hint = "decimals with a point"
        elif name in _LIMITS and _two(whole) and re.search(r"\d", whole):
            hint = "these are two: latitude and longitude are given one by one"
        raise bad_input(path, whole, allowed=_ALLOWED[name], hint=hint)
    letters = [x for x in (found["before"], found["after"]) if x]
    if len(letters) > 1:
        raise bad_input(path, whole, allowed="one of the letters N, S, E, W")
    if letters and found["sign"] == "-":
        raise bad_input(path, whole, allowed="a minus sign or a letter, not both")
    parts = [float(found[x] or 0) for x in ("degrees", "minutes", "seconds")]
    if found["minutes"] and (max(parts[1:]) >= 60 or "." in found["degrees"]):
        raise bad_input(path, whole, allowed="whole degrees before minutes, minutes and seconds under 60")
    axis, sign = _LETTERS[letters[0]] if letters else ("", -1 if found["sign"] == "-" else 1)
    return axis, sign * (parts[0] + parts[1] / 60 + parts[2] / 3600)
