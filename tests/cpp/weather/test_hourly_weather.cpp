// The hours within a day.
#include <catch2/catch.hpp>
#include <cmath>

#include "weather/weather_fixture.hpp"

using namespace ridethrough;
using namespace ridethrough::weather;

namespace {

using One = simd::Pack<double, 1>;

double value(One x) { return x.v; }

HourlyWeather<One> hours_of(const WeatherView<double>& w, double k, std::uint64_t seed, double prev = 10,
                            double mean = 10, double next = 10) {
    HourlyWeather<One> out;
    const auto draws = fixture::Draws(seed).take(24);
    hourly_weather(w, 0, One(k), One(prev), One(mean), One(next), draws.data(), out);
    return out;
}

}  // namespace

TEST_CASE("hours keep the day's sum and stay within bounds") {
    for (const double latitude : {-36.0, 0.0, 36.0, 50.0, 63.0})
        for (const int month : {1, 3, 6, 11}) {
            const auto climate = fixture::climate_at(latitude, 0, .5);
            const auto plan = fixture::plan<double>(*climate, {2026, month, 15}, 1, 0);
            const auto w = plan.view();
            for (const double k : {.02, .05, .2, .5, .7, .8})
                for (std::uint64_t seed = 0; seed < 40; ++seed) {
                    const auto out = hours_of(w, k, seed);
                    double sum = 0;
                    for (int h = 0; h < 24; ++h) {
                        const double ghi = value(out.ghi[h]);
                        sum += ghi;
                        REQUIRE(ghi >= 0);
                        REQUIRE(ghi <= 1.02 * w.i0[h] * std::max(.9, double(w.clear_limit[h])));
                        REQUIRE(value(out.beam[h]) >= 0);
                        REQUIRE(value(out.sky[h]) >= 0);
                        // Flat panel: with the modifier it never receives more than falls on the horizontal.
                        REQUIRE(value(out.beam[h]) + value(out.sky[h]) <= ghi * (1 + 1e-12));
                        if (w.i0[h] == 0) REQUIRE(ghi == 0);
                    }
                    REQUIRE(sum == Approx(k * w.h0[0]).epsilon(1e-12));
                }
        }
}

TEST_CASE("spread and persistence of hourly clearness are the published ones") {
    // Aguiar & Collares-Pereira 1992: values of the published equations, computed in an independent program, at daily
    // clearness and altitude: sigma .1151 at (.5, 30), .1512 at (.4, 15), .0983 at (.2, 30 degrees), persistence .4017
    // at .5. A synthetic day of equal hours; keeping the day's sum moves all hours alike, so two neighbouring hours are
    // compared, for small draws (first order in sigma): their ratio less one is (sigma/k)(y1 - y0).
    struct Row {
        double k, altitude_deg, sigma;
    };
    for (const Row& row : {Row{.5, 30, .1151}, Row{.4, 15, .1512}, Row{.2, 30, .0983}}) {
        const std::vector<double> i0(24, 100), profile(24, 1), limit(24, 100), h0(1, 2400);
        const std::vector<double> sine(24, std::sin(row.altitude_deg * std::acos(-1.0) / 180));
        WeatherView<double> w;
        w.days = 1;
        w.h0 = h0.data();
        w.i0 = i0.data();
        w.profile = profile.data();
        w.sin_altitude = sine.data();
        w.clear_limit = limit.data();
        const double phi = .38 + .06 * std::cos(7.4 * row.k - 2.5);
        if (row.k == .5) CHECK(phi == Approx(.4017).margin(5e-5));
        fixture::Draws source(17);
        double both = 0, square = 0;
        for (int i = 0; i < 20000; ++i) {
            auto day = source.take(24);
            for (auto& draw : day) draw = ((draw >> 32) / 50 + (49ull << 31) / 50) << 32;  // u squeezed about 1/2
            One kt[24];
            hourly_clearness(w, 0, One(row.k), day.data(), kt);
            const double e0 = random::normal_of<One>(day.data()).v, e1 = random::normal_of<One>(day.data() + 1).v;
            const double wanted = row.sigma / row.k * (phi * e0 + std::sqrt(1 - phi * phi) * e1 - e0);
            both += (kt[1].v / kt[0].v - 1) * wanted;
            square += wanted * wanted;
        }
        INFO("k " << row.k);
        CHECK(both / square == Approx(1).epsilon(0.005));
    }
}

TEST_CASE("temperature keeps the day's mean, is warmest in mid-afternoon and joins from day to day") {
    const auto climate = fixture::climate_at(36, 0, .5);
    const auto plan = fixture::plan<double>(*climate, {2026, 4, 15}, 2, 0);
    const auto w = plan.view();
    const auto out = hours_of(w, .5, 1, 6, 10, 17);
    double sum = 0;
    for (int h = 0; h < 24; ++h) sum += value(out.air[h]);
    CHECK(sum / 24 == Approx(10).margin(1e-6));
    // Erbs, Klein & Beckman 1983: sum 0, maximum .5245 at hour 15, minimum -.4513 at hour 6 (computed).
    double shape_sum = 0;
    for (int t = 1; t <= 24; ++t) shape_sum += air_shape(t);
    CHECK(shape_sum == Approx(0).margin(1e-6));
    CHECK(air_shape(15) == Approx(.5245).margin(5e-5));
    CHECK(air_shape(6) == Approx(-.4513).margin(5e-5));
    for (int t = 1; t <= 24; ++t) CHECK((air_shape(t) <= air_shape(15) && air_shape(t) >= air_shape(6)));
    // Amplitudes 7.69 and 12.85 K at clearness .5 and .7; the floor at .2.
    CHECK(value(air_amplitude_k(One(.5))) == Approx(7.69).margin(.001));
    CHECK(value(air_amplitude_k(One(.7))) == Approx(12.85).margin(.001));
    CHECK(value(air_amplitude_k(One(.2))) == 1.5);
    // Straight lines meet at midnight: two days of equal amplitude differ by one step only across it.
    One today[24], tomorrow[24];
    double flat[24] = {};
    hourly_air(flat, One(5.0), One(6.0), One(10.0), One(17.0), today);
    hourly_air(flat, One(5.0), One(10.0), One(17.0), One(12.0), tomorrow);
    CHECK(value(tomorrow[0]) - value(today[23]) ==
          Approx((value(today[23]) - value(today[22]) + value(tomorrow[1]) - value(tomorrow[0])) / 2));
}

TEST_CASE("dark days yield nothing") {
    std::vector<double> ghi(12);
    const auto h0 = sun::monthly_h0_wh_m2(78);
    for (std::size_t m = 0; m < 12; ++m) ghi[m] = h0[m] < sun::dark_day_wh_m2 ? 0 : .4 * h0[m] / 1000;
    const auto climate =
        config::Configuration::make(climate_schema(), {{"latitude", 78.0},
                                                       {"longitude", 15.0},
                                                       {"ghi_kwh_m2_day", ghi},
                                                       {"air_temp_c", std::vector<double>(12, -10.0)}});
    const auto plan = fixture::plan<double>(*climate, {2026, 12, 20}, 1, 1);
    const auto out = hours_of(plan.view(), .5, 3);
    for (int h = 0; h < 24; ++h) {
        CHECK(value(out.ghi[h]) == 0);
        CHECK(value(out.beam[h]) == 0);
        CHECK(value(out.sky[h]) == 0);
        CHECK(std::isfinite(value(out.air[h])));
    }
}

TEST_CASE("single precision follows double") {
    const auto climate = fixture::climate_at(36, -80, .45);
    const auto exact = fixture::plan<double>(*climate, {2026, 11, 6}, 1, -5, {30, 160});
    const auto single = fixture::plan<float>(*climate, {2026, 11, 6}, 1, -5, {30, 160});
    using F = simd::Pack<float, 1>;
    const auto draws = fixture::Draws(9).take(24);
    HourlyWeather<One> a;
    HourlyWeather<F> b;
    hourly_weather(exact.view(), 0, One(.4), One(5.0), One(7.0), One(9.0), draws.data(), a);
    hourly_weather(single.view(), 0, F(.4f), F(5.0f), F(7.0f), F(9.0f), draws.data(), b);
    for (int h = 0; h < 24; ++h) {
        CHECK(b.ghi[h].v == Approx(a.ghi[h].v).margin(2e-3));
        CHECK(b.beam[h].v == Approx(a.beam[h].v).margin(4e-3));
        CHECK(b.sky[h].v == Approx(a.sky[h].v).margin(2e-3));
        CHECK(b.air[h].v == Approx(a.air[h].v).margin(1e-5));
    }
}
