// Air in the cabin in lanes: where it settles shut and open, its step in closed form, and a heater's, against small
// steps of the same differential equation.
#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>

#include "ridethrough/cabin/heater.hpp"

using namespace ridethrough;
using One = simd::Pack<double, 1>;
using Eight = simd::Pack<double, 8>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

constexpr double kSun = 0.0115, kPerson = 80, kLoss = 50, kLag = 1.5, kWindows = 2;
constexpr double kHeld = 19, kLow = 0.1, kFull = 1.8, kLeast = 0.4;

enum Place { kSunAt, kPersonAt, kLossAt, kLagAt, kWindowsAt, kHeldAt, kNightAt, kLowAt, kFullAt, kPlaces };
random::ParameterIndex at(Place place) { return random::ParameterIndex(place); }

cabin::AirModel air_model() {
    cabin::AirModel m;
    m.sun_rise_k_per_w_m2 = at(kSunAt);
    m.person_heat_w = at(kPersonAt);
    m.heat_loss_w_per_k = at(kLossAt);
    m.lag_h = at(kLagAt);
    m.window_ventilation = at(kWindowsAt);
    m.out_from_h = 10, m.out_to_h = 17, m.out_share = 0.75;
    return m;
}
cabin::HeaterModel heater_model() {
    cabin::HeaterModel m;
    m.holds_c = at(kHeldAt);
    m.night_set_point_c = at(kNightAt);
    m.low_a = at(kLowAt);
    m.full_a = at(kFullAt);
    m.least_share = kLeast;
    m.power_w = 2000;
    return m;
}

template <class V>
struct Bench {
    using T = typename V::Scalar;
    std::array<V, kPlaces> values{V(T(kSun)),  V(T(kPerson)), V(T(kLoss)), V(T(kLag)), V(T(kWindows)),
                                  V(T(kHeld)), V(T(12)),      V(T(kLow)),  V(T(kFull))};
    random::Parameters<V> x() { return random::Parameters<V>(values.data()); }
};
template <class V>
V of(double number) {
    return V(static_cast<typename V::Scalar>(number));
}
template <class V>
double first(V lanes) {
    return static_cast<double>(lanes.lane(0));
}

// What small steps make of an hour: mean, end and mean current of a thermostat that gives `most_k` of heat below
// `held`.
struct Fine {
    double mean = 0, end = 0, current_a = 0;
};
Fine in_small_steps(double from, double settles, double ventilation, double most_k, double held) {
    const int n = 200000;
    const double per_step = (1 + ventilation) / kLag / n;
    Fine fine{0, from, 0};
    for (int i = 0; i < n; ++i) {
        double heat = 0;
        if (settles < held && (fine.end < held - 1e-4 || settles + most_k <= held)) {
            heat = most_k;
        } else if (settles < held && fine.end < held + 1e-4) {
            heat = held - settles;
        }
        const double strength = heat / most_k, flame = std::max(strength, kLeast);
        fine.current_a += (kLow + (kFull - kLow) * flame) * strength / flame / n;
        const double next = fine.end + (settles + heat - fine.end) * per_step;
        fine.mean += 0.5 * (fine.end + next) / n;
        fine.end = next;
    }
    return fine;
}

}  // namespace

TEMPLATE_TEST_CASE("a shut cabin rises by its sun and its people, an open one by less", "", One, Eight, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    Bench<V> bench;
    const auto rise = [&](const cabin::AirModel& m, double clock, double sun) {
        return first(shut_rise_k(m, bench.x(), of<V>(clock), of<V>(sun)));
    };
    auto m = air_model();
    // Full sun on a shut van with nobody in it: 10 to 13 K (common practice, no source).
    m.persons = 0;
    CHECK(rise(m, 12, 1000) == Approx(11.5).epsilon(1e-6));
    // Two people of 80 W over 50 W/K: 3.2 K, a quarter of it while they are mostly out.
    m.persons = 2;
    CHECK(rise(m, 9, 0) == Approx(3.2).epsilon(1e-6));
    CHECK(rise(m, 10, 0) == Approx(0.8).epsilon(1e-6));
    CHECK(rise(m, 16, 100) == Approx(0.8 + 1.15).epsilon(1e-6));
    CHECK(rise(m, 17, 0) == Approx(3.2).epsilon(1e-6));
    // Windows: shut below 24 degC, wide open above 30 degC, half of that while people sleep.
    const auto open = [&](double c, bool awake) {
        return first(windows_at(m, bench.x(), of<V>(c), V::Bool::all(awake)));
    };
    CHECK(open(24, true) == 0);
    CHECK(open(27, true) == Approx(1));
    CHECK(open(40, true) == Approx(2));
    CHECK(open(40, false) == Approx(1));
    CHECK(open(24, false) == 0);
    // Wide open, full sun brings 2 to 4 K (common practice, no source).
    CHECK(rise(m, 12, 1000) / (1 + open(35, true)) > 2);
    CHECK(rise(m, 12, 1000) / (1 + open(35, true)) < 4.2);
    m.persons = 0;
    CHECK(open(40, true) == 0);  // parked
    CHECK(first(cabin::share_between(of<V>(31), 28, 35)) == Approx(3 / T(7)));
}

TEMPLATE_TEST_CASE("a step of the cabin in closed form", "", One, Eight, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    Bench<V> bench;
    const double margin = sizeof(T) == 4 ? 1e-4 : 1e-12;
    for (const double v : {0.0, 1.0, 5.5})
        for (const double step_h : {1.0, 0.25, 1.0 / 60}) {
            const auto air = air_step(air_model(), bench.x(), of<V>(v), static_cast<T>(step_h));
            const double tau = kLag / (1 + v), kept = std::exp(-step_h / tau);
            CHECK(first(air.tau_h) == Approx(tau));
            CHECK(first(air.end(of<V>(35), of<V>(20))) == Approx(20 + 15 * kept).margin(margin));
            CHECK(first(air.mean(of<V>(35), of<V>(20))) == Approx(20 + 15 * (1 - kept) * tau / step_h).margin(margin));
            // In steps of any length the same.
            const auto half = air_step(air_model(), bench.x(), of<V>(v), static_cast<T>(step_h / 2));
            const V middle = half.end(of<V>(35), of<V>(20));
            CHECK(first(half.end(middle, of<V>(20))) == Approx(20 + 15 * kept).margin(margin));
        }
}

TEMPLATE_TEST_CASE("an hour on the thermostat is what small steps make of it", "", One, Eight, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    Bench<V> bench;
    for (const double v : {0.0, 0.5}) {
        const auto air = air_step(air_model(), bench.x(), of<V>(v), T(1));
        const V loss = of<V>(kLoss * (1 + v));
        // Reached within the hour, just held, not reached, falling to it, and warm enough without; 19 degC against
        // settling at 19 degC as well.
        for (const double from : {-5.0, 10.0, 18.9, 19.0, 21.0, 30.0})
            for (const double settles : {-30.0, -5.0, 12.0, 19.0, 25.0}) {
                const auto found =
                    heated_step(heater_model(), bench.x(), air, of<V>(from), of<V>(settles), of<V>(kHeld), loss, T(1));
                const Fine fine = in_small_steps(from, settles, v, 2000 / (kLoss * (1 + v)), kHeld);
                INFO("from " << from << " towards " << settles << ", ventilation " << v);
                CHECK(first(found.mean_c) == Approx(fine.mean).margin(1e-3));
                CHECK(first(found.end_c) == Approx(fine.end).margin(1e-3));
                CHECK(first(found.current_a) == Approx(fine.current_a).margin(1e-3));
            }
    }
}

TEST_CASE("the current follows the heat down to the smallest flame, which goes on and off") {
    Bench<One> bench;
    const auto amps = [&](double strength) {
        return first(heating_current_a(heater_model(), bench.x(), of<One>(strength)));
    };
    CHECK(amps(0) == 0);
    CHECK(amps(1) == Approx(kFull));
    CHECK(amps(0.7) == Approx(kLow + 0.7 * (kFull - kLow)));
    CHECK(amps(kLeast) == Approx(kLow + kLeast * (kFull - kLow)));
    CHECK(amps(kLeast / 2) == Approx(amps(kLeast) / 2));
}
