"""Climates from weather files: TMY3 (.csv), EPW (.epw) and TMY2 (.tm2), read by pvlib (extra "weather"); daily CSV."""

from __future__ import annotations

import importlib
import math
from os import PathLike
from pathlib import Path
from typing import Any, cast

from ..model.classes import Climate
from ..model.errors import bad_input, checked_call, missing_package
from . import climate_from_data, daily_csv
from .climate_fit import DAILY_COLUMNS

_KINDS = {".csv": "TMY3", ".epw": "EPW", ".tm2": "TMY2"}
_MISSING_EPW = {"ghi": 9999.0, "dhi": 9999.0, "temp_air": 99.9}  # EPW data dictionary


@checked_call
def read_weather(
    path: str | Path,
    *,
    fill: str | None = None,
    latitude: float | None = None,
    longitude: float | None = None,
) -> Climate:
    """Read a weather file into a climate with its record, for replay (needs pvlib).

    Labels and clock go by kind: TMY3 stamps the end of the hour, pvlib's EPW and TMY2 readers its start; local standard
    time.

    Parameters
    ----------
    path : str or Path
        The kind goes by the ending, and the content must agree: ``.csv`` TMY3 or daily (its columns are on the page
        on climates), ``.epw`` EPW, ``.tm2`` TMY2.
    fill : {"interpolate"}, optional
        Gaps of up to 3 hours are filled by straight lines; otherwise any gap is an error.
    latitude, longitude : float, optional
        Of a daily file that does not give its place [deg]; the others do.

    Returns
    -------
    Climate
        At the file's place.

    Raises
    ------
    InputError
        No such file, another kind of file, or a doubt about its content.

    Examples
    --------
    >>> rt.read_weather("nowhere.epw")
    Traceback (most recent call last):
    ridethrough.InputError: nowhere.epw: no such file
    """
    if not isinstance(path, (str, PathLike)):
        raise bad_input("path", path, allowed="the path of a weather file")
    path = Path(path)
    if not path.is_file():
        raise bad_input(str(path), reason="no such file")
    kind = _KINDS.get(path.suffix.lower())
    if kind is None:
        raise bad_input(
            str(path), reason=f"unknown ending {path.suffix!r}; known are .csv (TMY3 or daily), .epw (EPW), .tm2 (TMY2)"
        )
    found = _sniff(path)
    if kind == "TMY3" and found is None and daily_csv.is_daily_csv(_head(path)):
        return daily_csv.read_daily_csv(path, latitude=latitude, longitude=longitude)
    if found != kind:
        daily = f"a daily one has the columns date, {', '.join(DAILY_COLUMNS)}" if kind == "TMY3" else ""
        hint = f"its content looks like {found}" if found else daily
        raise bad_input(str(path), reason=f"not {'an' if kind == 'EPW' else 'a'} {kind} file", hint=hint)
    iotools = _iotools()
    try:
        frame, meta = _READERS[kind](iotools, path)
    except (ValueError, KeyError, IndexError, TypeError) as error:
        raise bad_input(str(path), reason=f"damaged {kind} file ({error})") from error
    placed = climate_from_data.from_hourly(
        Climate,
        frame,
        latitude=float(meta["latitude"]),
        longitude=float(meta["longitude"]),
        label="right" if kind == "TMY3" else "left",
        fill=fill,
        typical_year=True if kind == "TMY2" else None,  # its reader gives all months one year
        name=str(meta.get("Name") or meta.get("City") or meta.get("city") or "").strip('" '),
        source=f"{kind} file {path.name}",
    )
    return cast("Climate", placed)


def _head(path: Path) -> str:
    with path.open("rb") as file:
        return file.read(4096).decode("latin-1").removeprefix("\xef\xbb\xbf")


def _sniff(path: Path) -> str | None:
    head = _head(path).splitlines()
    first, second = [*head, "", ""][:2]
    if first.upper().startswith("LOCATION,"):
        return "EPW"
    if second.startswith("Date (MM/DD/YYYY),Time (HH:MM)") and first.count(",") >= 6:
        return "TMY3"
    words = first.split()
    if len(words) >= 10 and words[0].isdigit() and words[-7] in "NS" and words[-4] in "EW":
        return "TMY2"
    return None


def _iotools() -> Any:
    try:
        return importlib.import_module("pvlib").iotools
    except ImportError:
        raise missing_package("weather files need pvlib", "pip install '.[weather]' in a checkout") from None


def _read_tmy3(iotools: Any, path: Path) -> tuple[Any, dict[str, Any]]:
    frame, meta = iotools.read_tmy3(path, map_variables=True)
    return frame[["ghi", "dhi", "temp_air"]], meta


def _read_epw(iotools: Any, path: Path) -> tuple[Any, dict[str, Any]]:
    frame, meta = iotools.read_epw(path)
    frame = frame[["ghi", "dhi", "temp_air"]].astype(float)
    for name, missing in _MISSING_EPW.items():
        frame[name] = frame[name].mask(frame[name] >= missing, math.nan)
    return frame, meta


def _read_tmy2(iotools: Any, path: Path) -> tuple[Any, dict[str, Any]]:
    frame, meta = iotools.read_tmy2(path)
    frame = frame[["GHI", "DHI", "DryBulb"]].rename(columns={"GHI": "ghi", "DHI": "dhi", "DryBulb": "temp_air"})
    frame["temp_air"] = frame["temp_air"] / 10  # the file holds tenths of a degree
    return frame, meta


_READERS = {"TMY3": _read_tmy3, "EPW": _read_epw, "TMY2": _read_tmy2}
