#include <catch2/catch.hpp>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/sun/calendar.hpp"

using namespace ridethrough;
using Catch::Matchers::Contains;

TEST_CASE("day numbers count civil days") {
    CHECK(sun::day_number({1970, 1, 1}) == 0);
    CHECK(sun::day_number({2000, 1, 1}) == 10957);  // J2000 is 2000-01-01 12 h, JD 2451545; the epoch is JD 2440587.5
    CHECK(sun::day_number({1900, 3, 1}) - sun::day_number({1900, 2, 28}) == 1);  // 1900 was no leap year
    CHECK(sun::day_number({2000, 3, 1}) - sun::day_number({2000, 2, 28}) == 2);  // 2000 was
    CHECK(sun::day_of_year(sun::day_number({2024, 12, 31})) == 366);
    CHECK(sun::date_text(sun::day_number({2026, 2, 27}) + 2) == "2026-03-01");
    int day = sun::day_number({1950, 1, 1});
    for (int year = 1950; year <= 2050; ++year)
        for (int month = 1; month <= 12; ++month)
            for (int d = 1; d <= sun::days_in_month(year, month); ++d, ++day) {
                REQUIRE(sun::day_number({year, month, d}) == day);
                REQUIRE(sun::date_of(day) == sun::Date{year, month, d});
            }
}

TEST_CASE("clock times are read strictly and errors name the field") {
    const auto t = sun::parse_clock_time("2026-11-06 15:30", "Trip.start");
    CHECK(sun::date_text(t) == "2026-11-06 15:30");
    CHECK(sun::parse_clock_time("2026-11-06T15:30", "x").hour == 15.5);
    CHECK(sun::parse_clock_time("2026-11-06", "x").hour == 0);
    for (const char* bad : {"", "tomorrow", "2026-11-6 15:00", "2026-13-01 10:00", "2026-02-29", "2026-11-06 24:00",
                            "2026-11-06 15:60", "1949-12-31", "2051-01-01", "2026-11-06 15:00 ", "2026-11-0a 15:00"})
        CHECK_THROWS_WITH(sun::parse_clock_time(bad, "Trip.start"),
                          Contains("Trip.start = \"" + std::string(bad) + "\"") && Contains("YYYY-MM-DD HH:MM"));
    CHECK(sun::parse_start("2026-11-06 15:00", "Trip.start").hour == 15);
    CHECK_THROWS_AS(sun::parse_start("2026-11-06 15:30", "Trip.start"), base::InputError);
    CHECK(sun::date_text(sun::parse_start("2026-11-06", "Trip.start")) == "2026-11-06 15:00");
}
