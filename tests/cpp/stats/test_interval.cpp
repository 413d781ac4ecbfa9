#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/stats/beta.hpp"
#include "ridethrough/stats/interval.hpp"
#include "ridethrough/stats/paired.hpp"
#include "ridethrough/stats/quantile.hpp"
#include "ridethrough/stats/stopping.hpp"

using namespace ridethrough;
using namespace ridethrough::stats;

namespace {
const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinity = std::numeric_limits<double>::infinity();

// Within the rounding of a figure printed to so many decimals.
Approx printed(double x, int decimals) { return Approx(x).margin(0.51 * std::pow(10.0, -decimals)).epsilon(0); }
}  // namespace

TEST_CASE("Wilson and Clopper-Pearson: published examples") {
    struct Case {
        std::int64_t events, trials;
        double wilson_low, wilson_high, exact_low, exact_high;
    };
    // Newcombe 1998, Statistics in Medicine 17:857-872, table I, 95 %.
    const Case cases[] = {{81, 263, .2553, .3662, .2527, .3676},
                          {15, 148, .0624, .1605, .0578, .1617},
                          {0, 20, 0, .1611, 0, .1684},
                          {1, 29, .0061, .1718, .0009, .1776}};
    for (const Case& c : cases) {
        const Estimate w = wilson(c.events, c.trials), e = clopper_pearson(c.events, c.trials);
        CHECK(w.low == printed(c.wilson_low, 4));
        CHECK(w.high == printed(c.wilson_high, 4));
        CHECK(e.low == printed(c.exact_low, 4));
        CHECK(e.high == printed(c.exact_high, 4));
        CHECK(w.value == static_cast<double>(c.events) / static_cast<double>(c.trials));
    }
    // Computed with SciPy.
    CHECK(wilson(10, 1000).low == printed(.0054408, 7));
    CHECK(wilson(10, 1000).high == printed(.0183095, 7));
    CHECK(clopper_pearson(10, 1000).low == printed(.0048055, 7));
    CHECK(clopper_pearson(10, 1000).high == printed(.0183132, 7));
}

TEST_CASE("intervals at the ends, mirrored and nested") {
    CHECK(wilson(0, 20).low == 0);
    CHECK(wilson(20, 20).high == 1);
    CHECK(clopper_pearson(0, 20).low == 0);
    CHECK(clopper_pearson(20, 20).high == 1);
    for (std::int64_t k = 0; k <= 50; ++k) {
        const Estimate a = wilson(k, 50), b = wilson(50 - k, 50), wide = wilson(k, 50, .99);
        CHECK(a.low == Approx(1 - b.high).margin(1e-14));
        CHECK(wide.low <= a.low);
        CHECK(a.high <= wide.high);
        CHECK(a.low <= a.value);
        CHECK(a.value <= a.high);
    }
}

TEST_CASE("no events: the rule of three, exactly") {
    // 1 - 0.05^(1/n); the rule 3/n: Hanley and Lippman-Hand 1983, JAMA 249:1743.
    CHECK(zero_event_bound(20) == printed(.139108, 6));
    CHECK(zero_event_bound(100) == printed(.0295130, 7));
    CHECK(zero_event_bound(1000) == printed(.00299125, 8));
    CHECK(zero_event_bound(1'000'000'000) * 1e9 == Approx(-std::log(.05)).epsilon(1e-8));
    CHECK(zero_event_bound(1) == Approx(.95).epsilon(1e-14));
}

TEST_CASE("incomplete beta: closed forms") {
    const auto arcsine_law = [](double x) {  // by the end that keeps its digits
        return x < .5 ? 2 / M_PI * std::asin(std::sqrt(x)) : 1 - 2 / M_PI * std::asin(std::sqrt(1 - x));
    };
    for (const double x : {1e-9, .1, .5, .77, 1 - 1e-9}) {
        CHECK(incomplete_beta(1, 1, x) == Approx(x).epsilon(1e-12));
        CHECK(incomplete_beta(3, 1, x) == Approx(x * x * x).epsilon(1e-12));
        CHECK(incomplete_beta(1, 4, x) == Approx(-std::expm1(4 * std::log1p(-x))).epsilon(1e-12));
        CHECK(incomplete_beta(.5, .5, x) == Approx(arcsine_law(x)).epsilon(1e-12));
    }
    CHECK(incomplete_beta(2e6, 2e6, .5) == Approx(.5).epsilon(1e-9));
    CHECK(binomial_cdf(2, 4, .5) == Approx(11.0 / 16).epsilon(1e-13));
    CHECK(binomial_cdf(-1, 4, .5) == 0);
    CHECK(binomial_cdf(4, 4, .5) == 1);
}

TEST_CASE("Student quantiles: standard table") {
    // Two-sided 95 % and 99 %, any table of Student's t; 1.95996 is the normal limit.
    CHECK(two_sided_t(.95, 1) == printed(12.706, 3));
    CHECK(two_sided_t(.95, 9) == printed(2.262, 3));
    CHECK(two_sided_t(.99, 30) == printed(2.750, 3));
    CHECK(two_sided_t(.95, 1e8) == printed(1.95996, 5));
    CHECK(two_sided_z(.95) == printed(1.95996, 5));
}

TEST_CASE("quantile: order-statistic limits") {
    std::vector<double> column;
    for (int i = 1; i <= 100; ++i) column.push_back((i * 37) % 101);  // 1 to 100, shuffled
    // Ranks 40 and 61 for the median of 100: Conover, Practical Nonparametric Statistics (from memory).
    const Estimate median = quantile_interval(column, .5);
    CHECK(median.value == 50);
    CHECK(median.low == 40);
    CHECK(median.high == 61);
    CHECK(median.events == Estimate::not_counted);
    CHECK(quantile_interval(column, .07).value == 7);

    // By hand: the extremes of six miss the median with probability 2 * 0.5^6 = 3.1 %, those of five with 6.3 %.
    const std::vector<double> six{3, 1, 2, 6, 5, 4}, five{3, 1, 2, 5, 4};
    CHECK(quantile_interval(six, .5).low == 1);
    CHECK(quantile_interval(six, .5).high == 6);
    CHECK(quantile_interval(five, .5).low == -infinity);
    CHECK(quantile_interval(five, .5).high == infinity);

    const std::vector<double> never{1, 2, infinity, infinity, infinity, infinity, infinity};
    CHECK(quantile_interval(never, .5).value == infinity);
    CHECK(quantile_interval(never, .2).value == 2);
}

TEST_CASE("paired difference of risks: published examples") {
    struct Case {
        PairedCounts counts;
        double low, high;
    };
    // Newcombe 1998, Statistics in Medicine 17:2635-2650, method 10 (as quoted in the tests of the R package propint).
    // The last: Cavo et al. 2012, as in Fagerland, Lydersen and Laake, Statistical Analysis of Contingency Tables,
    // chapter 8 (figures of their R package contingencytables).
    const Case cases[] = {{{36, 12, 2, 0}, .0569, .3404},
                          {{18, 12, 2, 18}, .0562, .3290},
                          {{53, 0, 0, 1}, -.0729, .0729},
                          {{0, 30, 0, 0}, .8395, 1.0000},
                          {{59, 6, 16, 80}, -.1186, -.0046}};
    for (const Case& c : cases) {
        const Estimate e = paired_difference(c.counts);
        CHECK(e.low == printed(c.low, 4));
        CHECK(e.high == printed(c.high, 4));
        const auto [both, first_only, second_only, neither] = c.counts;
        const Estimate mirrored = paired_difference(PairedCounts{both, second_only, first_only, neither});
        CHECK(mirrored.low == Approx(-e.high).margin(1e-14));
    }
}

TEST_CASE("paired difference of columns") {
    const std::vector<std::uint8_t> a{1, 1, 0, 0, 1}, b{1, 0, 0, 1, 0};
    const Estimate columns = paired_difference(a, b), counts = paired_difference(PairedCounts{1, 2, 1, 1});
    CHECK(columns == counts);
    CHECK(columns.value == Approx(.2));
    CHECK(columns.trials == 5);

    // Student 1908, Biometrika 6:1-25: hours of sleep gained by ten patients with two drugs; mean difference -1.58 h,
    // 95 % limits -2.4599 and -0.7001 (R's own example of a paired t test).
    const std::vector<double> one{.7, -1.6, -.2, -1.2, -.1, 3.4, 3.7, .8, 0, 2},
        two{1.9, .8, 1.1, .1, -.1, 4.4, 5.5, 1.6, 4.6, 3.4};
    const Estimate sleep = paired_difference(one, two);
    CHECK(sleep.value == Approx(-1.58));
    CHECK(sleep.low == printed(-2.4598858, 7));
    CHECK(sleep.high == printed(-.7001142, 7));
}

TEST_CASE("blocks are added until the half-width is reached") {
    const StoppingRule rule{.half_width = .01, .block = 1000, .max_trials = 200'000};
    for (const double p : {0., .003, .05, .3, .5, .93, 1.}) {
        std::int64_t trials = 0, events = 0, rounds = 0;
        while (const std::int64_t n = next_block(events, trials, rule)) {
            CHECK(n % 1000 == 0);
            if (trials > 0) CHECK(n <= std::max<std::int64_t>(1000, trials));
            trials += n;
            events = std::llround(p * static_cast<double>(trials));
            REQUIRE(++rounds < 50);
        }
        CHECK(half_width_reached(wilson(events, trials), .01));
        CHECK_FALSE(half_width_reached(
            wilson(std::llround(p * static_cast<double>(trials - 1000)), std::max<std::int64_t>(1, trials - 1000)),
            .01));  // and not a block more
    }
    CHECK(next_block(0, 0, {.block = 4096, .max_trials = 100}) == 100);
    CHECK(next_block(50, 100, {.half_width = 1e-4, .block = 64, .max_trials = 150}) == 50);
    CHECK(next_block(75, 150, {.half_width = 1e-4, .block = 64, .max_trials = 150}) == 0);
}

TEST_CASE("bad input is named") {
    CHECK_THROWS_WITH(wilson(5, 4), "events = 5: allowed 0 to trials = 4");
    CHECK_THROWS_WITH(wilson(0, 0), "trials = 0: allowed 1 or more");
    CHECK_THROWS_WITH(wilson(1, 2, not_a_number), "confidence = nan: allowed more than 0 up to 0.999999999");
    CHECK_THROWS_AS(clopper_pearson(-1, 4), base::InputError);
    CHECK_THROWS_AS(clopper_pearson(1, 4, 1.0), base::InputError);
    CHECK_THROWS_AS(zero_event_bound(-3), base::InputError);
    CHECK_THROWS_AS(incomplete_beta(1, 1, not_a_number), base::InputError);
    CHECK_THROWS_AS(incomplete_beta(not_a_number, 1, .5), base::InputError);
    CHECK_THROWS_AS(beta_quantile(not_a_number, 1, 1), base::InputError);
    CHECK_THROWS_AS(quantile_interval(std::vector<double>{}, .5), base::InputError);
    CHECK_THROWS_AS(quantile_interval(std::vector<double>{1, not_a_number}, .5), base::InputError);
    CHECK_THROWS_AS(quantile_interval(std::vector<double>{1}, not_a_number), base::InputError);
    CHECK_THROWS_AS(paired_difference(PairedCounts{1, -1, 1, 1}), base::InputError);
    CHECK_THROWS_AS(paired_difference(PairedCounts{}), base::InputError);
    CHECK_THROWS_AS(paired_difference(std::vector<double>{1, 2}, std::vector<double>{1}), base::InputError);
    CHECK_THROWS_AS(paired_difference(std::vector<double>{1}, std::vector<double>{1}), base::InputError);
    CHECK_THROWS_AS(paired_difference(std::vector<double>{1, infinity}, std::vector<double>{1, 1}), base::InputError);
    CHECK_THROWS_AS(next_block(1, 10, {.half_width = not_a_number}), base::InputError);
    CHECK_THROWS_AS(next_block(11, 10, {}), base::InputError);
}
