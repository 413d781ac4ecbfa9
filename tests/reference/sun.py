"""Where the Sun stands and what it would give without an atmosphere, hour by clock hour of whole calendar days.

Position: Astronomical Almanac's low-precision formulas (Michalsky 1988). Geometry: Duffie & Beckman ch. 1.
"""

from dataclasses import dataclass

import numpy as np

SOLAR_CONSTANT = 1361.0  # W/m2, Kopp & Lean 2011
PARTS = 12  # an hour is integrated at the middles of so many equal parts
DARK_DAY_WH = 0.5e6 / 3600  # a day with less than .5 MJ/m2 yields nothing


def wrap(degrees):
    """To [-180, 180)."""
    return (degrees + 180) % 360 - 180


def sun_vector(day, utc_hour):
    """Declination [rad], hour angle at Greenwich [deg], inverse squared distance."""
    n = day - 10957.5 + utc_hour / 24  # days from 2000-01-01 12 h
    anomaly = np.radians(357.528 + 0.9856003 * n)
    longitude = np.radians(280.460 + 0.9856474 * n + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    obliquity = np.radians(23.439 - 0.0000004 * n)
    right_ascension = np.degrees(np.arctan2(np.cos(obliquity) * np.sin(longitude), np.cos(longitude)))
    declination = np.arcsin(np.sin(obliquity) * np.sin(longitude))
    distance = 1.00014 - 0.01671 * np.cos(anomaly) - 0.00014 * np.cos(2 * anomaly)
    sidereal_h = 6.697375 + 0.0657098242 * n + utc_hour
    return declination, wrap(15 * sidereal_h - right_ascension), distance**-2.0


def sunset_angle(latitude_rad, declination):
    """cos = -tan(latitude) tan(declination); 0 in the polar night, pi under the midnight Sun."""
    lit = np.sin(latitude_rad) * np.sin(declination)
    swing = np.maximum(np.cos(latitude_rad) * np.cos(declination), 1e-300)
    return np.arccos(np.clip(-lit / swing, -1, 1))


def daily_extraterrestrial(latitude_deg, day):
    """Wh/m2 on the horizontal, with the declination of 12 h UTC (D&B 1.10.3)."""
    latitude = np.radians(latitude_deg)
    declination, _, eccentricity = sun_vector(day, 12.0)
    angle = sunset_angle(latitude, declination)
    shape = np.cos(latitude) * np.cos(declination) * np.sin(angle) + angle * np.sin(latitude) * np.sin(declination)
    return 24 / np.pi * SOLAR_CONSTANT * eccentricity * shape


def day_number(date):
    return np.datetime64(date, "D").astype(int)


def month_of(day):
    """0 to 11."""
    return np.asarray(day).astype("datetime64[D]").astype("datetime64[M]").astype(int) % 12


def day_of_year(day):
    dates = np.asarray(day).astype("datetime64[D]")
    return (dates - dates.astype("datetime64[Y]").astype("datetime64[D]")).astype(int) + 1


def monthly_extraterrestrial(latitude_deg):
    """Mean of each month over a year without a leap day."""
    days = np.arange(day_number("2001-01-01"), day_number("2002-01-01"))
    daily = daily_extraterrestrial(latitude_deg, days)
    return np.array([daily[month_of(days) == m].mean() for m in range(12)])


def clearest_days(latitude_deg, thin_air):
    """Daily clearness of the months' clearest days: Haurwitz's sky and a tenth more; every third day, 48 angles."""
    days = np.arange(day_number("2001-01-01"), day_number("2002-01-01"))
    dates = days.astype("datetime64[D]")
    days = days[(dates - dates.astype("datetime64[M]").astype("datetime64[D]")).astype(int) % 3 == 0]
    latitude = np.radians(latitude_deg)
    declination, _, eccentricity = sun_vector(days, 12.0)
    turn = (np.arange(48) + 0.5) / 48 * np.pi
    lit, swing = np.sin(latitude) * np.sin(declination), np.cos(latitude) * np.cos(declination)
    up = np.maximum(lit[:, None] + swing[:, None] * np.cos(turn), 0)
    clear = 1098 * eccentricity[:, None] * up * np.exp(-0.059 / np.maximum(up, 1e-12))
    top = SOLAR_CONSTANT * eccentricity[:, None] * up
    month = month_of(days)
    sums = [(clear[month == m].sum(), top[month == m].sum()) for m in range(12)]
    return np.array([1.1 * thin_air * a / b if b > 0 else 0.0 for a, b in sums])


@dataclass
class Sky:
    """Days in a row at one place; hourly arrays are (days, 24), those of parts of hours (days, 24, PARTS)."""

    days: np.ndarray  # days since 1970-01-01
    latitude: np.ndarray  # rad, of each day
    solar_minus_clock: np.ndarray
    sunrise: np.ndarray  # clock hours of each day
    sunset: np.ndarray
    declination: np.ndarray  # at the hour's middle, (days, 24)
    hour_angle: np.ndarray  # at the middle of each part, rad
    middle_hour_angle: np.ndarray
    cos_zenith: np.ndarray  # of each part
    i0: np.ndarray  # Wh/m2 of each hour
    sin_altitude: np.ndarray  # mean over the hour's parts with the Sun up
    profile: np.ndarray  # mean clearness of the hour over the day's


def sky(days, latitude_deg, longitude_deg, utc_offset_h):
    days = np.asarray(days)
    latitude = np.radians(latitude_deg)
    _, greenwich, _ = sun_vector(days, 12 - utc_offset_h)
    ahead = wrap(greenwich + longitude_deg) / 15  # solar minus clock time, hours
    noon_declination, _, _ = sun_vector(days, 12 - ahead - utc_offset_h)
    set_angle = sunset_angle(latitude, noon_declination)
    noon, half = 12 - ahead, np.degrees(set_angle) / 15
    polar_night, polar_day = set_angle <= 0, set_angle >= np.pi
    sunrise = np.select([polar_night, polar_day], [12.0, 0.0], (noon - half) % 24)
    sunset = np.select([polar_night, polar_day], [12.0, 24.0], (noon + half) % 24)

    clock = np.arange(24) + 0.5
    declination, greenwich, eccentricity = sun_vector(days[:, None], clock - utc_offset_h)
    middle = np.radians(wrap(greenwich + longitude_deg))
    part_h = (np.arange(PARTS) + 0.5) / PARTS - 0.5
    angle = middle[..., None] + np.pi / 12 * part_h
    lit = np.sin(latitude) * np.sin(declination)[..., None]
    cos_zenith = lit + np.cos(latitude) * np.cos(declination)[..., None] * np.cos(angle)
    up = cos_zenith > 0
    height = np.where(up, cos_zenith, 0)
    total = height.sum(-1)
    i0 = SOLAR_CONSTANT * eccentricity * total / PARTS
    sin_altitude = np.divide(total, up.sum(-1), out=np.zeros_like(total), where=total > 0)

    # Collares-Pereira & Rabl 1979: hourly over daily clearness is a + b cos(hour angle), here weighted by the Sun's
    # height within the hour, and scaled so that the day keeps its total.
    s = np.sin(set_angle - np.pi / 3)[:, None, None]
    ratio = np.maximum(0.409 + 0.5016 * s + (0.6609 - 0.4767 * s) * np.cos(angle), 0.05)
    mean = np.divide((height * ratio).sum(-1), total, out=np.zeros_like(total), where=total > 0)
    weighted = (i0 * mean).sum(-1, keepdims=True)
    profile = np.divide(mean * i0.sum(-1, keepdims=True), weighted, out=np.zeros_like(mean), where=weighted > 0)
    return Sky(
        days=days,
        latitude=np.full(len(days), latitude),
        solar_minus_clock=ahead,
        sunrise=sunrise,
        sunset=sunset,
        declination=declination,
        hour_angle=angle,
        middle_hour_angle=middle,
        cos_zenith=cos_zenith,
        i0=i0,
        sin_altitude=sin_altitude,
        profile=profile,
    )


def in_a_row(skies):
    """Days of several places, one after the other."""
    return Sky(**{name: np.concatenate([getattr(s, name) for s in skies]) for name in Sky.__dataclass_fields__})


def record_sky(record):
    """Skies of the whole days that the record touches, on its own clock, and where its first hour stands in them."""
    first, within = divmod(record.first_hour, 24)
    days = first + np.arange(-(-(within + record.hours) // 24))
    return sky(days, record.latitude, record.longitude, record.utc_offset_h), within


def azimuth(latitude, declination, hour_angle):
    """Degrees clockwise from north."""
    west = np.cos(declination) * np.sin(hour_angle)
    south = np.cos(declination) * np.cos(hour_angle) * np.sin(latitude) - np.sin(declination) * np.cos(latitude)
    return (180 + np.degrees(np.arctan2(west, south))) % 360


def clear_limit(solar_hour_end):
    """Highest hourly clearness under a clear sky: Aguiar & Collares-Pereira 1992."""
    return 0.88 * np.cos(np.pi * (solar_hour_end % 24 - 12.5) / 30)


def diffuse_share(kt):
    """Erbs, Klein & Duffie 1982, hourly."""
    middle = 0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)))
    return np.where(kt <= 0.22, 1 - 0.09 * kt, np.where(kt <= 0.8, middle, 0.165))
