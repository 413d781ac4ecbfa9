"""Open measured and reanalysis series from the internet, through pvlib's readers, kept in files.

Never run against the live services where this was written, which has no network: the tests play recorded and documented
replies. Owners: NASA's POWER project (satellite irradiation and MERRA-2 temperature, whole Earth) and the
SURFRAD network of NOAA (measured, United States); both ask to be named.
"""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import importlib
import io
import os
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, cast

from ridethrough._core import InputError

from ..model.classes import Climate
from ..model.coordinates import read_coordinate
from ..model.errors import bad_input, checked_call, missing_package
from . import climate_from_data
from .hourly_series import round_offset

FIRST_YEAR = {"power": 2001, "surfrad": 1995}  # hourly irradiation begins there
SURFRAD = ("bon", "dra", "fpk", "gwn", "psu", "sxf", "tbl")
_HEAD = "# ridethrough weather cache 1"


@checked_call
def fetch_reanalysis(
    latitude: float | str,
    longitude: float | str,
    *,
    first_year: int,
    last_year: int,
    cache: str | Path | None = None,
) -> Climate:
    """A climate of hourly satellite irradiation and reanalysis temperature (NASA POWER) at any place.

    ``cache`` is the folder where years are kept, ``~/.cache/ridethrough`` by default; a year that is there is not
    fetched again. Five years or more give the days' own distribution.
    """
    at = read_coordinate("latitude", latitude), read_coordinate("longitude", longitude)
    years = _years("power", first_year, last_year)
    iotools, pandas = _import("pvlib").iotools, _import("pandas")

    def year(number: int) -> tuple[Any, dict[str, Any]]:
        frame, meta = iotools.get_nasa_power(
            *at, f"{number}-01-01", f"{number}-12-31", parameters=["ghi", "dhi", "temp_air"]
        )
        # Days are given as whole ones; the index begins each hour.
        return frame, {"latitude": at[0], "longitude": at[1], "altitude_m": meta.get("altitude")}

    name = f"power_{at[0]:.3f}_{at[1]:.3f}"
    frame, about = _kept(pandas, _folder(cache), name, years, year, "the POWER project's server")
    return _climate(frame, about, f"NASA POWER, {first_year} to {last_year}", "")


@checked_call
def fetch_measured(station: str, *, first_year: int, last_year: int, cache: str | Path | None = None) -> Climate:
    """A climate of measured irradiation and temperature of a SURFRAD station (``"bon"``, ``"dra"``, ...)."""
    if station not in SURFRAD:
        raise bad_input("station", station, allowed=", ".join(SURFRAD))
    years = _years("surfrad", first_year, last_year)
    iotools, pandas = _import("pvlib").iotools, _import("pandas")

    def year(number: int) -> tuple[Any, dict[str, Any]]:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of days that are not there, which are found as gaps below
            frame, meta = iotools.get_surfrad(station, f"{number}-01-01", f"{number}-12-31")
        # The files give western longitudes without a sign; all stations lie west of Greenwich.
        about = {"latitude": meta["latitude"], "longitude": -abs(meta["longitude"]), "altitude_m": meta["elevation"]}
        kept = frame[["ghi", "dhi", "temp_air"]].resample("1h").mean()
        kept[["ghi", "dhi"]] = kept[["ghi", "dhi"]].clip(lower=0)  # a pyranometer reads a little below 0 at night
        return kept, about | {"name": meta["name"]}

    frame, about = _kept(pandas, _folder(cache), f"surfrad_{station}", years, year, "the SURFRAD archive")
    return _climate(frame, about, f"SURFRAD, {first_year} to {last_year}", about.get("name", station))


def _climate(frame: Any, about: dict[str, Any], source: str, name: str) -> Climate:
    # Days are parted at the place's own midnight, not at that of Greenwich, which may lie in its daylight.
    zone = datetime.timezone(datetime.timedelta(hours=round_offset(about["longitude"])))
    placed = climate_from_data.from_hourly(
        Climate,
        frame.set_axis(frame.index.tz_convert(zone)),
        label="left",
        latitude=about["latitude"],
        longitude=about["longitude"],
        fill="interpolate",
        name=name,
        source=source,
    )
    return cast("Climate", placed)


def _years(source: str, first: int, last: int) -> range:
    for name, year in (("first_year", first), ("last_year", last)):
        if isinstance(year, bool) or not isinstance(year, int) or not FIRST_YEAR[source] <= year <= 2100:
            raise bad_input(name, year, allowed=f"whole years from {FIRST_YEAR[source]} on")
    if last < first:
        raise bad_input("last_year", last, allowed=f"first_year = {first} or later")
    return range(first, last + 1)


def _folder(cache: str | Path | None) -> Path:
    if cache is not None:
        return Path(cache).expanduser()
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "ridethrough"


def _kept(
    pandas: Any,
    folder: Path,
    name: str,
    years: range,
    fetch: Callable[[int], tuple[Any, dict[str, Any]]],
    where: str,
) -> tuple[Any, dict[str, Any]]:
    """All years in a row; each is kept as soon as it is there, so that nothing is lost where a later one fails."""
    frames = []
    about: dict[str, Any] = {}
    for year in years:
        path = folder / f"{name}_{year}.csv"
        if not path.exists():
            with _told(where, year):
                frame, about = fetch(year)
            if not {"ghi", "dhi", "temp_air"} <= set(frame.columns):
                raise bad_input(
                    f"{where}, {year}", reason="sent no ghi, dhi and temp_air", hint="has its format changed?"
                )
            _write(path, frame[["ghi", "dhi", "temp_air"]], about)
        frame, about = _read(pandas, path)
        frames.append(frame)
    return pandas.concat(frames), about


@contextlib.contextmanager
def _told(where: str, year: int) -> Iterator[None]:
    """One clear line where a server cannot be reached or says no."""
    try:
        yield
    except InputError:
        raise
    except OSError as error:  # what requests and urllib raise: no network, no such name, refused, timed out
        raise bad_input(
            f"{where}, {year}",
            reason=f"could not be reached or refused ({type(error).__name__}); years that were fetched are kept",
            hint="without a network give twelve normals, a weather file, or nothing: a site without a climate has the "
            "worldwide default",
        ) from None
    except (ValueError, KeyError, IndexError, TypeError) as error:
        raise bad_input(f"{where}, {year}", reason=f"sent something else than documented ({_short(error)})") from None


def _short(error: BaseException) -> str:
    return f"{type(error).__name__}: {str(error).splitlines()[0][:120]}" if str(error) else type(error).__name__


def _write(path: Path, frame: Any, about: dict[str, Any]) -> None:
    """At once or not at all; the first line holds a digest of the rest."""
    text = "".join(f"# {key}: {value}\n" for key, value in about.items()) + frame.round(3).to_csv(index_label="time")
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_suffix(f".{os.getpid()}.part")
    part.write_text(f"{_HEAD} {_digest(text)}\n{text}", encoding="utf-8")
    part.replace(path)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _read(pandas: Any, path: Path) -> tuple[Any, dict[str, Any]]:
    try:
        first, _, text = path.read_text(encoding="utf-8").partition("\n")
    except (OSError, UnicodeDecodeError):
        first = text = ""
    if first != f"{_HEAD} {_digest(text)}":
        raise bad_input(
            str(path), reason="this file of the weather cache is damaged", hint="delete it and fetch the year again"
        )
    lines = text.split("\n")
    notes = [line for line in lines if line.startswith("# ")]
    about: dict[str, Any] = dict(line[2:].split(": ", 1) for line in notes)
    about |= {key: float(about[key]) for key in ("latitude", "longitude")}
    frame = pandas.read_csv(io.StringIO("\n".join(lines[len(notes) :])), index_col="time", parse_dates=["time"])
    return frame, about


def _import(name: str) -> Any:
    try:
        return importlib.import_module(name)
    except ImportError:
        raise missing_package(f"fetching weather needs {name}", "pip install '.[weather]' in a checkout") from None
