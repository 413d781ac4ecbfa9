// A former name in C++ is an error with the name of now.
#include <catch2/catch.hpp>

#include "ridethrough/ridethrough.hpp"

using namespace ridethrough;

TEST_CASE("a former name is an error with the name of now") {
    CHECK_THROWS_WITH(make("LfpBattery"), "LfpBattery: now LithiumBattery");
    CHECK_THROWS_WITH(make("AgmBattery", {{"start_charge", 0.9}}), "AgmBattery.start_charge: now initial_soc");
    CHECK_THROWS_WITH(Van().with({{"panel_film", none}}), "Van.panel_film: now snow_and_frost");
    const Climate climate({{"latitude", 36.1},
                           {"longitude", -79.95},
                           {"ghi_kwh_m2_day", std::vector<double>(12, 2.5)},
                           {"air_temp_c", std::vector<double>(12, 9.0)}});
    const Site site({{"latitude", 36.1}, {"longitude", -79.95}, {"utc_offset_h", -5}, {"climate", climate}});
    const Trip trip({{"site", site}, {"start", "2026-11-06 15:00"}, {"nights", 1}});
    const Risk risk = simulate(Van(), trip, {.trials = 4});
    CHECK_THROWS_WITH(risk.column("device"), "column = \"device\": now \"cutout_cause\"");
}
