// Equations of handbooks and papers that the program does not use, for the examples that are worked with them.
// D&B: Duffie & Beckman, Solar Engineering of Thermal Processes, 4th/5th ed.
#pragma once

#include <algorithm>
#include <cmath>

#include "ridethrough/battery/chemistry.hpp"
#include "ridethrough/sun/position.hpp"
#include "ridethrough/weather/clearness.hpp"

namespace handbook {

using ridethrough::sun::radians_per_degree;

// Cooper 1969 (D&B 1.6.1a), up to 1.1 degrees off, and D&B 1.4.1a.
inline double cooper_declination_rad(int day_of_year) {
    return 23.45 * radians_per_degree * std::sin(2 * ridethrough::sun::pi * (284 + day_of_year) / 365);
}
inline double simple_distance_factor(int day_of_year) {
    return 1 + 0.033 * std::cos(2 * ridethrough::sun::pi * day_of_year / 365);
}

// Solar time minus mean time [minutes].
inline double equation_of_time_min(const ridethrough::sun::SunVector& sun, double utc_hour) {
    return 4 * std::remainder(sun.hour_angle_greenwich_deg - 15 * (utc_hour - 12), 360.0);
}

// Erbs, Klein & Duffie 1982 (D&B 2.12.1), by the sunset hour angle of the month's mean day; published for .3 to .8 and
// held at its ends outside.
inline double diffuse_share_monthly(double kt, double sunset_rad) {
    const double k = std::clamp(kt, 0.3, 0.8);
    if (sunset_rad <= 81.4 * radians_per_degree) return 1.391 + k * (-3.560 + k * (4.189 - k * 2.137));
    return 1.311 + k * (-3.022 + k * (3.427 - k * 1.821));
}

// Isotropic sky (Liu & Jordan 1963; D&B 2.15.1): irradiation of the plane from its three parts, no modifier.
inline double isotropic(double beam, double diffuse, double albedo, double beam_ratio, double tilt_deg) {
    const double c = std::cos(tilt_deg * radians_per_degree);
    return beam * beam_ratio + diffuse * (1 + c) / 2 + (beam + diffuse) * albedo * (1 - c) / 2;
}

// Monthly mean beam ratio of a plane facing the equator (Klein 1977; D&B 2.19.3a). In the southern half the plane faces
// north; the mirror image has the same ratio.
inline double monthly_beam_ratio(double latitude_deg, double declination_rad, double tilt_deg) {
    namespace sun = ridethrough::sun;
    const double latitude = std::abs(latitude_deg);
    const double declination = latitude_deg < 0 ? -declination_rad : declination_rad;
    const double sunset = sun::sunset_hour_angle_rad(latitude, declination);
    const double on_plane = std::min(sunset, sun::sunset_hour_angle_rad(latitude - tilt_deg, declination));
    const double flat = sun::extraterrestrial_between_wh_m2(latitude, declination, 1, -sunset, sunset);
    return flat > 0
               ? sun::extraterrestrial_between_wh_m2(latitude - tilt_deg, declination, 1, -on_plane, on_plane) / flat
               : 0;
}

// The published approximation to the exponent of the distribution of daily clearness.
inline double bendt_gamma_approximate(double mean) {
    const auto r = ridethrough::weather::clearness_range(mean);
    const double xi = (r.high - r.low) / (r.high - mean);
    return -1.498 + (1.184 * xi - 27.182 * std::exp(-1.5 * xi)) / (r.high - r.low);
}

// Hours for which a full battery of two wells gives a constant current: the available well is then empty.
inline double kibam_lifetime_h(double c, double k_per_h, double q_max_ah, double current_a) {
    double low = 0, high = q_max_ah / current_a;  // the whole charge at that current
    for (int i = 0; i < 200; ++i) {
        const double mid = 0.5 * (low + high);
        const double gives_ah = q_max_ah / ridethrough::battery::q_max_per_capacity(c, k_per_h, mid);
        (current_a * mid < gives_ah ? low : high) = mid;
    }
    return low;
}

}  // namespace handbook
