"""Light on tilted planes hour by hour: geometry of the plane and three skies, incidence losses inside."""

from dataclasses import dataclass

import numpy as np

from .sun import azimuth as sun_azimuth

# Perez, Ineichen, Seals, Michalsky & Stewart 1990, table 6 (all sites): F11 F12 F13 F21 F22 F23 by sky clearness.
PEREZ_BOUNDS = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2]
PEREZ = np.array(
    [
        [-0.008, 0.588, -0.062, -0.060, 0.072, -0.022],
        [0.130, 0.683, -0.151, -0.019, 0.066, -0.029],
        [0.330, 0.487, -0.221, 0.055, -0.064, -0.026],
        [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
        [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
        [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
        [1.060, -1.600, -0.359, 0.264, -1.127, 0.131],
        [0.678, -0.327, -0.250, 0.156, -1.377, 0.251],
    ]
)


def incidence_modifier(cosine):
    """ASHRAE 93 with b0 = .05."""
    return np.where(cosine > 0, np.maximum(1 - 0.05 * (1 / np.maximum(cosine, 1e-12) - 1), 0), 0)


def sky_modifier(tilt_deg):
    """The same for light from the whole sky: effective angle of Brandemuehl & Beckman 1980."""
    return incidence_modifier(np.cos(np.radians(59.7 - 0.1388 * tilt_deg + 0.001497 * tilt_deg**2)))


def ground_modifier(tilt_deg):
    return incidence_modifier(np.cos(np.radians(90 - 0.5788 * tilt_deg + 0.002693 * tilt_deg**2)))


def horizon_height(points_deg, azimuth_deg):
    """Pairs of bearing and height, straight lines between."""
    points = np.asarray(points_deg)
    return np.interp(azimuth_deg, points[:, 0], points[:, 1], period=360)


def open_sky(points_deg):
    """What an isotropic sky still gives a flat plane: sin^2 of the height is lost in each direction."""
    return 1 - np.mean(np.sin(np.radians(horizon_height(points_deg, np.arange(360)))) ** 2)


@dataclass
class PlaneHours:
    """Each hour's numbers, (days, 24), or (trials, days, 24) where each trial has its own days."""

    received: np.ndarray  # mean cosine of incidence with its modifier, while the Sun is up
    cos_zenith: np.ndarray  # mean while the Sun is up; 1 where it is down
    sky: np.ndarray  # share of the isotropic diffuse
    ground: np.ndarray  # share of the global
    band: np.ndarray  # of the horizon's band, Perez
    cube: np.ndarray  # sin^3 of half the tilt, HDKR
    i0: np.ndarray

    def of_hours(self, index):
        """Out of a record's hours in a row those of each trial."""
        return PlaneHours(**{k: v.ravel()[index] for k, v in vars(self).items()})


def plane_hours(sky, tilt_deg, azimuth_deg, albedo, horizon_deg=()):
    """tilt, azimuth: one plane, or (days, 24) of a panel that is turned."""
    shape = sky.i0.shape
    tilt_deg, azimuth_deg = np.broadcast_to(tilt_deg, shape), np.broadcast_to(azimuth_deg, shape)
    latitude, declination = sky.latitude[:, None, None], sky.declination[..., None]
    beta, gamma = np.radians(tilt_deg)[..., None], np.radians(azimuth_deg - 180)[..., None]  # from south, west positive
    omega = sky.hour_angle
    cosine = (  # Duffie & Beckman 1.6.2
        np.sin(declination) * np.sin(latitude) * np.cos(beta)
        - np.sin(declination) * np.cos(latitude) * np.sin(beta) * np.cos(gamma)
        + np.cos(declination) * np.cos(latitude) * np.cos(beta) * np.cos(omega)
        + np.cos(declination) * np.sin(latitude) * np.sin(beta) * np.cos(gamma) * np.cos(omega)
        + np.cos(declination) * np.sin(beta) * np.sin(gamma) * np.sin(omega)
    )
    up = sky.cos_zenith > 0
    seen = up
    if len(horizon_deg):
        height = horizon_height(horizon_deg, sun_azimuth(latitude, declination, omega))
        seen = up & (sky.cos_zenith >= np.sin(np.radians(height)))
    count = np.maximum(up.sum(-1), 1)
    received = (np.maximum(cosine, 0) * incidence_modifier(cosine) * seen).sum(-1) / count
    cos_zenith = np.where(up.any(-1), (sky.cos_zenith * up).sum(-1) / count, 1.0)
    tilt = np.radians(tilt_deg)
    open_share = open_sky(horizon_deg) if len(horizon_deg) else 1.0
    return PlaneHours(
        received=received,
        cos_zenith=np.minimum(cos_zenith, 1),
        sky=(1 + np.cos(tilt)) / 2 * sky_modifier(tilt_deg) * open_share,
        ground=(1 - np.cos(tilt)) / 2 * ground_modifier(tilt_deg) * albedo,
        band=np.sin(tilt) * sky_modifier(tilt_deg),
        cube=np.sin(tilt / 2) ** 3,
        i0=sky.i0,
    )


def isotropic(p, direct, diffuse):
    """Liu & Jordan 1963."""
    return direct * p.received / p.cos_zenith, diffuse * p.sky + (direct + diffuse) * p.ground


def most_from_sun(p, light, total):
    """Where a record's dusk has more light than arrives above the air: no more than would from there, or the total."""
    return np.minimum(light, np.maximum(p.i0 * p.received / p.cos_zenith, total))


def hdkr(p, direct, diffuse):
    """Duffie & Beckman 2.16.7; the light about the Sun counts with the beam."""
    total = direct + diffuse
    anisotropy = np.minimum(direct / np.maximum(p.i0, 1e-6), 1)
    brightening = np.sqrt(direct / np.maximum(total, 1e-6))
    beam = most_from_sun(p, (direct + diffuse * anisotropy) * p.received / p.cos_zenith, total)
    return beam, diffuse * (1 - anisotropy) * p.sky * (1 + brightening * p.cube) + total * p.ground


def perez(p, direct, diffuse):
    """Perez et al. 1990; what a dim horizon takes more than the dome has, it takes from the light about the Sun."""
    zenith = np.arccos(p.cos_zenith)
    zenith_deg = np.degrees(zenith)
    air_mass = 1 / (p.cos_zenith + 0.50572 * (96.07995 - zenith_deg) ** -1.6364)  # Kasten & Young 1989
    kappa = 1.041 * zenith**3
    clearness = 1 + direct / (np.maximum(diffuse, 1e-6) * p.cos_zenith * (1 + kappa))
    brightness = np.minimum(diffuse, p.i0) * air_mass * p.cos_zenith / np.maximum(p.i0, 1e-6)  # over that above the air
    f = PEREZ[np.searchsorted(PEREZ_BOUNDS, clearness, side="right")]
    f1 = np.maximum(f[..., 0] + f[..., 1] * brightness + f[..., 2] * zenith, 0)
    f2 = f[..., 3] + f[..., 4] * brightness + f[..., 5] * zenith
    about_sun = diffuse * f1 * p.received / np.maximum(p.cos_zenith, np.cos(np.radians(85)))
    dome = diffuse * ((1 - f1) * p.sky + f2 * p.band)
    left = np.maximum(about_sun + np.minimum(dome, 0), 0)
    beam = most_from_sun(p, direct * p.received / p.cos_zenith + left, direct + diffuse)
    return beam, np.maximum(dome, 0) + (direct + diffuse) * p.ground


MODELS = {"isotropic": isotropic, "hdkr": hdkr, "perez": perez}


def sun_direction(sky, clock_h):
    """Zenith and azimuth [deg] at a clock hour of each day, (days, 24) like `clock_h`."""
    hour = np.clip(np.floor(clock_h), 0, 23).astype(int)
    declination = np.take_along_axis(sky.declination, hour, 1)
    angle = np.take_along_axis(sky.middle_hour_angle, hour, 1) + np.radians(15 * (clock_h - hour - 0.5))
    latitude = sky.latitude[:, None]
    cosine = np.cos(latitude) * np.cos(declination) * np.cos(angle) + np.sin(latitude) * np.sin(declination)
    return np.degrees(np.arccos(np.clip(cosine, -1, 1))), sun_azimuth(latitude, declination, angle)


def aimed(sky, set_up_h, pack_up_h, aims, tilt_deg=None):
    """Tilt and azimuth of a panel on feet, turned to the Sun of the middle of each of `aims` parts of the light."""
    rise, fall = sky.sunrise[:, None], sky.sunset[:, None]
    lit = (fall > rise) & (fall > set_up_h) & (rise < pack_up_h)
    start = np.where(lit, np.maximum(set_up_h, rise), set_up_h)
    end = np.where(lit, np.minimum(pack_up_h, fall), pack_up_h)
    part = np.clip(np.floor((np.arange(24) + 0.5 - start) / (end - start) * aims), 0, aims - 1)
    zenith, facing = sun_direction(sky, start + (part + 0.5) * (end - start) / aims)
    return np.clip(zenith, 15, 70) if tilt_deg is None else np.full(zenith.shape, tilt_deg), facing
