// The sky of one calendar day at one place, hour by hour of the clock: what the Sun gives without an atmosphere, and
// where it stands.
#pragma once

#include <array>

namespace ridethrough::sun {

inline constexpr int sub_samples = 12;  // an hour is integrated at the middles of twelve five-minute steps
inline constexpr double dark_day_wh_m2 = 0.5e6 / 3600;  // below this a day's clearness means nothing: it yields nothing

struct SkyDay {
    int day_number = 0;
    double latitude_deg = 0, longitude_deg = 0;
    double utc_offset_h = 0;

    std::array<double, 24> i0_wh_m2{};           // extraterrestrial, on the horizontal, in each clock hour
    std::array<double, 24> mean_sin_altitude{};  // over the part of the hour with the Sun up; 0 where it is not
    std::array<double, 24> up_fraction{};        // share of the hour with the Sun up
    std::array<double, 24> profile{};            // an average day's clearness of the hour over that of the day
    std::array<double, 24> declination_rad{};    // at the hour's middle
    std::array<double, 24> hour_angle_rad{};     // at the hour's middle

    double h0_wh_m2 = 0;    // sum of i0_wh_m2
    double sunrise_h = 12;  // clock hours in [0, 24); 12 and 12 in the polar night, 0 and 24 under the midnight sun;
    double sunset_h = 12;   // sunset before sunrise: the light runs across the clock's midnight
    double solar_minus_clock_h = 0;
};

// `utc_offset_h`: clock time minus UTC.
SkyDay sky_day(int day_number, double latitude_deg, double longitude_deg, double utc_offset_h);

// Mean daily extraterrestrial irradiation of each month [Wh/m2], over the days of a year without a leap day.
std::array<double, 12> monthly_h0_wh_m2(double latitude_deg);

// Cosine and sine of the hour angle at each sub-sample of an hour.
struct SubHours {
    explicit SubHours(double middle_hour_angle_rad);
    std::array<double, sub_samples> cos_hour, sin_hour;
};

}  // namespace ridethrough::sun
