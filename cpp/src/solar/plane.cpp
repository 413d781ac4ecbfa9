#include "ridethrough/solar/plane.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
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

std::array<double, 24> beam_factor(const sun::SkyDay& sky, const Plane& plane, bool with_modifier) {
    std::array<double, 24> factor{};
    const Plane flat{0, 180};
    for (std::size_t h = 0; h < 24; ++h) {
        if (!(sky.up_fraction[h] > 0)) continue;
        const Incidence on_plane = incidence(sky.latitude_deg, sky.declination_rad[h], plane);
        const Incidence on_flat = incidence(sky.latitude_deg, sky.declination_rad[h], flat);
        const sun::SubHours sub(sky.hour_angle_rad[h]);
        double received = 0, horizontal = 0;
        for (std::size_t k = 0; k < sun::sub_samples; ++k) {
            const double c = sub.cos_hour[k], s = sub.sin_hour[k];
            const double cos_zenith = on_flat.constant + on_flat.cosine * c + on_flat.sine * s;
            if (cos_zenith <= 0) continue;
            const double cos_theta =
                plane.tilt_deg > 0 ? on_plane.constant + on_plane.cosine * c + on_plane.sine * s : cos_zenith;
            horizontal += cos_zenith;
            received += std::max(cos_theta, 0.0) * (with_modifier ? incidence_modifier(cos_theta) : 1.0);
        }
        factor[h] = horizontal > 0 ? received / horizontal : 0;
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

climate::PlaneFactors plane_factors(std::span<const sun::SkyDay> days, const Plane& plane, double albedo) {
    climate::PlaneFactors all;
    for (const sun::SkyDay& day : days) {
        const auto beam = beam_factor(day, plane);
        all.beam.insert(all.beam.end(), beam.begin(), beam.end());
    }
    all.sky.assign(all.beam.size(), sky_factor(plane));
    all.ground.assign(all.beam.size(), ground_factor(plane) * albedo);
    return all;
}

double isotropic(double beam, double diffuse, double albedo, double beam_ratio, double tilt_deg) {
    const double c = base::cos(tilt_deg * radians_per_degree);
    return beam * beam_ratio + diffuse * (1 + c) / 2 + (beam + diffuse) * albedo * (1 - c) / 2;
}

double monthly_beam_ratio(double latitude_deg, double declination_rad, double tilt_deg) {
    // In the southern half the plane faces north; the mirror image has the same ratio.
    const double latitude = std::abs(latitude_deg);
    const double declination = latitude_deg < 0 ? -declination_rad : declination_rad;
    const double sunset = sun::sunset_hour_angle_rad(latitude, declination);
    const double on_plane = std::min(sunset, sun::sunset_hour_angle_rad(latitude - tilt_deg, declination));
    const double flat = sun::extraterrestrial_between_wh_m2(latitude, declination, 1, -sunset, sunset);
    return flat > 0
               ? sun::extraterrestrial_between_wh_m2(latitude - tilt_deg, declination, 1, -on_plane, on_plane) / flat
               : 0;
}

}  // namespace ridethrough::solar
