#include "ridethrough/sun/sky.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/memo.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/sun/position.hpp"

namespace ridethrough::sun {

namespace {

// Collares-Pereira & Rabl 1979 (Solar Energy 22, 155-164): hourly over daily clearness is a + b cos(hour angle).
struct MeanProfile {
    double a, b;
    explicit MeanProfile(double sunset_rad) {
        const double s = base::sin(sunset_rad - pi / 3);
        a = 0.409 + 0.5016 * s;
        b = 0.6609 - 0.4767 * s;
    }
    double at(double cos_hour) const { return std::max(a + b * cos_hour, 0.05); }
};

double wrap_hours(double h) { return h - 24 * std::floor(h / 24); }

void set_rise_and_set(SkyDay& sky, double sunset_rad) {
    if (sunset_rad <= 0) return;
    if (sunset_rad >= pi) {
        sky.sunrise_h = 0;
        sky.sunset_h = 24;
        return;
    }
    const double noon = 12 - sky.solar_minus_clock_h, half_day = sunset_rad * 12 / pi;
    sky.sunrise_h = wrap_hours(noon - half_day);
    sky.sunset_h = wrap_hours(noon + half_day);
}

}  // namespace

SubHours::SubHours(double middle) {
    const double c = base::cos(middle), s = base::sin(middle);
    for (int k = 0; k < sub_samples; ++k) {
        const double turn = (k + 0.5 - sub_samples / 2.0) * (pi / 12 / sub_samples);
        const double ct = base::cos(turn), st = base::sin(turn);
        cos_hour[static_cast<std::size_t>(k)] = c * ct - s * st;
        sin_hour[static_cast<std::size_t>(k)] = s * ct + c * st;
    }
}

SkyDay sky_day(int day_number, double latitude_deg, double longitude_deg, double utc_offset_h) {
    SkyDay sky;
    sky.day_number = day_number;
    sky.latitude_deg = latitude_deg;
    sky.longitude_deg = longitude_deg;
    sky.utc_offset_h = utc_offset_h;

    const SunVector midday = sun_vector(day_number, 12 - utc_offset_h);
    sky.solar_minus_clock_h = wrap_degrees(midday.hour_angle_greenwich_deg + longitude_deg) / 15;
    const SunVector noon = sun_vector(day_number, 12 - sky.solar_minus_clock_h - utc_offset_h);
    const double sunset = sunset_hour_angle_rad(latitude_deg, noon.declination_rad);
    set_rise_and_set(sky, sunset);

    const MeanProfile mean(sunset);
    const double sin_lat = base::sin(latitude_deg * radians_per_degree);
    const double cos_lat = base::cos(latitude_deg * radians_per_degree);
    double weighted = 0;
    for (std::size_t h = 0; h < 24; ++h) {
        const SunVector sun = sun_vector(day_number, static_cast<double>(h) + 0.5 - utc_offset_h);
        sky.declination_rad[h] = sun.declination_rad;
        sky.hour_angle_rad[h] = wrap_degrees(sun.hour_angle_greenwich_deg + longitude_deg) * radians_per_degree;
        const double lit = sin_lat * base::sin(sun.declination_rad);
        const double swing = cos_lat * base::cos(sun.declination_rad);
        const SubHours sub(sky.hour_angle_rad[h]);
        double sum = 0, shaped = 0;
        int up = 0;
        for (const double cos_hour : sub.cos_hour) {
            const double sin_altitude = lit + swing * cos_hour;
            if (sin_altitude <= 0) continue;
            sum += sin_altitude;
            shaped += sin_altitude * mean.at(cos_hour);
            ++up;
        }
        if (up == 0) continue;
        sky.i0_wh_m2[h] = solar_constant_w_m2 * sun.distance_factor * sum / sub_samples;
        sky.mean_sin_altitude[h] = sum / up;
        sky.up_fraction[h] = static_cast<double>(up) / sub_samples;
        sky.profile[h] = shaped / sum;
        sky.h0_wh_m2 += sky.i0_wh_m2[h];
        weighted += sky.i0_wh_m2[h] * sky.profile[h];
    }
    for (double& p : sky.profile) p = weighted > 0 ? p * sky.h0_wh_m2 / weighted : 0;
    return sky;
}

namespace {

std::array<double, 12> monthly_h0(double latitude_deg) {
    constexpr int year = 2001;
    std::array<double, 12> mean{};
    for (int m = 1; m <= 12; ++m) {
        const int days = days_in_month(year, m);
        double sum = 0;
        for (int d = 1; d <= days; ++d) {
            const SunVector sun = sun_vector(day_number({year, m, d}), 12);
            sum += daily_extraterrestrial_wh_m2(latitude_deg, sun.declination_rad, sun.distance_factor);
        }
        mean[static_cast<std::size_t>(m - 1)] = sum / days;
    }
    return mean;
}

}  // namespace

std::array<double, 12> monthly_h0_wh_m2(double latitude_deg) {
    static base::Memo<double, std::array<double, 12>> memo(1024);  // every check of a climate asks for it
    return memo.get(latitude_deg, [&] { return monthly_h0(latitude_deg); });
}

}  // namespace ridethrough::sun
