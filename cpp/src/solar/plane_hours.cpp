#include "ridethrough/solar/plane_hours.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
#include "ridethrough/sun/position.hpp"

namespace ridethrough::solar {

namespace {

using sun::radians_per_degree;

void append_hour(PlaneNumbers& out, const sun::SkyDay& day, std::size_t h, const Plane& plane, double albedo,
                 double open_sky, const Horizon& horizon, bool with_modifier) {
    const HourBeam b = hour_beam(day, h, plane, with_modifier, horizon);
    const Instant mean{b.up > 0 ? b.received / b.up : 0, b.up > 0 ? b.horizontal / b.up : 1, day.i0_wh_m2[h]};
    const auto numbers = plane_numbers(mean, plane.tilt_deg, albedo, open_sky, with_modifier);
    out.insert(out.end(), numbers.begin(), numbers.end());
}

// Where the Sun is at a clock hour of the day.
struct Direction {
    double zenith_deg, azimuth_deg;
};
Direction sun_at(const sun::SkyDay& day, double clock_h) {
    const auto h = static_cast<std::size_t>(std::clamp(std::floor(clock_h), 0.0, 23.0));
    const double hour_angle =
        day.hour_angle_rad[h] + (clock_h - static_cast<double>(h) - 0.5) * 15 * radians_per_degree;
    const double declination = day.declination_rad[h];
    const double cos_zenith = std::clamp(sun::cos_zenith(day.latitude_deg, declination, hour_angle), -1.0, 1.0);
    return {base::acos(cos_zenith) / radians_per_degree,
            sun::sun_azimuth_deg(day.latitude_deg, declination, hour_angle)};
}

}  // namespace

double relative_air_mass(double zenith_deg) {
    const double z = std::min(zenith_deg, 90.0);
    return 1 / (base::cos(z * radians_per_degree) + 0.50572 * base::pow(96.07995 - z, -1.6364));
}

std::array<double, PlaneHour<double>::numbers> plane_numbers(const Instant& at, double tilt_deg, double albedo,
                                                             double open_sky, bool with_modifier) {
    const Plane plane{tilt_deg, 180};
    const double cos_zenith = std::min(at.cos_zenith, 1.0), zenith_rad = base::acos(cos_zenith);
    const double half = base::sin(tilt_deg / 2 * radians_per_degree);
    return {at.received / cos_zenith,
            sky_factor(plane, with_modifier) * open_sky,
            ground_factor(plane, with_modifier) * albedo,
            at.received / std::max(cos_zenith, base::cos(85 * radians_per_degree)),
            base::sin(tilt_deg * radians_per_degree) * (with_modifier ? sky_modifier(tilt_deg) : 1.0),
            half * half * half,
            at.i0_w_m2,
            cos_zenith,
            zenith_rad,
            relative_air_mass(zenith_rad / radians_per_degree)};
}

std::vector<Plane> aimed_planes(const sun::SkyDay& day, const Aiming& aiming) {
    double from = aiming.from_h, to = aiming.to_h;
    if (day.sunset_h > day.sunrise_h && day.sunset_h > from && day.sunrise_h < to) {
        from = std::max(from, day.sunrise_h);
        to = std::min(to, day.sunset_h);
    }
    std::vector<Plane> planes;
    for (int h = 0; h < 24; ++h) {
        const double place = (h + 0.5 - from) / (to - from) * aiming.aims;
        const double part = std::clamp(std::floor(place), 0.0, static_cast<double>(aiming.aims - 1));
        const Direction sun = sun_at(day, from + (part + 0.5) * (to - from) / aiming.aims);
        planes.push_back(
            {aiming.tilt_deg ? *aiming.tilt_deg : std::clamp(sun.zenith_deg, lowest_tilt_deg, highest_tilt_deg),
             sun.azimuth_deg});
    }
    return planes;
}

void append_plane_hours(PlaneNumbers& out, std::span<const sun::SkyDay> days, const Plane& plane, double albedo,
                        const Horizon& horizon, bool with_modifier) {
    const double open_sky = horizon.empty() ? 1 : horizon.open_sky();
    for (const sun::SkyDay& day : days)
        for (std::size_t h = 0; h < 24; ++h) append_hour(out, day, h, plane, albedo, open_sky, horizon, with_modifier);
}

void append_plane_hours(PlaneNumbers& out, std::span<const sun::SkyDay> days, const Aiming& aiming, double albedo,
                        const Horizon& horizon, bool with_modifier) {
    const double open_sky = horizon.empty() ? 1 : horizon.open_sky();
    for (const sun::SkyDay& day : days) {
        const auto planes = aimed_planes(day, aiming);
        for (std::size_t h = 0; h < 24; ++h)
            append_hour(out, day, h, planes[h], albedo, open_sky, horizon, with_modifier);
    }
}

}  // namespace ridethrough::solar
