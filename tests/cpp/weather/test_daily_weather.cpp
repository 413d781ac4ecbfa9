// The day-to-day process. Statistical checks hold to 4.9 standard errors (false alarm 1e-6) at a fixed seed.
#include <catch2/catch.hpp>
#include <cmath>

#include "weather/weather_fixture.hpp"

using namespace ridethrough;
using namespace ridethrough::weather;

namespace {

constexpr double pi = 3.14159265358979323846;
using V = simd::Pack<double, 8>;

// Scores and weather of many independent trips of `days` days.
template <class See>
void walk(const WeatherView<double>& w, double phi, double psi, int trips, std::uint64_t seed, See see) {
    fixture::Draws draws(seed);
    const WeatherInputs<V> in{V(phi), V(psi), V(1.0), V(0)};
    std::vector<DayScores<V>> scores(static_cast<std::size_t>(w.days));
    for (int t = 0; t < trips; t += V::width) {
        const auto a = draws.take(w.days * V::width), b = draws.take(w.days * V::width);
        DayScores<V> s;
        for (int d = 0; d < w.days; ++d) {
            next_scores(w, d, in, random::normal_of<V>(&a[static_cast<std::size_t>(d * V::width)]),
                        random::normal_of<V>(&b[static_cast<std::size_t>(d * V::width)]), s);
            scores[static_cast<std::size_t>(d)] = s;
        }
        for (int l = 0; l < V::width; ++l) see(scores, l);
    }
}

void check_share(double hits, double n, double p) {
    INFO("share " << hits / n << ", expected " << p << " of " << n);
    CHECK(std::abs(hits / n - p) <= 4.9 * std::sqrt(p * (1 - p) / n));
}

}  // namespace

TEST_CASE("runs of dull days in the autoregressive scores") {
    // All k days below the median: closed forms for k = 2 and 3, 1/4 + asin(phi)/2pi and
    // 1/8 + [2 asin phi + asin phi^2]/4pi. Lower quartile and k = 5: quadrature in an independent program.
    const double phi = .29;
    CHECK(.25 + std::asin(phi) / (2 * pi) == Approx(.2968277).margin(1e-7));
    CHECK(.125 + (2 * std::asin(phi) + std::asin(phi * phi)) / (4 * pi) == Approx(.178528).margin(1e-6));
    const auto climate = fixture::climate_at(36, -80, .5);
    const auto plan = fixture::plan<double>(*climate, {2026, 11, 3}, 5, -5);
    const int n = 400000;
    double below[6] = {}, quartile[6] = {}, tenth[6] = {};
    walk(plan.view(), phi, .65, n, 1, [&](const auto& s, int l) {
        int m = 0, q = 0, t = 0;
        while (m < 5 && s[static_cast<std::size_t>(m)].clearness.lane(l) < 0) below[++m] += 1;
        while (q < 5 && s[static_cast<std::size_t>(q)].clearness.lane(l) < -0.6744897502) quartile[++q] += 1;
        while (t < 5 && s[static_cast<std::size_t>(t)].clearness.lane(l) < -1.2815515655) tenth[++t] += 1;
    });
    check_share(below[2], n, .2968277);
    check_share(below[3], n, .178528);
    check_share(below[5], n, .0648);
    check_share(quartile[2], n, .093931);
    check_share(quartile[3], n, .036110);
    check_share(quartile[5], n, .005364);
    check_share(tenth[2], n, .021148);
    check_share(tenth[3], n, .004618);
}

TEST_CASE("the scores keep the declared correlations") {
    for (const double r : {-.4, 0.0, .3}) {
        const auto climate = fixture::climate_at(36, -80, .5, {{"clearness_temp_corr", std::vector<double>(12, r)}});
        const auto plan = fixture::plan<double>(*climate, {2026, 11, 3}, 4, -5);
        const int n = 200000;
        double same[4] = {}, clear = 0, air = 0, variance = 0;
        walk(plan.view(), .29, .65, n, 7, [&](const auto& s, int l) {
            for (std::size_t d = 0; d < 4; ++d) same[d] += s[d].clearness.lane(l) * s[d].air.lane(l);
            clear += s[2].clearness.lane(l) * s[3].clearness.lane(l);
            air += s[2].air.lane(l) * s[3].air.lane(l);
            variance += s[3].air.lane(l) * s[3].air.lane(l);
        });
        const auto margin = [&](double rho) { return 4.9 * std::sqrt((1 + rho * rho) / n); };
        for (const double sum : same) CHECK(sum / n == Approx(r).margin(margin(r)));
        CHECK(clear / n == Approx(.29).margin(margin(.29)));
        CHECK(air / n == Approx(.65).margin(margin(.65)));
        CHECK(variance / n == Approx(1).margin(4.9 * std::sqrt(2.0 / n)));
    }
}

TEST_CASE("impossible correlations are clamped, not turned into NaN") {
    const auto climate = fixture::climate_at(36, -80, .5, {{"clearness_temp_corr", std::vector<double>(12, .9)}});
    const auto plan = fixture::plan<double>(*climate, {2026, 11, 3}, 9, -5);
    walk(plan.view(), 0, .95, 800, 3, [&](const auto& s, int l) {
        for (const auto& day : s) REQUIRE(std::isfinite(day.air.lane(l)));
    });
}

TEST_CASE("persistence decides rare dull spells") {
    // P(5-day mean clearness < .20 | mean .40), Bendt marginals: simulation of 1e6 paths in an independent program,
    // +-.0003 (95 %, so .00015 one sigma).
    const auto climate = fixture::climate_at(36, -80, .4, {{"clearness_days", std::string("bendt")}});
    const auto plan = fixture::plan<double>(*climate, {2026, 11, 3}, 5, -5);
    const double phi[] = {0, .29, .5}, expected[] = {.0106, .0348, .0681};
    const int n = 200000;
    for (int i = 0; i < 3; ++i) {
        double dull = 0, total = 0;
        const auto w = plan.view();
        walk(w, phi[i], .65, n, 11, [&](const auto& s, int l) {
            double sum = 0;
            for (int d = 0; d < 5; ++d) {
                using One = simd::Pack<double, 1>;
                const One score(s[static_cast<std::size_t>(d)].clearness.lane(l));
                sum += day_clearness(w, d, WeatherInputs<One>{One(0), One(0), One(1), One(0)}, score).v;
            }
            dull += sum < 5 * .20;
            total += sum;
        });
        const double p = expected[i];
        INFO("phi " << phi[i] << ": " << dull / n);
        CHECK(std::abs(dull / n - p) <= 4.9 * std::sqrt(p * (1 - p) / n + .00015 * .00015));
        CHECK(total / n / 5 == Approx(.40).margin(4.9 * .1978 * std::sqrt(2.0 / n)));  // sd .1978: D&B as above
    }
}

TEST_CASE("daily temperature keeps the normals and a trial's width does not matter") {
    std::vector<double> normals = {.3, 3, 8, 13, 18, 23, 25, 24, 20, 14, 9, 4};
    const auto climate = fixture::climate_at(36, -80, .5, {{"air_temp_c", normals}});
    const auto nodes = mid_month_nodes(normals);
    int day = 1;
    for (int m = 0; m < 12; ++m) {
        const int days = sun::days_in_month(2001, m + 1);
        double sum = 0;
        for (int d = 0; d < days; ++d) sum += along_year(nodes, day++);
        CHECK(sum / days == Approx(normals[static_cast<std::size_t>(m)]).margin(1e-6));
    }
    const auto plan = fixture::plan<double>(*climate, {2026, 12, 25}, 14, -5);
    const auto w = plan.view();
    using One = simd::Pack<double, 1>;
    const auto draws = fixture::Draws(5).take(14 * V::width * 2);
    V k[14], air[14];
    daily_weather(w, WeatherInputs<V>{V(.29), V(.65), V(1.1), V(0)}, draws.data(), draws.data() + 14 * V::width, k,
                  air);
    for (int l = 0; l < V::width; ++l) {
        std::vector<std::uint64_t> a, b;
        for (int d = 0; d < 14; ++d) {
            a.push_back(draws[static_cast<std::size_t>(d * V::width + l)]);
            b.push_back(draws[static_cast<std::size_t>((14 + d) * V::width + l)]);
        }
        One k1[14], air1[14];
        daily_weather(w, WeatherInputs<One>{One(.29), One(.65), One(1.1), One(0)}, a.data(), b.data(), k1, air1);
        for (int d = 0; d < 14; ++d) {
            CHECK(k1[d].v == k[d].lane(l));
            CHECK(air1[d].v == air[d].lane(l));
        }
    }
    V same_k[14], warmer[14];
    daily_weather(w, WeatherInputs<V>{V(.29), V(.65), V(1.1), V(1.5)}, draws.data(), draws.data() + 14 * V::width,
                  same_k, warmer);
    for (int d = 0; d < 14; ++d) {  // an error of the temperature leaves the sun alone
        CHECK(same_k[d].lane(3) == k[d].lane(3));
        CHECK(warmer[d].lane(3) == Approx(air[d].lane(3) + 1.5).epsilon(1e-14));
    }
}
