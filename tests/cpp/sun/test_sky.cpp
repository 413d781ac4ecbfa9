#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>

#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/sun/position.hpp"
#include "ridethrough/sun/sky.hpp"

using namespace ridethrough::sun;

namespace {
double sum(const std::array<double, 24>& x) { return std::accumulate(x.begin(), x.end(), 0.0); }
}  // namespace

TEST_CASE("the day's hours sum to the closed form of the day") {
    // D&B 1.10.3 with the noon declination; the hours integrate a moving declination at five-minute middles.
    for (double latitude : {-55.0, -20.0, 0.0, 36.1, 51.0, 63.0})
        for (int month = 1; month <= 12; ++month) {
            const int day = day_number({2026, month, 15});
            const SkyDay sky = sky_day(day, latitude, -79.95, -5);
            const SunVector noon = sun_vector(day, 12 + 5.33);
            const double closed = daily_extraterrestrial_wh_m2(latitude, noon.declination_rad, noon.distance_factor);
            INFO(latitude << " deg, month " << month);
            CHECK(sky.h0_wh_m2 == Approx(closed).epsilon(2e-3).margin(5));
            CHECK(sum(sky.i0_wh_m2) == Approx(sky.h0_wh_m2).epsilon(1e-12));
            double shaped = 0;
            for (std::size_t h = 0; h < 24; ++h) shaped += sky.profile[h] * sky.i0_wh_m2[h];
            CHECK(shaped == Approx(sky.h0_wh_m2).epsilon(1e-12));
            CHECK(sum(sky.up_fraction) == Approx(sky.sunset_h - sky.sunrise_h).margin(0.2));
        }
}

TEST_CASE("polar night and midnight sun") {
    const SkyDay night = sky_day(day_number({2026, 12, 21}), 78, 15, 1);
    CHECK(night.h0_wh_m2 == 0);
    CHECK(sum(night.i0_wh_m2) == 0);
    CHECK(sum(night.profile) == 0);
    CHECK(night.sunrise_h == 12);
    CHECK(night.sunset_h == 12);
    const SkyDay light = sky_day(day_number({2026, 6, 21}), 78, 15, 1);
    CHECK(light.sunrise_h == 0);
    CHECK(light.sunset_h == 24);
    CHECK(sum(light.up_fraction) == 24);
    for (double p : light.profile) CHECK(p > 0);
}

TEST_CASE("the southern hemisphere mirrors the northern half a year on") {
    // Same declination with the other sign: the day's length and shape agree, the distance to the Sun does not.
    const SkyDay north = sky_day(day_number({2026, 6, 21}), 40, 0, 0);
    const SkyDay south = sky_day(day_number({2026, 12, 21}), -40, 0, 0);
    CHECK(south.sunset_h - south.sunrise_h == Approx(north.sunset_h - north.sunrise_h).margin(0.01));
    const double near_over_far = sun_vector(day_number({2026, 12, 21}), 12).distance_factor /
                                 sun_vector(day_number({2026, 6, 21}), 12).distance_factor;
    CHECK(near_over_far == Approx(1.068).margin(0.002));  // 2 x 2 x 0.0167
    CHECK(south.h0_wh_m2 / north.h0_wh_m2 == Approx(near_over_far).epsilon(1e-3));
}

TEST_CASE("a clock far from solar time") {
    const SkyDay home = sky_day(day_number({2026, 3, 20}), 36, -80, -5);
    const SkyDay away = sky_day(day_number({2026, 3, 20}), 36, -80, 8);
    CHECK(away.h0_wh_m2 == Approx(home.h0_wh_m2).epsilon(0.01));
    CHECK(away.sunrise_h == Approx(home.sunrise_h + 13).margin(0.05));
    CHECK(away.sunset_h == Approx(home.sunset_h + 13 - 24).margin(0.05));  // light across the clock's midnight
    CHECK(away.i0_wh_m2[0] > 500);
    CHECK(away.i0_wh_m2[12] == 0);
}
