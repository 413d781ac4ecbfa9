"""Climates from measured weather: `Climate.from_hourly` and `Climate.from_daily`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ..model.coordinates import read_coordinate
from ..model.errors import bad_input, checked_call
from . import climate_fit
from .hourly_series import HourlySeries, round_offset, to_hourly

if TYPE_CHECKING:
    from ..model.classes import Climate


@checked_call
def from_hourly(
    cls: type[Climate],
    frame: Any,
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
    frame
        A pandas DataFrame with columns ``ghi`` [W/m2] and ``temp_air`` [C]; ``dhi`` or ``dni`` [W/m2] where
        measured, else the diffuse part is split off after Erbs, Klein & Duffie 1982. A `DatetimeIndex` with a
        time zone. Finer steps are averaged.
    label
        Which moment of its interval a time stamp names: ``"left"``, ``"right"`` or ``"centre"``.
    latitude, longitude
        Of the place [deg], or texts such as ``"44.5 N"``; not given: ``frame.attrs``, and failing that the
        :class:`Site` that the climate is given to, which then has to be where the weather was measured.
    fill
        ``"interpolate"`` fills gaps of up to 3 hours by straight lines, in every column; otherwise any gap is
        an error.
    typical_year
        A year put together from months of different years, hourly on one 365-day cycle (29 February dropped).
        Not given: recognised by its years.

    The normals are plain means; with about five years or more `clearness_days` is ``"record"``, so that generated
    days have the measured distribution. `clearness_lag1` is the lag-1 correlation of the normal scores of daily
    clearness (ranked by month over all years), which one year gives only to about +-0.1; temperature likewise,
    its correlation with clearness pooled by season. Days that don't follow their predecessor are left out of the
    correlations.
    """
    _require_frame(frame)
    hours = to_hourly(frame, label=label, fill=fill, typical_year=typical_year)
    attributes = getattr(frame, "attrs", {})
    latitude = attributes.get("latitude") if latitude is None else latitude
    longitude = attributes.get("longitude") if longitude is None else longitude
    if latitude is None or longitude is None:
        return UnplacedClimate(cls, hours, name, source)
    return cls(**_values(hours, latitude, longitude, name, source))


class UnplacedClimate:
    """Measured weather whose place is not known yet: give it to a ``Site``, or call :meth:`at`."""

    def __init__(self, climate_class: type[Climate], hours: HourlySeries, name: str, source: str) -> None:
        self._class, self._hours, self.name, self.source = climate_class, hours, name, source

    def at(self, latitude: float | str, longitude: float | str) -> Climate:
        """The climate of this weather, had it been measured at a place [deg]."""
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
    frame: Any,
    *,
    latitude: float | str,
    longitude: float | str,
    utc_offset_h: float | None = None,
    name: str = "",
    source: str = "",
) -> Climate:
    """Make a climate from daily weather, expanded to hours.

    A pandas DataFrame with columns ``ghi_kwh_m2`` [kWh/m2 a day], ``temp_min_c`` and ``temp_max_c`` [C] and a
    `DatetimeIndex` of days in a row.
    The day's light follows the mean profile of Collares-Pereira & Rabl 1979, without clouds of its own;
    temperature the shape of Erbs, Klein & Beckman 1983 about (min + max)/2. `utc_offset_h`: of the clock whose
    midnight parts the days; longitude / 15, rounded, where not given.
    """
    _require_frame(frame)
    latitude, longitude = _place(latitude, longitude)
    offset = round_offset(longitude) if utc_offset_h is None else utc_offset_h
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
    record = hours.to_record(latitude, longitude)
    return {
        "latitude": latitude,
        "longitude": longitude,
        "weather_series": record,
        "name": name,
        "source": source,
        **climate_fit.fit(record),
    }
