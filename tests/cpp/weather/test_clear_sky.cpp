// The upper end of the days of a month.
#include <catch2/catch.hpp>

#include "ridethrough/weather/clear_sky.hpp"

using namespace ridethrough::weather;

TEST_CASE("a clear sky, after Haurwitz") {
    // 1098 sin(h) exp(-0.059 / sin(h)), by hand at 90, 30 and 6 degrees; pvlib's haurwitz: tests/python/physics.
    CHECK(haurwitz_w_m2(1) == Approx(1035.09).epsilon(1e-5));
    CHECK(haurwitz_w_m2(0.5) == Approx(487.894).epsilon(1e-4));
    CHECK(haurwitz_w_m2(0.1) == Approx(60.8651).epsilon(1e-4));
    CHECK(haurwitz_w_m2(0) == 0);
    CHECK(haurwitz_w_m2(-0.3) == 0);
}

TEST_CASE("the clearest days of a month") {
    // At 60 deg N the December sun stands 6.5 deg high: a cloudless day there has half of the light of the top of the
    // atmosphere, one in June near four fifths (from memory of clear-sky models; the same at sea anywhere in summer).
    const auto north = clearest_days(60, 0);
    CHECK(north[11] == Approx(0.47).margin(0.04));
    CHECK(north[5] == Approx(0.79).margin(0.02));
    for (const double latitude : {-30.0, 0.0, 45.0})
        for (const double k : clearest_days(latitude, 0)) CHECK((k > 0.65 && k < 0.82));
    const auto south = clearest_days(-60, 0);
    CHECK(south[5] == Approx(north[11]).margin(0.02));
    CHECK(clearest_days(-16, 4000)[6] == Approx(1.12 * clearest_days(-16, 0)[6]));
    CHECK(clearest_days(-16, -100) == clearest_days(-16, 0));
    CHECK(clearest_days(80, 0)[11] == 0);  // the polar night
}
