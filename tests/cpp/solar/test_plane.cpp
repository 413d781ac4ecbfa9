// D&B: Duffie & Beckman, Solar Engineering of Thermal Processes, 4th/5th ed.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "handbook.hpp"
#include "ridethrough/solar/plane.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/sun/position.hpp"
#include "ridethrough/sun/sky.hpp"
#include "ridethrough/sun/split.hpp"

using namespace ridethrough;
using solar::Plane;

TEST_CASE("tilted monthly radiation at Madison") {
    // D&B ex. 2.19.1: 43 N, 60 degrees facing south, isotropic sky, Klein's mean days, Cooper's declination.
    const int day[] = {17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344};
    const double h[] = {6.44, 9.89, 12.86, 16.05, 21.36, 23.04, 22.58, 20.33, 14.59, 10.48, 6.37, 5.74};
    const double albedo[] = {.7, .7, .4, .2, .2, .2, .2, .2, .2, .2, .2, .4};
    const double h0[] = {13.37, 18.81, 26.03, 33.78, 39.42, 41.78, 40.56, 35.92, 28.80, 20.90, 14.62, 11.91};
    const double tilted[] = {13.7, 17.2, 15.8, 14.7, 16.6, 16.5, 16.8, 17.5, 15.6, 15.2, 11.4, 12.7};
    for (int m = 0; m < 12; ++m) {
        const double declination = handbook::cooper_declination_rad(day[m]);
        const double sunset = sun::sunset_hour_angle_rad(43, declination);
        const double outside =
            0.0036 * sun::daily_extraterrestrial_wh_m2(43, declination, handbook::simple_distance_factor(day[m]), 1367);
        INFO("month " << m + 1);
        CHECK(outside == Approx(h0[m]).margin(0.06));
        const double diffuse = h[m] * handbook::diffuse_share_monthly(h[m] / outside, sunset);
        const double ratio = handbook::monthly_beam_ratio(43, declination, 60);
        CHECK(handbook::isotropic(h[m] - diffuse, diffuse, albedo[m], ratio, 60) == Approx(tilted[m]).margin(0.06));
        CHECK(handbook::monthly_beam_ratio(-43, -declination, 60) == Approx(ratio));
    }
}

TEST_CASE("isotropic hour") {
    // D&B ex. 2.15.1: 40 N, 60 degrees south, 20 February 9 to 10 h, 1.04 MJ/m2, albedo 0.6. The problem is the book's;
    // the intermediate figures were computed from its equations.
    const double declination = handbook::cooper_declination_rad(51), from = -45 * sun::radians_per_degree;
    const double to = -30 * sun::radians_per_degree, middle = -37.5 * sun::radians_per_degree;
    const double i0 = 0.0036 * sun::extraterrestrial_between_wh_m2(
                                   40, declination, handbook::simple_distance_factor(51), from, to, 1367);
    const double kt = 1.04 / i0, share = sun::diffuse_share_hourly(kt);
    const double ratio =
        sun::cos_incidence(40, declination, middle, 60, 180) / sun::cos_zenith(40, declination, middle);
    CHECK(kt == Approx(.445).margin(0.001));
    CHECK(share == Approx(.766).margin(0.001));
    CHECK(ratio == Approx(1.71).margin(0.005));
    CHECK(handbook::isotropic(1.04 * (1 - share), 1.04 * share, 0.6, ratio, 60) == Approx(1.17).margin(0.01));
}

TEST_CASE("incidence modifier") {
    // ASHRAE 93 form, b0 0.05; values as pvlib's iam.ashrae gives them.
    const double cosine[] = {.5, .3420201433, .1736481777}, modifier[] = {.9500, .9038, .7621};
    for (int i = 0; i < 3; ++i) CHECK(solar::incidence_modifier(cosine[i]) == Approx(modifier[i]).margin(5e-5));
    CHECK(solar::incidence_modifier(1) == 1);
    CHECK(solar::incidence_modifier(0.01) == 0);
    CHECK(solar::incidence_modifier(-0.5) == 0);
    CHECK(solar::sky_factor(Plane{}) == Approx(.9515).margin(0.001));  // another modifier's dome integral, pvlib
}

TEST_CASE("a flat plane receives the horizontal beam whole") {
    const auto sky = sun::sky_day(sun::day_number({2026, 11, 6}), 36.1, -79.95, -5);
    for (const double azimuth : {0.0, 90.0, 180.0, 305.0}) {
        const auto factor = solar::beam_factor(sky, {0, azimuth}, false);
        for (std::size_t h = 0; h < 24; ++h) CHECK(factor[h] == (sky.up_fraction[h] > 0 ? 1.0 : 0.0));
    }
    CHECK(solar::sky_factor({0, 180}, false) == 1);
    CHECK(solar::ground_factor({0, 180}) == 0);
    const auto lossy = solar::beam_factor(sky, {0, 180});
    for (std::size_t h = 8; h < 16; ++h) CHECK((lossy[h] > 0.8 && lossy[h] < 1));
}

TEST_CASE("tilted planes") {
    const int day = sun::day_number({2026, 12, 21});
    const auto north = sun::sky_day(day, 40, 0, 0);
    const auto south = sun::sky_day(sun::day_number({2026, 6, 21}), -40, 0, 0);
    const auto facing_south = solar::beam_factor(north, {50, 180});
    const auto facing_north = solar::beam_factor(south, {50, 0});
    for (std::size_t h = 9; h < 15; ++h) {
        CHECK(facing_south[h] > 1.5);
        // Mirror at the solstices; the clock differs from the Sun by 3 minutes between the two dates.
        CHECK(facing_north[h] == Approx(facing_south[h]).epsilon(0.03));
    }
    const auto morning = solar::beam_factor(north, {60, 90}), evening = solar::beam_factor(north, {60, 270});
    CHECK(morning[9] > 1);
    CHECK(morning[15] == 0);
    CHECK(evening[9] == 0);
    CHECK(evening[14] > 1);
    const auto polar = solar::beam_factor(sun::sky_day(day, 78, 15, 1), {50, 180});
    for (double f : polar) CHECK(f == 0);
}

TEST_CASE("plane factors that are kept are those of the same day, place, plane and horizon") {
    const int day = sun::day_number({2026, 11, 6}), summer = sun::day_number({2026, 6, 21});
    const solar::Horizon hills{{0, 0, 90, 25, 180, 0, 270, 10}};
    const sun::SkyDay skies[] = {
        sun::sky_day(day, 36.1, -79.95, -5), sun::sky_day(day + 1, 36.1, -79.95, -5),
        sun::sky_day(day, 36.2, -79.95, -5), sun::sky_day(day, 36.1, -79.95, -6),
        sun::sky_day(summer, 36.1, 3.41, 1), sun::sky_day(summer, 36.1, std::nextafter(3.41, 4), 1)};
    for (int again = 0; again < 2; ++again)
        for (const auto& sky : skies)
            for (const Plane& plane : {Plane{0, 180}, Plane{30, 180}, Plane{30, 170}})
                for (const auto& horizon : {solar::Horizon{}, hills}) {
                    const auto fresh = solar::beam_factor(sky, plane, true, horizon);
                    const auto kept = solar::plane_factors(std::span(&sky, 1), plane, 0.2, horizon).beam;
                    CHECK(std::equal(fresh.begin(), fresh.end(), kept.begin(), kept.end()));
                }
}
