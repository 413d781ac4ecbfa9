// What a refusal says was probably meant. Conversions are exact by definition, but for 12.8 V, the nominal voltage of
// four lithium cells in series.
#include <catch2/catch.hpp>
#include <limits>

#include "ridethrough/config/declare.hpp"

using namespace ridethrough::base;
using namespace ridethrough::config;

namespace {

std::string guess(const char* unit, Range range, double x, std::vector<double> all = {}) {
    return unit_guess(number("x", unit, Variation::fixed, range, std::monostate{}, {}, ""), x, all);
}

}  // namespace

TEST_CASE("a unit is guessed where the converted number lies in range") {
    CHECK(guess("degC", {-2, 12}, 40) == "are degF meant? 40 degF are 4.4 degC");
    CHECK(guess("C", {-60, 50}, 95) == "are degF meant? 95 degF are 35 degC");
    CHECK(guess("degC", {-2, 12}, 20).empty());  // -6.7 degC
    CHECK(guess("", {0, 1}, 62) == "is per cent meant? write 0.62");
    CHECK(guess("", {0, 1}, 1.5).empty());
    CHECK(guess("", {0, 365}, 400).empty());  // no share
    CHECK(guess("Ah", {15, 800}, 1800) == "are Wh meant? 1,800 Wh are 141 Ah at 12.8 V");
    CHECK(guess("W", {20, 1000}, 0.22) == "are kW meant? 0.22 kW are 220 W");
    CHECK(guess("mohm", {0.5, 100}, 0.006) == "are ohm meant? 0.006 ohm are 6 mohm");
    CHECK_THAT(guess("V", {8.5, 12.6}, 21), Catch::Contains("of a 24 V system? 12 V systems only"));
    CHECK(guess("V", {8.5, 12.6}, 48).empty());
    CHECK(guess("W", {0, 10}, std::numeric_limits<double>::infinity()).empty());
}

TEST_CASE("a unit is guessed for all numbers of a list together") {
    CHECK_THAT(guess("kWh/m2", {0, 12}, 20, {8, 20}), Catch::StartsWith("are MJ/m2 meant?"));
    CHECK_THAT(guess("kWh/m2", {0, 12}, 20, {20, 180}), Catch::Contains("sum of the month"));  // 180 MJ are 50 kWh
    CHECK(guess("kWh/m2", {0, 12}, 13, {13, 500}).empty());
}

TEST_CASE("twelve numbers are those of the months") {
    CHECK(place_text(5, 12) == ".6 (June)");
    CHECK(place_text(5, 11) == ".6");
}
