#include <catch2/catch.hpp>

#include "power/battery_fixture.hpp"

using namespace battery_fixture;
using One = base::Pack<double, 1>;
using Eight = base::Pack<double, 8>;
using SixteenFloat = base::Pack<float, 16>;

namespace {

double accepted_a(double temp_c, double charge, double hours = 0.01) {
    auto b = lfp<One>();
    b.state.temp_c = One(temp_c);
    b.set_charge(charge);
    return acceptance_a(b.kind, b.trial, b.state, b.trial.coulombic, One(hours)).v;
}

}  // namespace

TEMPLATE_TEST_CASE("the rest-voltage table is met at its nodes and is straight between", "", One, Eight, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    const auto b = lfp<V>();
    // Published C/32 curve of one cylindrical cell, times four.
    const double charge[] = {0, .0033, .0117, .0267, .0534, .0885, .2972, .9833, .9950, 1};
    const double cell_v[] = {2.0102, 2.4177, 2.7405, 2.9299, 3.0872, 3.1942, 3.2772, 3.3511, 3.4180, 3.5981};
    const double close = sizeof(T) == 8 ? 1e-10 : 1e-3;  // the float table is a sum of steep kinks
    for (int i = 0; i < 10; ++i) {
        const V at = b.kind.rest_v(V(static_cast<T>(charge[i])));
        for (int lane = 0; lane < V::width; ++lane)
            CHECK(static_cast<double>(at.lane(lane)) == Approx(4 * cell_v[i]).margin(close));
        if (i == 0) continue;
        const V middle = b.kind.rest_v(V(static_cast<T>((charge[i] + charge[i - 1]) / 2)));
        CHECK(static_cast<double>(middle.lane(0)) == Approx(2 * (cell_v[i] + cell_v[i - 1])).margin(close));
    }
}

TEST_CASE("rested voltage stays above 12.8 V down to 15 to 20 % of charge") {
    // From memory of charts for four cells in series; with the declared mean offset of -0.05 V too.
    auto b = lfp<One>();
    for (const double offset : {0.0, -0.05}) {
        b.trial.offset_v = One(offset);
        for (double charge = 0.15; charge <= 1; charge += 0.05) {
            b.set_charge(charge);
            CHECK(b.posts_v(One(0.0), 0).v > 12.8);
        }
        b.set_charge(0.05);
        CHECK(b.posts_v(One(0.0), 0).v < 12.8);
    }
}

TEST_CASE("the twenty-hour rate gives the rated charge, and faster rates little less") {
    // Common practice, no source: a rate exponent of about 1.02 to 1.05; lead-acid wells would give .54 in one hour.
    const double share_20h = discharge_share(lfp<One>(), 5, 10.0).v,
                 share_1h = discharge_share(lfp<One>(), 100, 10.0).v;
    CHECK(share_20h > 0.98);
    CHECK(share_20h <= 1.0);
    CHECK(share_1h > 0.85);  // 20^(1/1.05 - 1) = .867 of it
    CHECK(share_1h < share_20h);
    const auto wide = discharge_share(lfp<Eight>(), 5, 10.0);
    for (int lane = 0; lane < 8; ++lane) CHECK(wide.lane(lane) == share_20h);
}

TEST_CASE("charge is refused in frost and in heat") {
    // Plating below 0 degC (published); the ramp to 10 degC and the hot limits from memory.
    for (const double t : {-20.0, -0.1, 0.0}) CHECK(accepted_a(t, 0.5) == 0);
    CHECK(accepted_a(5, 0.5) == Approx(25));  // half way to 10 degC, half of 0.5 C
    for (const double t : {10.0, 25.0, 45.0}) CHECK(accepted_a(t, 0.5) == Approx(50));
    CHECK(accepted_a(50, 0.5) == Approx(25));
    for (const double t : {55.0, 60.0}) CHECK(accepted_a(t, 0.5) == 0);
}

TEST_CASE("charge tapers from 95 % to nothing at full") {
    CHECK(accepted_a(25, 0.90) == Approx(50));
    CHECK(accepted_a(25, 0.96) == Approx(40));
    CHECK(accepted_a(25, 0.98) == Approx(20));
    CHECK(accepted_a(25, 1.00) == 0);
    // Over a longer time the room that is left counts: no more than what fills the wells.
    const double q_max = lfp<One>().trial.q_max_ah.v;
    for (const double charge : {0.9, 0.96, 0.98}) CHECK(accepted_a(25, charge, 1) * 0.995 <= (1 - charge) * q_max);
}
