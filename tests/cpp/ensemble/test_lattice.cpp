// Batteries small enough to solve exactly, simulated with the project's streams, threads and intervals.
// Lattice figures: exact Markov chains worked out apart from this program and confirmed there by 2e6 simulated paths;
// gambler's ruin after Feller, An Introduction to Probability Theory I, chapter XIV. Each is recomputed here by other
// code than what simulates.
#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "ensemble/walk.hpp"
#include "ridethrough/ensemble/fixed_sum.hpp"
#include "ridethrough/stats/interval.hpp"
#include "statcheck.hpp"

using namespace ridethrough;
using ensemble::GaussianWalk;
using ensemble::LatticeWalk;

namespace {

constexpr std::int64_t trials = 100'000;

struct Exact {
    double ruin = 0, mean_days = 0;
};

// Probability mass by (level, yesterday good or bad), one day at a time; levels are whole numbers.
Exact exact(const LatticeWalk& w) {
    const double highest = std::min({w.cap, w.target, w.start + w.up * w.days});
    const auto top = static_cast<std::size_t>(highest);
    std::vector<std::array<double, 2>> mass(top + 1), next(top + 1);
    const double share = w.p_up_after_down / (w.p_up_after_down + 1 - w.p_up_after_up);
    Exact result;
    for (int day = 0; day < w.days; ++day) {
        double alive = 0;
        for (auto& m : next) m = {};
        for (std::size_t level = 1; level <= top; ++level)
            for (std::size_t good = 0; good < 2; ++good) {
                const double m =
                    day == 0 ? (good == 1 && static_cast<double>(level) == w.start ? 1.0 : 0.0) : mass[level][good];
                if (m == 0) continue;
                alive += m;
                const double p = day == 0 ? share : good == 1 ? w.p_up_after_up : w.p_up_after_down;
                const double rise = std::min(w.cap, static_cast<double>(level) + w.up);
                const double fall = static_cast<double>(level) - w.down;
                if (rise < w.target) next[static_cast<std::size_t>(rise)][1] += m * p;
                if (fall > 0)
                    next[static_cast<std::size_t>(fall)][0] += m * (1 - p);
                else
                    result.ruin += m * (1 - p);
            }
        result.mean_days += alive;
        std::swap(mass, next);
    }
    return result;
}

double phi(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

// Density of the level on a grid over (0, top), Simpson's rule, with an atom at the cap.
double exact(const GaussianWalk& w) {
    const int intervals = 3000;
    const bool capped = w.cap < ensemble::no_level;
    const double top = capped ? w.cap : w.start + w.mean * w.days + 9 * w.sd * std::sqrt(w.days);
    const double h = top / intervals;
    const auto at = [](int i) { return static_cast<std::size_t>(i); };
    const auto bell = [&](double x) { return std::exp(-0.5 * x * x / (w.sd * w.sd)) / (w.sd * std::sqrt(2 * M_PI)); };
    std::vector<double> kernel(at(2 * intervals + 1)), mass(at(intervals + 1)), next(at(intervals + 1));
    for (int d = -intervals; d <= intervals; ++d) kernel[at(d + intervals)] = bell(d * h - w.mean);

    double atom = capped && w.start == w.cap ? 1 : 0, alive = 1;
    for (int day = 0; day < w.days; ++day) {
        const auto reaches_cap = [&](double x) { return capped ? phi((x + w.mean - w.cap) / w.sd) : 0; };
        const double point = day == 0 && atom == 0 ? 1 : 0;  // all of it still at the start
        double full = atom * reaches_cap(top) + point * reaches_cap(w.start);
        for (int i = 0; i <= intervals; ++i) full += mass[at(i)] * reaches_cap(i * h);
        alive = full;
        for (int j = 0; j <= intervals; ++j) {
            double density = atom * kernel[at(j)] + point * bell(j * h - w.start - w.mean);
            for (int i = 0; i <= intervals; ++i) density += mass[at(i)] * kernel[at(j - i + intervals)];
            const double weight = h / 3 * (j == 0 || j == intervals ? 1 : j % 2 ? 4 : 2);
            next[at(j)] = density * weight;
            alive += next[at(j)];
        }
        std::swap(mass, next);
        atom = full;
    }
    return 1 - alive;
}

template <class Plan>
void check_simulated(const Plan& plan, double ruin, std::uint64_t seed, double smallest_error) {
    ensemble::WalkColumns columns(trials);
    REQUIRE_FALSE(walk(plan, seed, {2, 256}, columns).cancelled);
    std::int64_t events = 0;
    for (const std::uint8_t r : columns.ruined) events += r;
    INFO("simulated " << static_cast<double>(events) / trials << ", exact " << ruin);
    CHECK(statcheck::proportion_agrees(events, trials, ruin, {smallest_error}));
    const stats::Estimate e = stats::wilson(events, trials, 1 - 1e-6);
    CHECK(e.low <= ruin);
    CHECK(ruin <= e.high);
}

struct LatticeCase {
    LatticeWalk walk;
    double ruin;
};

LatticeWalk battery(double cap, double up, double down, double after_up, double after_down, int days) {
    return {.start = cap,
            .cap = cap,
            .up = up,
            .down = down,
            .p_up_after_up = after_up,
            .p_up_after_down = after_down,
            .days = days};
}
LatticeWalk uncapped(double start, double p, int days) {
    return {.start = start, .cap = ensemble::no_level, .p_up_after_up = p, .p_up_after_down = p, .days = days};
}

}  // namespace

TEST_CASE("lattice battery: independent and persistent weather") {
    const LatticeCase cases[] = {
        {battery(4, 1, 1, .6, .6, 7), .0888832},
        {battery(4, 1, 1, .6, .6, 14), .24649231},
        {battery(4, 1, 1, .7, .45, 7), .17750549},
        {battery(4, 1, 1, .7, .45, 14), .40340972},
        {battery(10, 3, 2, .5, .5, 7), .0625},
        {battery(10, 3, 2, .5, .5, 14), .20806885},
        {battery(10, 3, 2, .5, .5, 30), .46624287},
        {battery(10, 3, 2, .645, .355, 7), .14798066},
        {battery(10, 3, 2, .645, .355, 14), .38525529},
        {battery(10, 3, 2, .645, .355, 30), .70520042},
        // by hand: ruin on the first possible day
        {battery(4, 1, 1, .6, .6, 4), .4 * .4 * .4 * .4},
        {battery(4, 1, 1, .7, .45, 4), .4 * .55 * .55 * .55},
    };
    std::uint64_t seed = 100;
    for (const LatticeCase& c : cases) {
        CHECK(exact(c.walk).ruin == Approx(c.ruin).margin(1e-8).epsilon(0));
        check_simulated(c.walk, c.ruin, ++seed, 0.012);
    }
}

TEST_CASE("walk without a cap up to a horizon: reflection principle") {
    const LatticeCase cases[] = {{uncapped(3, .5, 10), .34375},
                                 {uncapped(5, .5, 20), .2631760},
                                 {uncapped(5, .55, 30), .2030814},
                                 {uncapped(4, .6, 14), .1134808}};
    std::uint64_t seed = 200;
    for (const LatticeCase& c : cases) {
        CHECK(exact(c.walk).ruin == Approx(c.ruin).margin(5.1e-8).epsilon(0));  // the figures have seven decimals
        check_simulated(c.walk, c.ruin, ++seed, 0.012);
    }
}

TEST_CASE("gambler's ruin: probability and duration") {
    struct Case {
        double start, target, p, ruin, days;
    };
    const Case cases[] = {{5, 10, .49, .549841, 24.9203},
                          {3, 10, .55, .477464, 22.25364},
                          {10, 20, .4, .982954, 48.29541},
                          {2, 10, .6, .434640, 18.26799}};
    std::uint64_t seed = 300;
    for (const Case& c : cases) {
        LatticeWalk w = uncapped(c.start, c.p, 5000);
        w.target = c.target;
        const Exact chain = exact(w);
        const double r = (1 - c.p) / c.p, ri = std::pow(r, c.start), rn = std::pow(r, c.target);
        const double closed = (ri - rn) / (1 - rn), drift = 1 - 2 * c.p;
        CHECK(chain.ruin == Approx(closed).margin(1e-12).epsilon(0));
        CHECK(closed == Approx(c.ruin).margin(5.1e-7).epsilon(0));
        CHECK(chain.mean_days == Approx(c.start / drift - c.target / drift * (1 - ri) / (1 - rn)).epsilon(1e-10));
        CHECK(chain.mean_days == Approx(c.days).margin(5.1e-5).epsilon(0));

        check_simulated(w, closed, ++seed, 0.012);
        ensemble::WalkColumns columns(trials);
        walk(w, seed, {2, 256}, columns);
        ensemble::FixedSum sum(trials), squares(trials);
        for (std::int64_t t = 0; t < trials; ++t) {
            const double d = columns.days[static_cast<std::size_t>(t)];
            sum.add(t, d);
            squares.add(t, d * d);
        }
        const double mean = sum.total() / trials, sd = std::sqrt(squares.total() / trials - mean * mean);
        CHECK(statcheck::mean_agrees(mean, sd, trials, chain.mean_days, {0.8}));
    }
}

TEST_CASE("Gaussian walk, with and without a cap") {
    struct Case {
        GaussianWalk walk;
        double ruin;
    };
    constexpr double none = ensemble::no_level;
    // Gauss-Legendre quadrature in NumPy, 90 panels of 30 nodes; the simulation below is the second opinion.
    const Case cases[] = {{{3, none, 0, 1, 10}, .2632102418},  {{3, none, .1, 1, 10}, .1788858185},
                          {{5, none, .2, 1, 14}, .0379883041}, {{5, none, -.1, 1, 14}, .2321640420},
                          {{5, 5, .2, 1, 14}, .0730360717},    {{3, 5, .2, 1, 14}, .1587616629},
                          {{4, 4, .5, 1, 7}, .0091635585}};
    std::uint64_t seed = 400;
    for (const Case& c : cases) {
        CHECK(exact(c.walk) == Approx(c.ruin).margin(1e-8).epsilon(0));
        check_simulated(c.walk, c.ruin, ++seed, 0.012);
    }
}

TEST_CASE("the check itself refuses a small sample and sees what it says it sees") {
    CHECK_THROWS_AS(statcheck::proportion_agrees(25, 100, .25, {0.05}), std::logic_error);
    CHECK_THROWS_AS(statcheck::mean_agrees(0, 1, 100, 0, {0.1}), std::logic_error);
    CHECK(statcheck::proportion_agrees(24'649, trials, .24649, {0.012}));
    CHECK_FALSE(statcheck::proportion_agrees(24'649, trials, .24649 + 0.012, {0.012}));
    CHECK_FALSE(statcheck::proportion_agrees(24'649, trials, .24649 - 0.012, {0.012}));
    // npq = 10: exact tails, P(X >= 29) = 7.63e-7 and P(X >= 30) = 2.51e-7 (SciPy binom.sf)
    CHECK(statcheck::proportion_agrees(29, trials, 1e-4, {0.001}));
    CHECK_FALSE(statcheck::proportion_agrees(30, trials, 1e-4, {0.001}));
}
