#include <catch2/catch.hpp>

#include "battery/battery_fixture.hpp"
#include "ridethrough/base/math.hpp"

using namespace battery_fixture;
using One = simd::Pack<double, 1>;
using Eight = simd::Pack<double, 8>;
using SixteenFloat = simd::Pack<float, 16>;

TEMPLATE_TEST_CASE("share of the rated charge down to 10.5 V at the terminals", "", One, Eight, SixteenFloat) {
    // From memory of makers' discharge curves: .97-1.00 at C/20, .93-.96 at C/10, .82-.86 at C/5, about .55 at C/2.
    using V = TestType;
    const double amps[] = {5, 10, 20, 50}, low[] = {0.97, 0.93, 0.82, 0.53}, high[] = {1.00, 0.96, 0.86, 0.57};
    for (int i = 0; i < 4; ++i) {
        const V share = discharge_share(agm<V>(), amps[i], 10.5);
        for (int lane = 0; lane < V::width; ++lane) {
            // Summed by the minute, in float too: half a minute's share of slack for that sum's own rounding.
            CHECK(static_cast<double>(share.lane(lane)) >= low[i]);
            CHECK(static_cast<double>(share.lane(lane)) <= high[i] + 1e-4);
        }
    }
    // What is not there cannot be drawn: the brown-out at 10.0 V comes within one per cent.
    CHECK(static_cast<double>(discharge_share(agm<V>(), 5, 10.0).lane(0)) < 1.01);
}

TEST_CASE("other wells leave the stated shares") {
    // The same ranges as above tell the fitted pair from others: more at hand, slower, faster, less at hand.
    const double pairs[][2] = {{0.5, 1.92}, {0.325, 1.0}, {0.325, 4.0}, {0.2, 1.92}};
    for (const auto& pair : pairs) {
        auto b = agm<One>();
        b.trial.wells.c = pair[0];
        b.trial.wells.k = pair[1];
        b.trial.q_max_ah = One(100 * battery::q_max_per_capacity(pair[0], pair[1], 20));
        b.set_charge(1);
        const double at_c5 = discharge_share(b, 20, 10.5).v, at_c2 = discharge_share(b, 50, 10.5).v;
        CHECK((at_c5 < 0.82 || at_c5 > 0.86));
        CHECK((at_c2 < 0.53 || at_c2 > 0.57));
    }
}

TEST_CASE("polarisation counts nothing twice") {
    // With the whole overvoltage of vented cells, scaled but not lessened by what resistance and the emptied available
    // well explain, the shares would be .88, .76, .64 and .42. What it adds here vanishes at the end.
    for (const double amps : {5.0, 10.0, 20.0, 50.0}) {
        auto bare = agm<One>();
        bare.trial.polarisation = One(0.0);
        CHECK(discharge_share(agm<One>(), amps, 10.5).v == Approx(discharge_share(bare, amps, 10.5).v).margin(0.01));
    }
    // From full, before the wells part: 6 cells x .4 x the published bracket, less I R, within about half an hour. The
    // state of charge in the bracket is kept at .985 or below.
    auto b = agm<One>();
    b.run(One(5.0), 0.01);
    const double bracket = 0.05 * (4 / (1 + base::pow(5.0, 1.3)) + 0.27 / base::pow(0.985, 1.5) + 0.02);
    const double target_v = 6 * 0.4 * bracket - 5 * 0.0065;
    CHECK(b.state.polarisation_v.v == Approx(target_v * (1 - base::exp(-0.01 / 0.5))).epsilon(1e-9));
}

TEST_CASE("a rested battery reads the declared table, which lies within the trade's charts") {
    const auto volts =
        config::Configuration::make(battery::chemistries()[0]->schema(), {})->numbers("open_circuit_voltage_v");
    // Least and most of charts, from memory.
    CHECK((volts[10] > 12.7 && volts[10] < 13.2));
    CHECK((volts[5] > 12.06 && volts[5] < 12.6));
    CHECK((volts[2] > 11.58 && volts[2] < 12.1));
    auto b = agm<Eight>();
    for (int i = 0; i <= 10; ++i) {
        b.set_charge(i / 10.0);
        CHECK(b.terminal_v(Eight(0.0), 0).lane(5) == Approx(volts[i]).margin(1e-9));
        if (i == 0) continue;
        b.set_charge((i - 0.5) / 10);
        CHECK(b.terminal_v(Eight(0.0), 0).lane(2) == Approx((volts[i] + volts[i - 1]) / 2).margin(1e-9));
    }
    b.set_charge(-0.01);
    CHECK(b.terminal_v(Eight(0.0)).lane(0) < 9.7);
}

TEST_CASE("cold capacity follows IEEE 485") {
    const double fahrenheit[] = {25, 30, 35, 40, 45, 50, 55, 60, 65, 68, 70, 77};  // the first three from memory
    const double k_t[] = {1.52, 1.43, 1.35, 1.30, 1.25, 1.19, 1.15, 1.11, 1.08, 1.056, 1.04, 1.00};
    auto b = agm<One>();
    b.trial.capacity_factor_0c = One(battery::vented_capacity_share(0));
    for (int i = 0; i < 12; ++i) {
        const double c = (fahrenheit[i] - 32) / 1.8;
        CHECK(battery::vented_capacity_share(c) == Approx(1 / k_t[i]).epsilon(1e-12));
        CHECK(capacity_factor(b.trial, One(c)).v == Approx(1 / k_t[i]).epsilon(1e-12));
    }
    // An AGM's own figure at 0 degC keeps the shape.
    const auto own = agm<One>();
    CHECK(capacity_factor(own.trial, One(0.0)).v == Approx(0.77).epsilon(1e-12));
    CHECK(capacity_factor(own.trial, One(25.0)).v == Approx(1));
    CHECK(capacity_factor(own.trial, One(45.0)).v == Approx(1));
}

TEST_CASE("temperature makes no charge appear or vanish") {
    // Ah to 10.5 V at C/20 with a cold spell in the middle equal those without one; in the cold there are fewer.
    const auto ah = [](double cold_from_h, double cold_to_h, double end_c) {
        auto b = agm<One>();
        for (int minute = 0;; ++minute) {
            const double h = minute / 60.0;
            b.state.temp_c = One(h >= cold_to_h ? end_c : h >= cold_from_h ? 0.0 : 25.0);
            b.run(One(5.0), 1.0 / 60);
            if (b.terminal_v(One(5.0)).v < 10.5) return 5 * h;
        }
    };
    const double warm = ah(100, 100, 25), spell = ah(2, 8, 25), cold = ah(0, 0, 0);
    CHECK(spell == Approx(warm).margin(0.35));  // polarisation's memory: minutes
    CHECK(cold / warm == Approx(0.77).margin(0.02));
    auto b = agm<One>();
    b.set_charge(0.5);
    const double v = b.terminal_v(One(0.0), 0).v;
    b.state.temp_c = One(-10.0);
    CHECK(b.terminal_v(One(0.0), 0).v == v);  // at rest a cold battery reads the same
    CHECK(b.terminal_v(One(0.0), 1).v < v);   // and lower under load
    CHECK(b.relative().v == 0.5);
}

TEST_CASE("a flat battery comes back at rest, and breaks down again under the first load") {
    // Discharged at C/20 to 10.5 V it shows 11.5 to 11.8 V after a night (from memory).
    auto b = agm<One>();
    while (b.terminal_v(One(5.0)).v >= 10.5) b.run(One(5.0), 1.0 / 60);
    const double left = b.relative().v;
    CHECK(left < 0.08);
    b.run(One(0.0), 12);
    const double rested = b.terminal_v(One(0.0), 0).v;
    CHECK(rested >= 11.5);
    CHECK(rested <= 11.8);
    double hours = 0;
    for (; b.terminal_v(One(5.0)).v >= 10.5 && hours < 5; hours += 1.0 / 60) b.run(One(5.0), 1.0 / 60);
    CHECK(hours * 5 < left * b.trial.q_max_ah.v);  // no ampere-hours come of it
    // Nothing changes above a tenth of the charge, nor under a load.
    b.set_charge(0.1);
    CHECK(b.terminal_v(One(0.0), 0).v == Approx(b.terminal_v(One(0.0), 1).v));
}
