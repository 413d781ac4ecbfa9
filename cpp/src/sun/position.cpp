#include "ridethrough/sun/position.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"

namespace ridethrough::sun {

namespace {

// Days from 1970-01-01 0 h to the almanac's epoch, 2000-01-01 12 h.
constexpr double almanac_epoch = 10957.5;

double sin_deg(double x) { return base::sin(wrap_degrees(x) * radians_per_degree); }
double cos_deg(double x) { return base::cos(wrap_degrees(x) * radians_per_degree); }

struct Ecliptic {
    double mean_longitude_deg, right_ascension_deg, declination_rad, distance_au;
};

Ecliptic ecliptic(double n) {
    const double mean_longitude = 280.460 + 0.9856474 * n;
    const double anomaly = 357.528 + 0.9856003 * n;
    const double longitude = mean_longitude + 1.915 * sin_deg(anomaly) + 0.020 * sin_deg(2 * anomaly);
    const double obliquity = 23.439 - 0.0000004 * n;
    const double right_ascension = base::atan2(cos_deg(obliquity) * sin_deg(longitude), cos_deg(longitude));
    return {wrap_degrees(mean_longitude), right_ascension / radians_per_degree,
            base::asin(sin_deg(obliquity) * sin_deg(longitude)),
            1.00014 - 0.01671 * cos_deg(anomaly) - 0.00014 * cos_deg(2 * anomaly)};
}

}  // namespace

double wrap_degrees(double degrees) { return degrees - 360 * std::floor((degrees + 180) / 360); }

SunVector sun_vector(int day_number, double utc_hour) {
    const double n = day_number - almanac_epoch + utc_hour / 24;
    const Ecliptic sun = ecliptic(n);
    const double sidereal_deg = 15 * (6.697375 + 0.0657098242 * n + utc_hour);
    return {sun.declination_rad, wrap_degrees(sidereal_deg - sun.right_ascension_deg),
            1 / (sun.distance_au * sun.distance_au)};
}

SunPosition sun_position(int day_number, double utc_hour, double latitude_deg, double longitude_deg) {
    const SunVector sun = sun_vector(day_number, utc_hour);
    const double hour_angle = wrap_degrees(sun.hour_angle_greenwich_deg + longitude_deg) * radians_per_degree;
    return {cos_zenith(latitude_deg, sun.declination_rad, hour_angle),
            sun_azimuth_deg(latitude_deg, sun.declination_rad, hour_angle), sun.declination_rad, hour_angle,
            sun.distance_factor};
}

double cos_incidence(double latitude_deg, double declination_rad, double hour_angle_rad, double tilt_deg,
                     double surface_azimuth_deg) {
    const double south = surface_azimuth_deg - 180;  // the book counts from south, west positive
    const double sin_lat = sin_deg(latitude_deg), cos_lat = cos_deg(latitude_deg);
    const double sin_dec = base::sin(declination_rad), cos_dec = base::cos(declination_rad);
    const double sin_hour = base::sin(hour_angle_rad), cos_hour = base::cos(hour_angle_rad);
    const double sin_tilt = sin_deg(tilt_deg), cos_tilt = cos_deg(tilt_deg);
    const double across = sin_tilt * sin_deg(south), along = sin_tilt * cos_deg(south);
    return sin_dec * (sin_lat * cos_tilt - cos_lat * along) +
           cos_dec * cos_hour * (cos_lat * cos_tilt + sin_lat * along) + cos_dec * sin_hour * across;
}

double cos_zenith(double latitude_deg, double declination_rad, double hour_angle_rad) {
    return cos_deg(latitude_deg) * base::cos(declination_rad) * base::cos(hour_angle_rad) +
           sin_deg(latitude_deg) * base::sin(declination_rad);
}

double sun_azimuth_deg(double latitude_deg, double declination_rad, double hour_angle_rad) {
    const double sin_lat = sin_deg(latitude_deg), cos_lat = cos_deg(latitude_deg);
    const double west = base::cos(declination_rad) * base::sin(hour_angle_rad);
    const double south =
        base::cos(declination_rad) * base::cos(hour_angle_rad) * sin_lat - base::sin(declination_rad) * cos_lat;
    const double from_north = 180 + base::atan2(west, south) / radians_per_degree;
    return from_north >= 360 ? from_north - 360 : from_north;
}

double sunset_hour_angle_rad(double latitude_deg, double declination_rad) {
    // Multiplied through by the cosines, so that the poles need no case of their own.
    const double lit = sin_deg(latitude_deg) * base::sin(declination_rad);
    const double swing = std::max(cos_deg(latitude_deg) * base::cos(declination_rad), 0.0);
    if (lit >= swing) return pi;
    if (lit <= -swing) return 0;
    return base::acos(-lit / swing);
}

double daily_extraterrestrial_wh_m2(double latitude_deg, double declination_rad, double distance_factor,
                                    double constant_w_m2) {
    const double sunset = sunset_hour_angle_rad(latitude_deg, declination_rad);
    return extraterrestrial_between_wh_m2(latitude_deg, declination_rad, distance_factor, -sunset, sunset,
                                          constant_w_m2);
}

double extraterrestrial_between_wh_m2(double latitude_deg, double declination_rad, double distance_factor,
                                      double from_rad, double to_rad, double constant_w_m2) {
    const double swing = cos_deg(latitude_deg) * base::cos(declination_rad);
    const double lit = sin_deg(latitude_deg) * base::sin(declination_rad);
    return 12 / pi * constant_w_m2 * distance_factor *
           (swing * (base::sin(to_rad) - base::sin(from_rad)) + lit * (to_rad - from_rad));
}

}  // namespace ridethrough::sun
