#include <catch2/catch.hpp>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/stats/phrasing.hpp"

using namespace ridethrough;
using namespace ridethrough::stats;

namespace {
std::string chance(std::int64_t events, std::int64_t trials) { return chance_text(wilson(events, trials)); }
std::string figures(std::int64_t events, std::int64_t trials) { return estimate_text(wilson(events, trials)); }
}  // namespace

TEST_CASE("a chance in words") {
    CHECK(chance(2'480, 20'000) == "About 1 in 8");
    CHECK(chance(1, 3) == "About 1 in 3");
    CHECK(chance(1'000, 20'000) == "About 1 in 20");
    CHECK(chance(425, 20'000) == "About 1 in 45");
    CHECK(chance(153, 20'000) == "About 1 in 130");
    CHECK(chance(16, 20'000) == "About 1 in 1,300");
    CHECK(chance(34, 100) == "About 3 in 10");
    CHECK(chance(50, 100) == "About 5 in 10");
    CHECK(chance(94, 100) == "About 9 in 10");
    CHECK(chance(95, 100) == "Nearly all");
    CHECK(chance(19'999, 20'000) == "Nearly all");
    CHECK(chance(20'000, 20'000) == "All of 20,000 trials");
}

TEST_CASE("none seen: a bound that holds, or too few to say") {
    CHECK(chance(0, 20'000) == "Fewer than 1 in 6,000 (95 %)");  // 20,000 / 2.9957 = 6,676
    CHECK(chance(0, 1'000) == "Fewer than 1 in 300 (95 %)");     // 1 / 0.00299125 = 334
    CHECK(chance_text(wilson(0, 1'000, .99)) == "Fewer than 1 in 200 (99 %)");
    CHECK(chance(0, 3) == "None in 3 trials, too few to say");  // the bound is 63 %
    CHECK(chance(0, 1) == "None in 1 trial, too few to say");
    CHECK(chance(3, 3) == "All of 3 trials, too few to say");
    Estimate weighted = wilson(0, 1'000);  // of weighted trials no events are counted: the upper limit is the bound
    weighted.events = Estimate::not_counted;
    CHECK(chance_text(weighted) == "Fewer than 1 in 250 (95 %)");  // high is .00383, 1 in 261
    for (std::int64_t n = 1; n < 3'000; ++n) {
        const std::string text = chance(0, n);
        if (text.rfind("Fewer", 0) != 0) continue;
        std::string digits;
        for (const char c : text.substr(16, text.find(" (") - 16))
            if (c != ',') digits += c;
        REQUIRE(1 / std::stod(digits) >= zero_event_bound(n));
    }
}

TEST_CASE("the figures behind it") {
    CHECK(figures(2'479, 20'000) == "12 %; sampling error alone 11.9-12.9 %, 20,000 trials");
    CHECK(figures(1'000, 20'000) == "5.0 %; sampling error alone 4.71-5.31 %, 20,000 trials");
    CHECK(figures(10, 1'000) == "1.0 %; sampling error alone 0.54-1.83 %, 1,000 trials");
    CHECK(figures(996, 10'000) == "10 %; sampling error alone 9.4-10.6 %, 10,000 trials");
    // A large sample earns digits: 25 % would lie outside its own interval, and 12.0-12.0 % would say nothing.
    CHECK(figures(246'273, 1'000'000) == "24.6 %; sampling error alone 24.54-24.71 %, 1,000,000 trials");
    CHECK(figures(120'000, 1'000'000) == "12.0 %; sampling error alone 11.94-12.06 %, 1,000,000 trials");
    CHECK(figures(0, 20'000) == "0 %; sampling error alone 0-0.0192 %, 20,000 trials");
    CHECK(figures(19'994, 20'000) == "99.970 %; sampling error alone 99.9346-99.9863 %, 20,000 trials");
    CHECK(figures(20, 20) == "100 %; sampling error alone 83.9-100 %, 20 trials");
    CHECK(figures(1, 1) == "100 %; sampling error alone 20.7-100 %, 1 trial");
}

TEST_CASE("only a probability can be said") {
    Estimate difference{.value = -.04, .low = -.06, .high = -.02, .trials = 100};
    CHECK_THROWS_AS(chance_text(difference), base::InputError);
    CHECK_THROWS_AS(estimate_text(difference), base::InputError);
    difference.events = 4;
    CHECK_THROWS_AS(estimate_text(difference), base::InputError);
}

TEST_CASE("thousands") {
    CHECK(grouped(0) == "0");
    CHECK(grouped(999) == "999");
    CHECK(grouped(1'000) == "1,000");
    CHECK(grouped(1'234'567) == "1,234,567");
    CHECK(grouped(-123'456) == "-123,456");
}
