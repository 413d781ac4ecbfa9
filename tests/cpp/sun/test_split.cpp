// Values of Erbs, Klein & Duffie 1982, computed from the published equations (D&B 2.10.1, 2.12.1); the hourly
// ones agree with pvlib 0.16.1 (tests/python/test_sun.py compares there).
#include <catch2/catch.hpp>

#include "handbook.hpp"
#include "ridethrough/sun/position.hpp"
#include "ridethrough/sun/split.hpp"

using namespace ridethrough;

TEST_CASE("Erbs splits") {
    const double k[] = {.1, .3, .4, .5, .6, .7, .8};
    const double share[] = {.9910, .9486, .83999, .65915, .43948, .24398, .16527};
    for (int i = 0; i < 7; ++i) CHECK(sun::diffuse_share_hourly(k[i]) == Approx(share[i]).margin(5e-5));
    CHECK(sun::diffuse_share_hourly(0.95) == Approx(0.165));
    const double winter = 80 * sun::radians_per_degree;
    CHECK(handbook::diffuse_share_monthly(0.5, winter) == Approx(1.391 - 1.780 + 1.04725 - .267125).margin(1e-12));
}

TEST_CASE("the lane template gives the scalar's bits") {
    using V = simd::Pack<double, 4>;
    V k;
    for (int i = 0; i < 4; ++i) k.set_lane(i, 0.15 + 0.22 * i);
    const V share = sun::diffuse_share_hourly(k);
    for (int i = 0; i < 4; ++i) CHECK(share.lane(i) == sun::diffuse_share_hourly(k.lane(i)));
}
