#include <catch2/catch.hpp>
#include <cmath>

#include "battery/battery_fixture.hpp"

using namespace battery_fixture;
using One = simd::Pack<double, 1>;
using Eight = simd::Pack<double, 8>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

double accepted_a(double temp_c, double charge, double hours = 0.01) {
    auto b = lfp<One>();
    b.state.temp_c = One(temp_c);
    b.set_charge(charge);
    return acceptance_a(b.trial, b.state, b.trial.acceptance, b.trial.coulombic, One(hours)).v;
}

}  // namespace

TEMPLATE_TEST_CASE("the rest-voltage table is met at its nodes and is straight between", "", One, Eight, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    // Whether the table itself is right: tests/python/test_discharge_shape.py.
    const auto b = lfp<V>();
    const auto record = config::Configuration::make(battery::chemistries()[1]->schema(), {});
    const auto &charge = record->numbers("open_circuit_soc"), &volts = record->numbers("open_circuit_voltage_v");
    const double close = sizeof(T) == 8 ? 1e-10 : 1e-3;  // the float table is a sum of steep kinks
    for (std::size_t i = 0; i < charge.size(); ++i) {
        const V at = b.trial.open_circuit_v(V(static_cast<T>(charge[i])));
        for (int lane = 0; lane < V::width; ++lane)
            CHECK(static_cast<double>(at.lane(lane)) == Approx(volts[i]).margin(close));
        if (i == 0) continue;
        const V middle = b.trial.open_circuit_v(V(static_cast<T>((charge[i] + charge[i - 1]) / 2)));
        CHECK(static_cast<double>(middle.lane(0)) == Approx((volts[i] + volts[i - 1]) / 2).margin(close));
    }
}

TEST_CASE("rested voltage stays above 12.8 V down to 20 % of charge") {
    // From memory of the trade's figures for four cells in series: 12.9 V at 20 %, 12.0 to 12.5 V at 10 %.
    auto b = lfp<One>();
    for (const double charge : {0.2, 0.4, 0.6, 0.8, 1.0}) {
        b.set_charge(charge);
        CHECK(b.terminal_v(One(0.0), 0).v > 12.8);
    }
    b.set_charge(0.1);
    CHECK(b.terminal_v(One(0.0), 0).v <= 12.5 + 1e-9);
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
    // Plating below 0 degC: common practice, no source; the ramp to 10 degC and the hot limits from memory.
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

TEST_CASE("energy that comes back") {
    // .92 to .98 of what went in (from memory; the charge alone .98 to 1), here from C/10 to C/2.5: at C/2 the declared
    // resistance alone costs 5 % and .919 come back. From 60 % to 30 % and back, by the minute.
    double before = 1;
    for (const double amps : {10.0, 20.0, 40.0}) {
        auto b = lfp<One>();
        b.set_charge(0.6);
        double out_wh = 0, in_wh = 0;
        const auto go = [&](double out_a, double stored, double until) {
            double& wh = out_a > 0 ? out_wh : in_wh;
            while (out_a > 0 ? b.relative().v > until : b.relative().v < until) {
                b.run(One(out_a), 1.0 / 60, One(stored));
                wh += std::abs(out_a) * b.terminal_v(One(out_a)).v / 60;
            }
        };
        go(amps, 1, 0.3);
        go(-amps, 0.995, 0.6);
        INFO(amps << " A: " << out_wh / in_wh);
        CHECK(out_wh / in_wh > 0.92);
        CHECK(out_wh / in_wh < 0.98);
        CHECK(out_wh / in_wh < before);
        before = out_wh / in_wh;
    }
}

TEST_CASE("a charge shows at the terminals") {
    // Terminals while a tenth of the capacity comes in at half charge, as meters read: about 13.3 V, 13.2 at
    // rest (from memory).
    auto charged = lfp<One>();
    charged.set_charge(0.4);
    for (int minute = 0; minute < 60; ++minute) charged.run(One(-10.0), 1.0 / 60, One(0.995));
    INFO(charged.terminal_v(One(-10.0), 0).v);
    CHECK(charged.terminal_v(One(-10.0), 0).v > 13.25);
    CHECK(charged.terminal_v(One(-10.0), 0).v < 13.4);
}

TEST_CASE("resistance and polarisation rise in the cold") {
    // Cells show two to three times the resistance at 0 degC (from memory); links and BMS, which are in the figure, do
    // not. The volts under 10 A after a quarter of an hour, from the same rest.
    const auto sag_v = [](double temp_c) {
        auto b = lfp<One>();
        b.state.temp_c = One(temp_c);
        b.set_charge(0.6);
        const double rest = b.terminal_v(One(0.0), 0).v;
        for (int minute = 0; minute < 15; ++minute) b.run(One(10.0), 1.0 / 60);
        return rest - b.terminal_v(One(10.0), 0).v;
    };
    const double warm = sag_v(25);
    CHECK(sag_v(0) / warm > 1.7);
    CHECK(sag_v(0) / warm < 2.5);
    CHECK(sag_v(-20) / warm > 3);
    CHECK(sag_v(45) == Approx(warm).margin(0.01));  // no better in the heat
}

TEST_CASE("capacity in deep cold") {
    // Tests of cells at -20 degC scatter from .44 to .70 of that at 25 degC (from memory); .80 and more at 0 degC.
    const auto share = [](double temp_c) {
        auto b = lfp<One>();
        b.state.temp_c = One(temp_c);
        return discharge_share(b, 20, 10.0).v;
    };
    const double warm = share(25);
    CHECK(share(0) / warm > 0.80);
    CHECK(share(-20) / warm > 0.44);
    CHECK(share(-20) / warm < 0.70);
    CHECK(share(-10) / warm == Approx((share(0) + share(-20)) / 2 / warm).margin(0.03));
    auto b = lfp<One>();
    CHECK(capacity_factor(b.trial, One(-20.0)).v == Approx(0.57));
    CHECK(capacity_factor(b.trial, One(0.0)).v == Approx(0.85));
    CHECK(capacity_factor(b.trial, One(12.5)).v == Approx(0.925));
    CHECK(capacity_factor(b.trial, One(-60.0)).v == Approx(0.3));
}
