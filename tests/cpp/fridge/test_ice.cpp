#include <catch2/catch.hpp>
#include <cmath>

#include "ridethrough/fridge/ice.hpp"

using namespace ridethrough;
using namespace ridethrough::fridge;
using One = simd::Pack<double, 1>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

constexpr double kUa = 1.1, kIce = 0.9, kCapacity = 30 / 3.6;  // W/K, W/K, Wh/K

template <class V>
FridgeTrial<V> box() {
    using T = typename V::Scalar;
    return {T(kUa), T(kCapacity), T(60), T(0.45), T(0.003), T(0), T(3), T(5)};
}

struct State {
    double inside_c, melted_wh;
};

// C dT/dt = U (Ta - T) - G T + q - Q and what melts, by fourth-order Runge and Kutta.
State integrated(double inside_c, double air_c, double heat_w, double cooling_w, double hours) {
    const int steps = 2000;
    const double h = hours / steps;
    const auto slope = [&](double c) { return (kUa * (air_c - c) - kIce * c + heat_w - cooling_w) / kCapacity; };
    State at{inside_c, 0};
    for (int i = 0; i < steps; ++i) {
        const double c = at.inside_c, a = slope(c), b = slope(c + h / 2 * a), d = slope(c + h / 2 * b),
                     e = slope(c + h * d);
        at.inside_c += h / 6 * (a + 2 * b + 2 * d + e);
        const double middle = c + h / 2 * b;
        at.melted_wh += kIce * h / 6 * (c + 4 * middle + at.inside_c);  // Simpson's rule
    }
    return at;
}

template <class V>
HeldApproach<V> inside_of(double from_c, double air_c, double heat_w, bool runs, double held_h) {
    using T = typename V::Scalar;
    const auto p = box<V>();
    const auto s = with_ice(surroundings(p, V(static_cast<T>(air_c)), V(static_cast<T>(heat_w))), p.ua_w_per_k,
                            V(static_cast<T>(kIce)));
    return {V(static_cast<T>(from_c)), runs ? s.on_equilibrium_c : s.off_equilibrium_c, s.tau_h,
            V(static_cast<T>(held_h))};
}

}  // namespace

TEMPLATE_TEST_CASE("a fridge with ice moves and melts as its equations say", "", One, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    const double close = sizeof(T) == 8 ? 1e-7 : 1e-4;
    for (const bool runs : {false, true})
        for (const double hours : {0.1, 0.7}) {
            const auto p = box<One>();
            const double cooling_w = runs ? 60 * performance(p, One(31.0)).v : 0;
            const State expected = integrated(6, 31, 4, cooling_w, hours);
            const auto inside = inside_of<V>(6, 31, 4, runs, 0.05);
            const V then(static_cast<T>(hours + 0.05));  // three minutes of it held
            CHECK(static_cast<double>(inside.at(then).lane(V::width - 1)) == Approx(expected.inside_c).margin(close));
            CHECK(static_cast<double>((inside.kelvin_hours(then) * V(static_cast<T>(kIce))).lane(0)) ==
                  Approx(expected.melted_wh + kIce * 6 * 0.05).margin(20 * close));
        }
}

TEMPLATE_TEST_CASE("the moment at which ice is used up", "", One, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    const double close = sizeof(T) == 8 ? 1e-10 : 2e-5;
    for (const bool runs : {false, true})
        for (const double held_h : {0.0, 0.04})
            for (const double share : {1e-3, 0.05, 0.5, 0.99}) {
                const auto inside = inside_of<V>(5, 31, 0, runs, held_h);
                const double horizon = runs ? 0.2 : 1.0;
                const V whole = inside.kelvin_hours(V(static_cast<T>(horizon)));
                const V sought = whole * V(static_cast<T>(share));
                const V at = until_kelvin_hours(inside, sought, V(static_cast<T>(horizon)));
                CHECK(static_cast<double>(inside.kelvin_hours(at).lane(0)) ==
                      Approx(static_cast<double>(sought.lane(0))).margin(close));
            }
}

TEST_CASE("where a fridge with ice settles without its compressor") {
    // Heat in is heat melted: U (Ta - T) = G T. 1.1 W/K, 0.9 W/K and 20 degC: 11 degC. A kilogram takes 92.65 Wh: the
    // usual 333.55 kJ/kg of handbooks, so this one is gone in 9.36 h.
    const auto inside = inside_of<One>(11, 20, 0, false, 0);
    CHECK(inside.at(One(100.0)).v == Approx(11));
    CHECK(kMeltingWhPerKg == Approx(92.653).epsilon(1e-5));
    CHECK(until_kelvin_hours(inside, One(kMeltingWhPerKg / kIce), One(24.0)).v == Approx(9.359).epsilon(1e-4));
}
