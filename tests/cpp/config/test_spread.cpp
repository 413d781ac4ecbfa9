// The quantile of every shape against its closed-form distribution function. Comparisons with SciPy: test_records.py.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "ridethrough/config/configuration.hpp"

using namespace ridethrough::base;
using namespace ridethrough::config;
using Catch::Matchers::Contains;

namespace {

constexpr double kInf = std::numeric_limits<double>::infinity();
const std::vector<double> kProbabilities{1e-9, 1e-4, 0.02, 0.25, 0.5, 0.618, 0.9, 0.999, 1 - 1e-6};

double triangular_cdf(double x, double low, double mode, double high) {
    if (x <= mode) return (x - low) * (x - low) / ((high - low) * (mode - low));
    return 1 - (high - x) * (high - x) / ((high - low) * (high - mode));
}

}  // namespace

TEST_CASE("uniform and triangular quantiles invert their distribution functions") {
    for (const double u : kProbabilities) {
        CHECK(Spread::uniform(-2, 6).quantile(u, -kInf, kInf) == Approx(-2 + 8 * u).epsilon(1e-15));
        const double x = Spread::triangular(0.7, 1.0, 1.5).quantile(u, -kInf, kInf);
        CHECK(triangular_cdf(x, 0.7, 1.0, 1.5) == Approx(u).epsilon(1e-6));  // 1e-16 / 1e-5 wide at u = 1e-9
    }
    // mode at an end: x = sqrt(u), x = 1 - sqrt(1 - u)
    CHECK(Spread::triangular(0, 1, 1).quantile(0.25, -kInf, kInf) == 0.5);
    CHECK(Spread::triangular(0, 0, 1).quantile(0.75, -kInf, kInf) == 0.5);
}

// The PERT's inverse comes from a table: measured against SciPy's beta it is within 5e-10 of the probability.
constexpr double kTable = 1e-9;

TEST_CASE("PERT quantile inverts the beta distribution where that has a closed form") {
    for (const double u : kProbabilities) {
        // mode at the low end: beta(1, 5), F = 1 - (1 - x)^5
        const double a1 = Spread::pert(0, 0, 1).quantile(u, -kInf, kInf);
        CHECK(1 - std::pow(1 - a1, 5) == Approx(u).margin(kTable));
        // mode at the high end: beta(5, 1), F = x^5
        CHECK(std::pow(Spread::pert(0, 1, 1).quantile(u, -kInf, kInf), 5) == Approx(u).margin(kTable));
        // mode in the middle: beta(3, 3), F = 6x^5 - 15x^4 + 10x^3
        const double x = Spread::pert(10, 20, 30).quantile(u, -kInf, kInf) / 20 - 0.5;
        CHECK(((6 * x - 15) * x + 10) * x * x * x == Approx(u).margin(kTable));
        // mode at a quarter: beta(2, 4), F = 1 - (1 - x)^4 (1 + 4x)
        const double q = Spread::pert(0, 1, 4).quantile(u, -kInf, kInf) / 4;
        CHECK(1 - std::pow(1 - q, 4) * (1 + 4 * q) == Approx(u).margin(kTable));
    }
}

TEST_CASE("quantiles rise with u and stay inside the support") {
    const std::vector<Spread> spreads{Spread::uniform(0.1, 0.3),
                                      Spread::triangular(0, 0.02, 0.1),
                                      Spread::pert(0.1, 0.2, 0.9),
                                      Spread::normal(0.5, 2.0),
                                      Spread::discrete({0.3, 0.1, 0.2}, {1, 2, 3}),
                                      Spread::pert(0, 0.999, 1),
                                      Spread::pert(0.5, 0.5001, 0.9)};
    for (const Spread& s : spreads) {
        CAPTURE(s.text());
        double last = -kInf;
        for (int i = 0; i < 4096; ++i) {
            const double x = s.quantile((i + 0.5) / 4096, 0, 1);
            REQUIRE(x >= last);
            REQUIRE(x >= std::max(0.0, s.lowest()));
            REQUIRE(x <= std::min(1.0, s.highest()));
            last = x;
        }
        CHECK(s.quantile(0.5 / 4294967296.0, 0, 1) <= s.quantile(0.5 / 4096, 0, 1));
        CHECK(s.quantile(1 - 0.5 / 4294967296.0, 0, 1) <= 1);
    }
}

TEST_CASE("the normal is cut at the range it is asked for") {
    const Spread s = Spread::normal(3, 2);
    CHECK(s.quantile(0.5, -kInf, kInf) == Approx(3).margin(1e-12));
    // one standard deviation: 0.8413447460685429 (Abramowitz & Stegun, table 26.1)
    CHECK(s.quantile(0.8413447460685429, -kInf, kInf) == Approx(5).epsilon(1e-12));
    CHECK(s.quantile(0.5, 1, 5) == Approx(3).margin(1e-12));
    CHECK(s.quantile(1e-12, 1, 5) == Approx(1).margin(1e-10));
    CHECK(s.quantile(0.5, 3, kInf) == Approx(3 + 2 * 0.6744897501960817).epsilon(1e-12));  // the upper quartile
    CHECK_THROWS_AS(s.quantile(0.5, 5, 1), InputError);
}

TEST_CASE("discrete spreads are sorted, merged and drawn by weight") {
    const Spread s = Spread::discrete({5, 1, 5, 2}, {1, 2, 1, 4});
    CHECK(s == Spread::discrete({1, 2, 5}, {2, 4, 2}));
    CHECK(s.quantile(0.25, -kInf, kInf) == 1);
    CHECK(s.quantile(0.26, -kInf, kInf) == 2);
    CHECK(s.quantile(0.75, -kInf, kInf) == 2);
    CHECK(s.quantile(0.76, -kInf, kInf) == 5);
    CHECK(s.mean() == Approx((2 * 1 + 4 * 2 + 2 * 5) / 8.0));
}

TEST_CASE("means by the textbook formulas") {
    CHECK(Spread::uniform(2, 6).mean() == 4);
    CHECK(Spread::triangular(0, 3, 6).mean() == 3);
    CHECK(Spread::triangular(0, 0, 6).mean() == 2);
    CHECK(Spread::pert(0, 1, 8).mean() == 2);  // (low + 4 mode + high) / 6
    CHECK(Spread::normal(1.5, 9).mean() == 1.5);
}

TEST_CASE("makers refuse what is not a distribution, NaN included") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_AS(Spread::uniform(1, 1), InputError);
    CHECK_THROWS_AS(Spread::uniform(nan, 1), InputError);
    CHECK_THROWS_AS(Spread::uniform(0, kInf), InputError);
    CHECK_THROWS_AS(Spread::triangular(0, 2, 1), InputError);
    CHECK_THROWS_AS(Spread::triangular(0, nan, 1), InputError);
    CHECK_THROWS_AS(Spread::pert(1, 1, 1), InputError);
    CHECK_THROWS_AS(Spread::normal(0, 0), InputError);
    CHECK_THROWS_AS(Spread::normal(0, nan), InputError);
    CHECK_THROWS_AS(Spread::discrete({}, {}), InputError);
    CHECK_THROWS_AS(Spread::discrete({1, 2}, {1}), InputError);
    CHECK_THROWS_AS(Spread::discrete({1, 2}, {1, 0}), InputError);
    CHECK_THROWS_WITH(Spread::uniform(0, 1, Variation::fixed), Contains("per"));
    CHECK_THROWS_WITH(Spread::triangular(0, 2, 1), Contains("triangular(0, 2, 1)") && Contains("low <= mode <= high"));
    for (const double u : {0.0, 1.0, -1.0, nan}) CHECK_THROWS_AS(Spread::uniform(0, 1).quantile(u, 0, 1), InputError);
}

TEST_CASE("the text of a spread is what Python evaluates") {
    CHECK(Spread::triangular(0.8, 0.9, 1.0, Variation::trial).text() == "triangular(0.8, 0.9, 1, per='trial')");
    CHECK(Spread::discrete({1, 2}, {0.5, 3}).text() == "discrete([1, 2], [0.5, 3])");
    CHECK(Spread::uniform(-0.0, 1) == Spread::uniform(0, 1));
    CHECK(Spread::uniform(-0.0, 1).text() == "uniform(0, 1)");
}
