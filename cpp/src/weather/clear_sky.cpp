#include "ridethrough/weather/clear_sky.hpp"

#include <algorithm>
#include <utility>

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/memo.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/sun/position.hpp"
#include "ridethrough/sun/sky.hpp"

namespace ridethrough::weather {

namespace {

constexpr double kClearestOverHaurwitz = 1.1, kPerKm = 0.03;
constexpr int kEveryDays = 3, kSamples = 48;  // of a month, and of a day's half from noon to midnight

struct Sums {
    double clear_w_m2 = 0, extraterrestrial_w_m2 = 0;
};

Sums of_day(double latitude_deg, const sun::SunVector& sun) {
    const double lat = latitude_deg * sun::radians_per_degree;
    const double lit = base::sin(lat) * base::sin(sun.declination_rad);
    const double swing = base::cos(lat) * base::cos(sun.declination_rad);
    Sums sums;
    for (int i = 0; i < kSamples; ++i) {
        const double sin_altitude = lit + swing * base::cos((i + 0.5) / kSamples * sun::pi);
        if (sin_altitude <= 0) break;
        // Clearness does not ask how far the Sun is.
        sums.clear_w_m2 += sun.distance_factor * haurwitz_w_m2(sin_altitude);
        sums.extraterrestrial_w_m2 += sun.distance_factor * sun::solar_constant_w_m2 * sin_altitude;
    }
    return sums;
}

std::array<double, 12> haurwitz_clearness(double latitude_deg) {
    constexpr int year = 2001;
    const auto h0 = sun::monthly_h0_wh_m2(latitude_deg);
    std::array<double, 12> k{};
    for (int m = 1; m <= 12; ++m) {
        if (h0[static_cast<std::size_t>(m - 1)] < sun::dark_day_wh_m2) continue;
        Sums month;
        for (int d = 1; d <= sun::days_in_month(year, m); d += kEveryDays) {
            const Sums day = of_day(latitude_deg, sun::sun_vector(sun::day_number({year, m, d}), 12));
            month.clear_w_m2 += day.clear_w_m2;
            month.extraterrestrial_w_m2 += day.extraterrestrial_w_m2;
        }
        if (month.extraterrestrial_w_m2 > 0)
            k[static_cast<std::size_t>(m - 1)] = month.clear_w_m2 / month.extraterrestrial_w_m2;
    }
    return k;
}

}  // namespace

double haurwitz_w_m2(double sin_altitude) {
    return sin_altitude > 0 ? 1098 * sin_altitude * base::exp(-0.059 / sin_altitude) : 0;
}

double over_sea_level(double altitude_m) { return 1 + kPerKm * std::max(altitude_m, 0.0) / 1000; }

std::array<double, 12> clearest_days(double latitude_deg, double altitude_m) {
    static base::Memo<double, std::array<double, 12>> memo(1024);
    std::array<double, 12> k = memo.get(latitude_deg, [&] { return haurwitz_clearness(latitude_deg); });
    for (double& clear : k) clear *= kClearestOverHaurwitz * over_sea_level(altitude_m);
    return k;
}

}  // namespace ridethrough::weather
