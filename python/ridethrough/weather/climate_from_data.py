"""Climates from measured weather: `Climate.from_hourly` and `Climate.from_daily`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ..model.configuration import Unplaced
from ..model.coordinates import read_coordinate
from ..model.errors import bad_input, checked_call
from . import climate_fit
from .hourly_series import HourlySeries, offset_of_days, to_hourly

if TYPE_CHECKING:
    import pandas

    from ..model.classes import Climate


@checked_call
def from_hourly(
    cls: type[Climate],
    frame: pandas.DataFrame,
    *,
    label: str,
    latitude: float | str | None = None,
    longitude: float | str | None = None,
    fill: str | None = None,
    typical_year: bool | None = None,
    name: str = "",
    source: str = "",
) -> Climate | UnplacedClimate:
    """Make a climate, with its record for replay, from hourly or finer weather.

    Parameters
    ----------
    frame : pandas.DataFrame
        With columns ``ghi`` [W/m2] and ``temp_air`` [C]; ``dhi`` or ``dni`` [W/m2] where measured, else the diffuse
        part is split off after Erbs, Klein & Duffie 1982. A `DatetimeIndex` with a time zone. Finer steps are averaged.
    label : {"left", "right", "centre"}
        Which moment of its interval a time stamp names.
    latitude, longitude : float or str, optional
        Of the place [deg], or texts such as ``"44.5 N"``; not given: ``frame.attrs``, and failing that the
        :class:`Site` that the climate is given to, which then has to be where the weather was measured.
    fill : {"interpolate"}, optional
        Gaps of up to 3 hours are filled by straight lines, in every column; otherwise any gap is an error.
    typical_year : bool, optional
        A year put together from months of different years, hourly on one 365-day cycle (29 February dropped).
        Not given: recognised by its years.
    name, source : str
        What the place is called, and where the record is from.

    Returns
    -------
    Climate or UnplacedClimate
        The latter where the place is not known yet: a :class:`Site` takes it.

    Raises
    ------
    InputError
        A doubt about the frame: its index, gaps, values that cannot be.

    Notes
    -----
    The normals are plain means; with about five years or more `clearness_days` is ``"record"``, so that generated
    days have the measured distribution. `clearness_lag1` is the lag-1 correlation of the normal scores of daily
    clearness (ranked by month over all years), which one year gives only to about +-0.1; temperature likewise,
    its correlation with clearness pooled by season. Days that don't follow their predecessor are left out of the
    correlations.

    Examples
    --------
    >>> import pandas
    >>> hours = pandas.date_range("2019-01-01", "2020-12-31 23:00", freq="h", tz="Etc/GMT+5")
    >>> sun = (400 - 80 * abs(hours.hour - 12)).to_numpy().clip(0)
    >>> frame = pandas.DataFrame({"ghi": sun, "temp_air": 12.0 + hours.hour / 10}, index=hours)
    >>> climate = rt.Climate.from_hourly(frame, label="left", latitude=36.1, longitude=-79.95)
    >>> climate.ghi_kwh_m2_day[5]
    2.0
    """
    _require_frame(frame)
    hours = to_hourly(frame, label=label, fill=fill, typical_year=typical_year)
    attributes = getattr(frame, "attrs", {})
    latitude = attributes.get("latitude") if latitude is None else latitude
    longitude = attributes.get("longitude") if longitude is None else longitude
    if latitude is None or longitude is None:
        return UnplacedClimate(cls, hours, name, source)
    return cls(**_values(hours, latitude, longitude, name, source))


class UnplacedClimate(Unplaced):
    """Measured weather whose place is not known yet: give it to a ``Site``, or call :meth:`at`.

    Attributes
    ----------
    name, source : str
        What it is called, and where it is from.

    Examples
    --------
    >>> import pandas
    >>> hours = pandas.date_range("2019-01-01", "2020-12-31 23:00", freq="h", tz="Etc/GMT+5")
    >>> sun = (400 - 80 * abs(hours.hour - 12)).to_numpy().clip(0)
    >>> weather = rt.Climate.from_hourly(pandas.DataFrame({"ghi": sun, "temp_air": 12.0}, index=hours), label="left")
    >>> round(weather.ghi_kwh_m2_day[0], 3), type(rt.Site(latitude=36.1, longitude=-79.95, climate=weather).climate)
    (2.0, <class 'ridethrough.Climate'>)
    """

    def __init__(self, climate_class: type[Climate], hours: HourlySeries, name: str, source: str) -> None:
        self._class, self._hours, self.name, self.source = climate_class, hours, name, source

    @checked_call
    def at(self, latitude: float | str, longitude: float | str) -> Climate:
        """The climate of this weather, had it been measured at a place.

        Parameters
        ----------
        latitude, longitude : float or str
            Of the place [deg], north and east positive.

        Returns
        -------
        Climate
            With the hours, and the normals and persistence fitted to them.

        Raises
        ------
        InputError
            Coordinates out of range, or light at hours when the Sun is down there.
        """
        return self._class(**_values(self._hours, latitude, longitude, self.name, self.source))

    @property
    def ghi_kwh_m2_day(self) -> tuple[float, ...]:
        """Monthly means of the daily global horizontal irradiation [kWh/m2]."""
        return tuple(mean * 24 / 1000 for mean in climate_fit.monthly_means(self._hours, self._hours.ghi_w_m2))

    @property
    def air_temp_c(self) -> tuple[float, ...]:
        """Monthly means of the air temperature [degC]."""
        return tuple(climate_fit.monthly_means(self._hours, self._hours.air_temp_c))

    def __repr__(self) -> str:
        return f"<UnplacedClimate of {len(self._hours.ghi_w_m2)} hours: give it to a Site>"


@checked_call
def from_daily(
    cls: type[Climate],
    frame: pandas.DataFrame,
    *,
    latitude: float | str,
    longitude: float | str,
    utc_offset_h: float | None = None,
    name: str = "",
    source: str = "",
) -> Climate:
    """Make a climate from daily weather, expanded to hours.

    The day's light follows the mean profile of Collares-Pereira & Rabl 1979, without clouds of its own;
    temperature the shape of Erbs, Klein & Beckman 1983 about (min + max)/2.

    Parameters
    ----------
    frame : pandas.DataFrame
        With columns ``ghi_kwh_m2`` [kWh/m2 a day], ``temp_min_c`` and ``temp_max_c`` [C] and a `DatetimeIndex` of days
        in a row.
    latitude, longitude : float
        Of the place [deg].
    utc_offset_h : float, optional
        Of the clock whose midnight parts the days; longitude / 15, rounded, where not given.
    name, source : str
        What the place is called, and where the record is from.

    Returns
    -------
    Climate
        With its record for replay.

    Raises
    ------
    InputError
        A doubt about the frame: its index, gaps, values that cannot be.

    Examples
    --------
    >>> climate = rt.Climate.from_daily(record, latitude=36.1, longitude=-79.95)
    >>> round(climate.ghi_kwh_m2_day[0], 1)
    1.6
    """
    _require_frame(frame)
    latitude, longitude = _place(latitude, longitude)
    offset = offset_of_days(longitude, utc_offset_h)
    hours = climate_fit.hours_of_days(frame, latitude, longitude, offset)
    return cls(**_values(hours, latitude, longitude, name, source))


def _require_frame(frame: object) -> None:
    if not (hasattr(frame, "columns") and hasattr(frame, "index")):
        raise bad_input("weather frame", frame, reason="must be a pandas DataFrame")


def _place(latitude: float | str, longitude: float | str) -> tuple[float, float]:
    return read_coordinate("latitude", latitude), read_coordinate("longitude", longitude)


def _values(
    hours: HourlySeries, latitude: float | str, longitude: float | str, name: str, source: str
) -> dict[str, Any]:
    latitude, longitude = _place(latitude, longitude)
    series = hours.to_series(latitude, longitude)
    return {
        "latitude": latitude,
        "longitude": longitude,
        "weather_series": series,
        "name": name,
        "source": source,
        **climate_fit.fit(series),
    }
