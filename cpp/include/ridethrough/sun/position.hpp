// Where the Sun is, and how much it would give without an atmosphere. Angles in radians unless the name says degrees;
// hour angle 0 at solar noon, afternoon positive; azimuths in degrees clockwise from north.
#pragma once

namespace ridethrough::sun {

inline constexpr double pi = 3.14159265358979323846;
inline constexpr double radians_per_degree = pi / 180;
inline constexpr double solar_constant_w_m2 = 1361;  // Kopp & Lean 2011

double wrap_degrees(double degrees);  // to [-180, 180)

// The Sun as seen from the Earth's centre: the Astronomical Almanac's low-precision formulas (Michalsky 1988, Solar
// Energy 40, 227-235), good to about 0.01 degree from 1950 to 2050.
struct SunVector {
    double declination_rad = 0;
    double hour_angle_greenwich_deg = 0;  // hour angle at longitude 0
    double distance_factor = 1;           // E0, inverse square of the distance in astronomical units
};
SunVector sun_vector(int day_number, double utc_hour);

struct SunPosition {
    double cos_zenith = 0;
    double azimuth_deg = 0;
    double declination_rad = 0, hour_angle_rad = 0;
    double distance_factor = 1;
};
// Geometric (airless) position; `utc_hour` may run outside 0 to 24.
SunPosition sun_position(int day_number, double utc_hour, double latitude_deg, double longitude_deg);

// Duffie & Beckman, Solar Engineering of Thermal Processes, ch. 1. `surface_azimuth_deg` clockwise from north.
double cos_incidence(double latitude_deg, double declination_rad, double hour_angle_rad, double tilt_deg,
                     double surface_azimuth_deg);                                       // 1.6.2
double cos_zenith(double latitude_deg, double declination_rad, double hour_angle_rad);  // 1.6.5
double sun_azimuth_deg(double latitude_deg, double declination_rad, double hour_angle_rad);
double sunset_hour_angle_rad(double latitude_deg, double declination_rad);  // 1.6.10; 0 in the polar night
double daily_extraterrestrial_wh_m2(double latitude_deg, double declination_rad, double distance_factor,
                                    double constant_w_m2 = solar_constant_w_m2);  // 1.10.3
// Between two hour angles within the day's light (1.10.4).
double extraterrestrial_between_wh_m2(double latitude_deg, double declination_rad, double distance_factor,
                                      double from_rad, double to_rad, double constant_w_m2 = solar_constant_w_m2);

}  // namespace ridethrough::sun
