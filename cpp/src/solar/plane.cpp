#include "ridethrough/solar/plane.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/memo.hpp"
#include "ridethrough/sun/position.hpp"

namespace ridethrough::solar {

namespace {

constexpr double b0 = 0.05;
using sun::pi;
using sun::radians_per_degree;

// cos(incidence) = constant + cosine * cos(hour) + sine * sin(hour)
struct Incidence {
    double constant, cosine, sine;
};

Incidence incidence(double latitude_deg, double declination_rad, const Plane& plane) {
    const auto at = [&](double hour_angle) {
        return sun::cos_incidence(latitude_deg, declination_rad, hour_angle, plane.tilt_deg, plane.azimuth_deg);
    };
    const double morning = at(-pi / 2), noon = at(0), evening = at(pi / 2);
    const double constant = (morning + evening) / 2;
    return {constant, noon - constant, (evening - morning) / 2};
}

}  // namespace

double incidence_modifier(double cos_incidence) {
    if (!(cos_incidence > 0)) return 0;
    return std::max(1 - b0 * (1 / cos_incidence - 1), 0.0);
}

double sky_modifier(double tilt_deg) {
    const double effective_deg = 59.7 - 0.1388 * tilt_deg + 0.001497 * tilt_deg * tilt_deg;
    return incidence_modifier(base::cos(effective_deg * radians_per_degree));
}

double ground_modifier(double tilt_deg) {
    const double effective_deg = 90 - 0.5788 * tilt_deg + 0.002693 * tilt_deg * tilt_deg;
    return incidence_modifier(base::cos(effective_deg * radians_per_degree));
}

double Horizon::height_deg(double azimuth_deg) const {
    if (empty()) return 0;
    const double bearing = azimuth_deg - 360 * std::floor(azimuth_deg / 360);
    const std::size_t n = points_deg.size() / 2;
    std::size_t next = 0;
    while (next < n && points_deg[2 * next] <= bearing) ++next;
    const double* from = &points_deg[2 * ((next + n - 1) % n)];
    const double* to = &points_deg[2 * (next % n)];
    const double past = bearing - from[0], apart = to[0] - from[0];
    return from[1] + (past < 0 ? past + 360 : past) / (apart > 0 ? apart : apart + 360) * (to[1] - from[1]);
}

double Horizon::open_sky() const {
    // A flat plane loses sin^2 of the height in each direction.
    constexpr int directions = 360;
    double lost = 0;
    for (int d = 0; d < directions; ++d) {
        const double s = base::sin(height_deg(d) * radians_per_degree);
        lost += s * s;
    }
    return 1 - lost / directions;
}

HourBeam hour_beam(const sun::SkyDay& sky, std::size_t h, const Plane& plane, bool with_modifier,
                   const Horizon& horizon) {
    HourBeam out;
    if (!(sky.up_fraction[h] > 0)) return out;
    const Plane flat{0, 180};
    const Incidence on_plane = incidence(sky.latitude_deg, sky.declination_rad[h], plane);
    const Incidence on_flat = incidence(sky.latitude_deg, sky.declination_rad[h], flat);
    const sun::SubHours sub(sky.hour_angle_rad[h]);
    for (std::size_t k = 0; k < sun::sub_samples; ++k) {
        const double c = sub.cos_hour[k], s = sub.sin_hour[k];
        const double cos_zenith = on_flat.constant + on_flat.cosine * c + on_flat.sine * s;
        if (cos_zenith <= 0) continue;
        out.horizontal += cos_zenith;
        ++out.up;
        if (!horizon.empty()) {
            const double hour_angle = base::atan2(s, c);
            const double azimuth = sun::sun_azimuth_deg(sky.latitude_deg, sky.declination_rad[h], hour_angle);
            if (cos_zenith < base::sin(horizon.height_deg(azimuth) * radians_per_degree)) continue;
        }
        const double cos_theta =
            plane.tilt_deg > 0 ? on_plane.constant + on_plane.cosine * c + on_plane.sine * s : cos_zenith;
        out.received += std::max(cos_theta, 0.0) * (with_modifier ? incidence_modifier(cos_theta) : 1.0);
    }
    return out;
}

std::array<double, 24> beam_factor(const sun::SkyDay& sky, const Plane& plane, bool with_modifier,
                                   const Horizon& horizon) {
    std::array<double, 24> factor{};
    for (std::size_t h = 0; h < 24; ++h) {
        const HourBeam b = hour_beam(sky, h, plane, with_modifier, horizon);
        factor[h] = b.horizontal > 0 ? b.received / b.horizontal : 0;
    }
    return factor;
}

double sky_factor(const Plane& plane, bool with_modifier) {
    return (1 + base::cos(plane.tilt_deg * radians_per_degree)) / 2 *
           (with_modifier ? sky_modifier(plane.tilt_deg) : 1.0);
}

double ground_factor(const Plane& plane, bool with_modifier) {
    return (1 - base::cos(plane.tilt_deg * radians_per_degree)) / 2 *
           (with_modifier ? ground_modifier(plane.tilt_deg) : 1.0);
}

weather::PlaneFactors plane_factors(std::span<const sun::SkyDay> days, const Plane& plane, double albedo,
                                    const Horizon& horizon) {
    // The next van often has the same plane under the same sky.
    static base::Memo<std::pair<std::array<double, 6>, std::vector<double>>, std::array<double, 24>> memo(4096);
    weather::PlaneFactors all;
    for (const sun::SkyDay& day : days) {
        const auto beam = memo.get({{static_cast<double>(day.day_number), day.latitude_deg, day.longitude_deg,
                                     day.utc_offset_h, plane.tilt_deg, plane.azimuth_deg},
                                    horizon.points_deg},
                                   [&] { return beam_factor(day, plane, true, horizon); });
        all.beam.insert(all.beam.end(), beam.begin(), beam.end());
    }
    all.sky.assign(all.beam.size(), sky_factor(plane) * (horizon.empty() ? 1 : horizon.open_sky()));
    all.ground.assign(all.beam.size(), ground_factor(plane) * albedo);
    return all;
}

}  // namespace ridethrough::solar
