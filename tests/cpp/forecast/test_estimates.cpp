// Weights and what they say.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "ridethrough/base/math.hpp"
#include "ridethrough/forecast/estimates.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"

using namespace ridethrough;
using forecast::weighted_mean;
using forecast::weighted_share;

namespace {
constexpr double kNone = -std::numeric_limits<double>::infinity();
}

TEST_CASE("weights are likelihoods over their sum") {
    const std::vector<double> logs{-1000, kNone, -1000 + std::log(3.0)};
    const forecast::Weights w = forecast::weights(logs);
    CHECK(w.share[0] == Approx(0.25));
    CHECK(w.share[1] == 0);
    CHECK(w.share[2] == Approx(0.75));
    CHECK(w.effective == Approx(1.6));  // 1 / (1/16 + 9/16)
    CHECK(w.largest == Approx(0.75));
    CHECK(w.log_mean == Approx(-1000 + std::log(4.0 / 3)));
    CHECK(forecast::weights(std::vector<double>{kNone, kNone}).effective == 0);
}

TEST_CASE("with equal weights a share has Wilson's interval and a mean the normal one") {
    const std::vector<double> equal(200, 0.005);
    std::vector<std::uint8_t> event(200, 0);
    for (const int events : {0, 1, 30, 200}) {
        std::fill(event.begin(), event.end(), std::uint8_t{0});
        std::fill_n(event.begin(), events, std::uint8_t{1});
        const stats::Estimate got = weighted_share(equal, event, 0.95), expected = stats::wilson(events, 200);
        CHECK(got.value == Approx(expected.value).margin(1e-12));
        CHECK(got.low == Approx(expected.low).margin(1e-12));
        CHECK(got.high == Approx(expected.high).margin(1e-12));
        CHECK(std::abs(static_cast<double>(got.trials) - 200) <= 1);
    }
    const stats::Estimate mean = weighted_mean(std::vector<double>{0.5, 0.5}, std::vector<double>{1, 3}, 0.95);
    CHECK(mean.value == Approx(2));
    CHECK(mean.high - mean.value == Approx(1.959964 * std::sqrt(0.5)));
}

TEST_CASE("intervals of weighted shares cover as often as they say") {
    // Events of chance 0.2 whose weights go with them: exponential, twice as heavy with the event; the truth is
    // 2 x 0.2 / (2 x 0.2 + 0.8) = 1/3.
    const random::SeedSequence keys(1, random::purpose("test.weights"));
    int covered = 0;
    constexpr int kRuns = 2000, kTrials = 400;
    for (int run = 0; run < kRuns; ++run) {
        random::Stream stream(keys, static_cast<std::uint64_t>(run));
        std::vector<double> share(kTrials);
        std::vector<std::uint8_t> event(kTrials);
        for (std::size_t i = 0; i < kTrials; ++i) {
            event[i] = random::uniform(stream.next()) < 0.2;
            share[i] = -base::log(random::uniform(stream.next())) * (event[i] ? 2 : 1);
        }
        const stats::Estimate e = weighted_share(share, event, 0.95);
        covered += e.low <= 1.0 / 3 && 1.0 / 3 <= e.high;
    }
    // 0.95 of 2,000 are 1,900 with a standard deviation of 9.7; three points less would be 1,840.
    CHECK(covered > 1900 - 4.9 * 9.7);
    CHECK(covered < 1900 + 4.9 * 9.7);
}
