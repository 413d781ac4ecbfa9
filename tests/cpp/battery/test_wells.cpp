#include <catch2/catch.hpp>
#include <cstdint>

#include "handbook.hpp"
#include "ridethrough/base/math.hpp"
#include "ridethrough/battery/battery.hpp"
#include "ridethrough/battery/chemistry.hpp"

using namespace ridethrough;
using battery::Wells;
using One = simd::Pack<double, 1>;
using Eight = simd::Pack<double, 8>;
using OneFloat = simd::Pack<float, 1>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

// The AGM's own (battery/agm.cpp).
constexpr double kC = 0.325, kK = 1.92;

template <class T>
Wells<T> wells(double c, double k) {
    return {static_cast<T>(c), static_cast<T>(k)};
}

// Minutes until the available well is empty, drawing current_a for the first half of each period.
template <class V>
double square_wave_min(double c, double k, double q_max_ah, double current_a, double period_s) {
    using T = typename V::Scalar;
    const auto kind = wells<T>(c, k);
    const V half_h = T(period_s / 7200);
    V q = T(q_max_ah), available = T(0);
    for (int halves = 0; halves < 1'000'000; ++halves) {
        advance_wells(kind, halves % 2 ? V(T(0)) : V(T(current_a)), half_h, q, available);
        if (!((q + V(T(1 - c)) * available).lane(0) > 0)) return halves * period_s / 120;
    }
    return -1;
}

// A plain source of test numbers in [0, 1) (Numerical Recipes' quick generator).
struct Numbers {
    std::uint32_t state = 1;
    double next() { return (state = state * 1664525u + 1013904223u) / 4294967296.0; }
};

}  // namespace

TEST_CASE("published lifetimes of the two-well model") {
    // Jongerden & Haverkort 2009: 7200 As, c .625, k 4.5e-5 1/s, .96 A: 91 min; square waves of 1 and .2 Hz: 203 min
    // (their table, from memory). The closed form gives 91.143, 202.94 and 202.93.
    const double c = 0.625, k = 4.5e-5 * 3600 / (c * (1 - c)), charge_ah = 2;
    const double continuous = 60 * handbook::kibam_lifetime_h(c, k, charge_ah, 0.96);
    CHECK(continuous == Approx(91.143).margin(0.005));
    CHECK(square_wave_min<One>(c, k, charge_ah, 0.96, 1) == Approx(202.94).margin(0.02));
    CHECK(square_wave_min<One>(c, k, charge_ah, 0.96, 5) == Approx(202.93).margin(0.05));

    SECTION("taking k for k' is a trap that shows") {
        const double wrong = 4.5e-5 * 3600;
        CHECK(60 * handbook::kibam_lifetime_h(c, wrong, charge_ah, 0.96) == Approx(81.2).margin(0.05));
        CHECK(square_wave_min<One>(c, wrong, charge_ah, 0.96, 1) == Approx(168.7).margin(0.05));
    }
}

TEST_CASE("capacities of the AGM's wells at five rates") {
    // Manwell & McGowan's constant-current capacity, evaluated: both wells 105.409 Ah for 100 Ah at 20 h.
    const double q_max = 100 * battery::q_max_per_capacity(kC, kK, 20);
    CHECK(q_max == Approx(105.409).margin(0.001));
    const double hours[] = {20, 10, 5, 2, 1}, ah[] = {100, 95.12, 86.66, 68.93, 54.81};
    for (int i = 0; i < 5; ++i) {
        CHECK(q_max / battery::q_max_per_capacity(kC, kK, hours[i]) == Approx(ah[i]).margin(0.006));
        const double amps = q_max / battery::q_max_per_capacity(kC, kK, hours[i]) / hours[i];
        CHECK(handbook::kibam_lifetime_h(kC, kK, q_max, amps) == Approx(hours[i]).epsilon(1e-9));
        One q = q_max, available = 0.0;
        advance_wells(wells<double>(kC, kK), One(amps), One(hours[i]), q, available);
        CHECK((q + One(1 - kC) * available).v == Approx(0).margin(1e-9));
    }
}

TEST_CASE("sum and available difference agree with the two wells written out") {
    // Manwell & McGowan 1993 in their own form, one equation a well.
    Numbers numbers;
    const auto kind = wells<double>(kC, kK);
    One q = 80.0, available = 0.0;
    double q1 = kC * 80, q2 = (1 - kC) * 80;
    for (int i = 0; i < 200; ++i) {
        const double amps = 12 * (numbers.next() - 0.5), h = numbers.next();
        const double e = base::exp(-kK * h), q0 = q1 + q2, lag = kK * h - 1 + e;
        q1 = q1 * e + (q0 * kK * kC - amps) * (1 - e) / kK - amps * kC * lag / kK;
        q2 = q2 * e + q0 * (1 - kC) * (1 - e) - amps * (1 - kC) * lag / kK;
        advance_wells(kind, One(amps), One(h), q, available);
        REQUIRE(q.v == Approx(q1 + q2).margin(1e-10));
        REQUIRE(kC * (q.v + (1 - kC) * available.v) == Approx(q1).margin(1e-10));
    }
}

TEMPLATE_TEST_CASE("charge is conserved exactly, in every lane", "", One, Eight, OneFloat, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    Numbers numbers;
    const auto kind = wells<T>(kC, kK);
    V q = T(80), available = T(0);
    T lane_q[V::width];
    for (int i = 0; i < V::width; ++i) lane_q[i] = T(80);
    for (int step = 0; step < 1000; ++step) {
        V amps = T(0);
        for (int i = 0; i < V::width; ++i) amps.set_lane(i, static_cast<T>(20 * (numbers.next() - 0.5)));
        const T h = static_cast<T>(numbers.next());
        advance_wells(kind, amps, V(h), q, available);
        for (int i = 0; i < V::width; ++i) {
            const T moved = amps.lane(i) * h;  // whatever the wells do between them
            REQUIRE(q.lane(i) == (lane_q[i] -= moved));
        }
    }
    const V before = q;
    for (int i = 0; i < 100; ++i) advance_wells(kind, V(T(0)), V(T(1)), q, available);
    CHECK(all(q == before));
    CHECK(all(abs(available) < V(T(1e-6))));
}

TEMPLATE_TEST_CASE("the charge limit fills the available well and no more", "", One, Eight, OneFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    Numbers numbers;
    const auto kind = wells<T>(kC, kK);
    battery::Battery<V> trial{};
    trial.wells = kind;
    trial.q_max_ah = T(105.409);
    const T close = sizeof(T) == 8 ? T(1e-12) : T(2e-6);
    for (int i = 0; i < 300; ++i) {
        battery::BatteryState<V> s{T(105.409 * numbers.next()), T(20 * (numbers.next() - 0.5)), T(0), T(25)};
        const T h = static_cast<T>(0.02 + numbers.next());
        const V limit = well_charge_limit(trial, s, V(h));
        REQUIRE(all(limit >= V(T(0))));
        if (any(limit > V(T(0)))) {  // Manwell & McGowan's I_max,charge, with their sign turned
            const double q1 = kC * static_cast<double>((s.q_ah + V(T(1 - kC)) * s.height_difference_ah).lane(0));
            const double e = base::exp(-kK * static_cast<double>(h)), q0 = static_cast<double>(s.q_ah.lane(0));
            const double theirs = (kK * kC * 105.409 - kK * q1 * e - q0 * kK * kC * (1 - e)) /
                                  (1 - e + kC * (kK * static_cast<double>(h) - 1 + e));
            REQUIRE(static_cast<double>(limit.lane(0)) == Approx(theirs).epsilon(1e3 * static_cast<double>(close)));
        }
        advance_wells(kind, -limit, V(h), s.q_ah, s.height_difference_ah);
        const V available = available_charge(trial, s);
        if (any(limit > V(T(0)))) REQUIRE(all(abs(available - V(T(1))) < V(close)));
    }
}
