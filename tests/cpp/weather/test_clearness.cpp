// Bendt, Collares-Pereira & Rabl 1981 with the upper limit of Huget 1985 (D&B 5th ed., 2.9.4 to 2.9.6). The figures are
// computed from those equations in an independent program; the approximate exponent's are the published formula's.
#include <catch2/catch.hpp>
#include <cmath>

#include "handbook.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/weather/clearness.hpp"

using namespace ridethrough;
using namespace ridethrough::weather;

TEST_CASE("the published distribution of daily clearness") {
    struct Row {
        double mean, high, gamma, approximate, f2, f3, f5;
    };
    const Row rows[] = {{.3, .69139, -2.12520, -2.1004, .3668, .5539, .8274},
                        {.4, .7354, .1863, .1821, .2081, .3500, .6420},
                        {.5, .76462, 2.27200, 2.3142, .0997, .1878, .4372},
                        {.6, .7915, 4.6209, 4.5748, .0336, .0731, .2352},
                        {.7, .81820, 8.37251, 8.5169, .0040, .0115, .0682}};
    for (const Row& r : rows) {
        const ClearnessRange range = clearness_range(r.mean);
        const double gamma = bendt_gamma(r.mean);
        INFO("mean " << r.mean);
        CHECK(range.low == 0.05);
        CHECK(range.high == Approx(r.high).margin(5e-5));
        CHECK(gamma == Approx(r.gamma).margin(1e-4));
        CHECK(handbook::bendt_gamma_approximate(r.mean) == Approx(r.approximate).margin(5e-4));
        CHECK(bendt_mean(gamma, range) == Approx(r.mean).margin(1e-12));
        CHECK(bendt_mean(handbook::bendt_gamma_approximate(r.mean), range) == Approx(r.mean).margin(0.002));
        CHECK(bendt_cdf(.2, gamma, range) == Approx(r.f2).margin(1e-4));
        CHECK(bendt_cdf(.3, gamma, range) == Approx(r.f3).margin(1e-4));
        CHECK(bendt_cdf(.5, gamma, range) == Approx(r.f5).margin(1e-4));
    }
}

TEST_CASE("quantiles and their table by normal score") {
    const double u[] = {.05, .25, .5, .75, .95};
    const double mean[] = {.3, .5, .7};
    const double quantile[3][5] = {{.06784, .14685, .26895, .43428, .62751},
                                   {.13155, .35899, .53875, .66602, .74659},
                                   {.46399, .65320, .73560, .78390, .81208}};
    const double z[] = {-1.6448536, -.6744898, 0, .6744898, 1.6448536};
    for (int i = 0; i < 3; ++i) {
        const auto range = clearness_range(mean[i]);
        const double gamma = bendt_gamma(mean[i]);
        const auto table = bendt_table(mean[i]);
        REQUIRE(table.size() == static_cast<std::size_t>(score_nodes));
        for (int j = 0; j < 5; ++j) {
            CHECK(bendt_quantile(u[j], gamma, range) == Approx(quantile[i][j]).margin(1e-4));
            const double at = (z[j] + highest_score) * nodes_per_score;
            const auto k = static_cast<std::size_t>(at);
            const double looked = table[k] + (table[k + 1] - table[k]) * (at - static_cast<double>(k));
            CHECK(looked == Approx(quantile[i][j]).margin(1e-4));
        }
        CHECK(std::is_sorted(table.begin(), table.end()));
    }
}

TEST_CASE("limits of mean clearness") {
    for (const double bad : {0.0, -0.1, 0.81, std::nan("")}) CHECK_THROWS_AS(clearness_range(bad), base::InputError);
    const auto dull = clearness_range(0.06);
    CHECK(dull.outside_published);
    CHECK(dull.low == 0.03);
    CHECK(dull.high >= 0.21);
    CHECK_FALSE(clearness_range(0.10).outside_published);
    for (const double mean : {0.01, 0.06, 0.0999, 0.1, 0.8})
        CHECK(bendt_mean(bendt_gamma(mean), clearness_range(mean)) == Approx(mean).margin(1e-12));
    // Through gamma = 0 (a uniform distribution) without a step.
    CHECK(bendt_quantile(0.3, 1e-7, clearness_range(.39)) == Approx(bendt_quantile(0.3, 2e-6, clearness_range(.39))));
    CHECK(bendt_quantile(0.3, -1e-7, clearness_range(.39)) == Approx(bendt_quantile(0.3, -2e-6, clearness_range(.39))));
}

// Mean and standard deviation of the days of a table.
std::pair<double, double> moments(const std::vector<double>& table) {
    double mean = 0, square = 0, sum = 0;
    for (int i = 0; i < score_nodes; ++i) {  // the normal density at equal steps
        const double z = (i - (score_nodes - 1) / 2) / nodes_per_score;
        const double w = std::exp(-z * z / 2), k = table[static_cast<std::size_t>(i)];
        sum += w;
        mean += w * k;
        square += w * k * k;
    }
    mean /= sum;
    return {mean, std::sqrt(square / sum - mean * mean)};
}

TEST_CASE("the learned distribution keeps the mean, inside its limits, and narrows in warm months") {
    for (const double mean : {0.01, 0.06, 0.1, 0.25, 0.4, 0.55, 0.7, 0.8})
        for (const double air : {-20.0, 15.0, 25.0, 40.0}) {
            const auto table = clearness_table(mean, air);
            INFO("mean " << mean << ", air " << air);
            CHECK(std::is_sorted(table.begin(), table.end()));
            CHECK(table.front() >= 0);
            CHECK(table.back() <= 0.881);
            CHECK(moments(table).first == Approx(mean).margin(0.0005));
        }
    // Standard deviations of measured records (season means; aquacrop 3.1.0 CP.dat): winter .168 at .537 and -2 degC,
    // summer .135 at .583 and 22 degC; the coefficients miss them by up to a tenth (tests/long/fit_clearness.py).
    CHECK(moments(clearness_table(0.537, -2)).second == Approx(0.168).epsilon(0.1));
    CHECK(moments(clearness_table(0.583, 22)).second == Approx(0.135).epsilon(0.1));
    CHECK_THROWS_AS(clearness_table(1.01, 10), base::InputError);
    // Below what a cloudless day has, as far as the month's own mean leaves room.
    for (const double mean : {0.1, 0.25, 0.4}) {
        const auto table = clearness_table(mean, 2, 0.45);
        CHECK(table.back() <= 0.4501);
        CHECK(moments(table).first == Approx(mean).margin(0.0005));
    }
    CHECK(clearness_table(0.4, 2, 0.3).back() == Approx(1.08 * 0.4));
}

TEST_CASE("days that lie farther from their mean keep it, inside what can be") {
    for (const double mean : {0.3, 0.5, 0.65}) {
        const auto learned = clearness_table(mean, 8, 0.78), wide = spread_days(learned, 1.12, 0.78);
        CHECK(spread_days(learned, 1, 0.78) == learned);
        CHECK(moments(wide).first == Approx(moments(learned).first).margin(1e-9));
        CHECK(moments(wide).second == Approx(1.12 * moments(learned).second).epsilon(0.03));
        CHECK(moments(spread_days(learned, 0.8, 0.78)).second == Approx(0.8 * moments(learned).second).epsilon(1e-9));
        CHECK(std::is_sorted(wide.begin(), wide.end()));
        CHECK(wide.front() >= 0.02);
        CHECK(wide.back() <= 0.78);
    }
}

TEST_CASE("a table from measured days") {
    const std::vector<double> days = {.1, .2, .4, .6, .7};
    const auto table = empirical_clearness_table(days);
    CHECK(table.front() == .1);
    CHECK(table.back() == .7);
    CHECK(table[score_nodes / 2] == Approx(.4));
    CHECK_THROWS_AS(empirical_clearness_table({}), base::InputError);
}
