#include <catch2/catch.hpp>
#include <cmath>

#include "battery/numbers.hpp"
#include "ridethrough/charging/alternator_cable.hpp"
#include "ridethrough/circuit/bus.hpp"
#include "ridethrough/circuit/wiring.hpp"
#include "ridethrough/config/configuration.hpp"

using namespace ridethrough;
using circuit::BusInput;
using circuit::BusState;
using One = simd::Pack<double, 1>;
using Eight = simd::Pack<double, 8>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

BusInput<One> quiet(double source_v) {
    BusInput<One> in{};
    in.source_v = One(source_v);
    return in;
}

using Numbers = battery_numbers::Numbers;

template <class V>
BusInput<V> any_input(Numbers& n) {
    BusInput<V> in;
    in.source_v = n.pack<V>(10, 13.2);
    in.discharge_ohm = n.pack<V>(0.002, 0.02);
    in.charge_ohm = n.pack<V>(0.01, 0.3);
    in.shared_ohm = n.pack<V>(0.005, 0.03);
    in.branch_ohm = n.pack<V>(0.01, 0.06);
    in.distribution_a = n.pack<V>(0, 12);
    in.terminal_a = n.pack<V>(0, 60, 0.5);
    in.fridge_w = n.pack<V>(40, 80, 0.3);
    in.solar_w = n.pack<V>(0, 400, 0.4);
    in.dc_dc_a = n.pack<V>(5, 40, 0.6);
    in.mains_a = n.pack<V>(5, 40, 0.6);
    in.set_v = n.pack<V>(12.5, 14.4);
    const V more_ohm = n.pack<V>(0.02, 0.4, 0.5), zero = typename V::Scalar(0);
    in.fall_ohm = select(more_ohm > zero, in.discharge_ohm + more_ohm, V(typename V::Scalar(INFINITY)));
    in.acceptance_a = n.pack<V>(0, 40);
    in.solar_a = n.pack<V>(0, 25, 0.6);
    return in;
}

}  // namespace

TEST_CASE("a constant-power load behind its cable") {
    // Worked by the quadratic formula: 45 W, 12.2 V, .06384 ohm: 3.76261 A, 11.95980 V, .9038 W lost.
    BusInput<One> in = quiet(12.2);
    in.fridge_w = One(45.0);
    in.shared_ohm = One(0.02);
    in.branch_ohm = One(0.04384);
    const auto out = circuit::balance(in);
    CHECK(out.fridge_a.v == Approx(3.76261).margin(5e-6));
    CHECK(out.fridge_v.v == Approx(11.95980).margin(5e-6));
    CHECK(0.06384 * out.fridge_a.v * out.fridge_a.v == Approx(0.9038).margin(5e-5));
    // The same ohms split otherwise between battery and cable: the same current.
    in.discharge_ohm = One(0.03);
    in.branch_ohm = One(0.01384);
    CHECK(circuit::balance(in).fridge_a.v == Approx(3.76261).margin(5e-6));
}

TEST_CASE("a battery from which more is drawn than it can give goes down to 0 V and no further") {
    // .1 ohm gives 100 A of 10 V at most (Ohm's law), with a fridge and a weak sun as without them.
    for (const double fridge_w : {0.0, 45.0})
        for (const double solar_w : {0.0, 20.0}) {
            BusInput<One> in = quiet(10);
            in.discharge_ohm = in.charge_ohm = One(0.1);
            in.terminal_a = One(150.0);
            in.fridge_w = One(fridge_w);
            in.solar_w = One(solar_w);
            in.set_v = One(14.4);
            const auto out = circuit::balance(in);
            CHECK(out.terminal_v.v == 0);
            // All that it gives is lost inside it.
            const double a = out.battery_a.v;
            CHECK(a * (out.resistance_ohm.v * a - out.overvoltage_v.v) == Approx(10 * a));
            const auto by_cable = charging::balance_with_cable(in, {One(14.0), One(5.0), One(40.0)});
            CHECK(by_cable.terminal_v.v == 0);
            in.source_v = One(-3.0);  // under its polarisation
            CHECK(charging::balance_with_cable(in, {One(14.0), One(0.04), One(40.0)}).terminal_v.v == 0);
            in.source_v = One(10.0);
            in.terminal_a = One(50.0);
            CHECK(circuit::balance(in).terminal_v.v > 4);
            CHECK(circuit::balance(in).overvoltage_v.v == 0);
        }
}

TEST_CASE("cable by section and by drop") {
    // Flexible cable has a little less copper than its name says: a tenth to a sixth more resistance than a solid wire
    // of annealed copper, 17.241 ohm mm2/km (IEC 60028). The ends of that range from memory of IEC 60228's class 5.
    for (const double section : {1.5, 2.5, 3.3088, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0}) {
        const double over_solid = circuit::conductor_resistance_ohm(section, 1000) * section / 17.241;
        CHECK(over_solid > 1.10);
        CHECK(over_solid < 1.17);
    }
    // ABYC E-11's worked example: 10 A over 21 ft there and back lose 3 % of 12 V in 6270.8 circular mils, 3.1775 mm2,
    // by its rule for warm copper (10.75 ohm a circular mil and foot, some 30 degC); a little more here, as above.
    BusInput<One> in = quiet(12);
    in.distribution_a = One(10.0);
    in.shared_ohm = One(circuit::conductor_resistance_ohm(6270.8 * 5.06707e-4, 21 * 0.3048, 30));
    const double lost_v = 12 - circuit::balance(in).distribution_v.v;
    CHECK(lost_v / 0.36 > 1.10);
    CHECK(lost_v / 0.36 < 1.17);
    // 5 A over 4 m of 2.5 mm2, there and back, by hand: 7.98 ohm/km at 20 degC and .00393 a K, at 60 degC .3694 V.
    in.distribution_a = One(5.0);
    in.shared_ohm = One(circuit::conductor_resistance_ohm(2.5, 8, 60));
    CHECK(12 - circuit::balance(in).distribution_v.v == Approx(0.3694).margin(5e-5));

    CHECK_THROWS_AS(circuit::conductor_resistance_ohm(0.75, 8), base::InputError);
    CHECK_THROWS_AS(circuit::conductor_resistance_ohm(2.5, -1), base::InputError);
    CHECK_THROWS_WITH(circuit::conductor_resistance_ohm(2.5, 8, std::nan("")),
                      Catch::Contains("temp_c") && Catch::Contains("-40 to 120 degC"));
}

TEMPLATE_TEST_CASE("currents and energy close in every lane, whatever the switches", "", One, Eight, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    Numbers n{7};
    const T close = sizeof(T) == 8 ? T(1e-12) : T(2e-6);
    int limited = 0, lanes = 0;
    for (int i = 0; i < 2000; ++i) {
        const auto in = any_input<V>(n);
        const BusState<V> b = circuit::balance(in);
        const V load = in.distribution_a + in.terminal_a + b.fridge_a;
        const V supply = b.battery_a + b.solar_a + b.dc_dc_a + b.mains_a;
        REQUIRE(all(abs(load - supply) <= V(close * T(100))));
        // What is drawn at the terminals, lost in the cables and lost in the battery is what comes in.
        const V shared_a = in.distribution_a + b.fridge_a;
        const V used_w = in.distribution_a * b.distribution_v + in.terminal_a * b.terminal_v + b.fridge_a * b.fridge_v +
                         in.shared_ohm * shared_a * shared_a + in.branch_ohm * b.fridge_a * b.fridge_a;
        const V battery_w =
            in.source_v * b.battery_a - b.battery_a * (b.resistance_ohm * b.battery_a - b.overvoltage_v);
        const V given_w = battery_w + (b.solar_a + b.dc_dc_a + b.mains_a) * b.terminal_v;
        REQUIRE(all(abs(used_w - given_w) <= V(close * T(1500))));
        // The voltage equation, and the fridge at its power wherever it is above the current limit's voltage.
        const V residual = b.terminal_v - in.source_v + b.resistance_ohm * b.battery_a - b.overvoltage_v;
        REQUIRE(all(abs(residual) <= V(close * T(20))));
        const auto holds = b.fridge_v >= V(T(circuit::kCurrentLimitV) + T(0.01));
        REQUIRE(all(!holds | (abs(b.fridge_a * b.fridge_v - in.fridge_w) <= V(close * T(100)))));
        REQUIRE(all(b.terminal_v <= max(in.set_v, in.source_v) * V(T(1) + close)));
        // Nobody gives more than he has; a tracking charge controller takes power, a clamped module gives current.
        REQUIRE(all((b.solar_a - in.solar_a) * b.terminal_v <= in.solar_w * V(T(1) + close) + V(close * T(400))));
        REQUIRE(all((b.dc_dc_a <= in.dc_dc_a) & (b.mains_a <= in.mains_a)));
        REQUIRE(all((b.solar_a >= V(T(0))) & (b.dc_dc_a >= V(T(0))) & (b.mains_a >= V(T(0)))));
        for (int lane = 0; lane < V::width; ++lane) limited += b.limited.lane(lane), ++lanes;
    }
    CHECK(limited > lanes / 10);
    CHECK(limited < lanes * 9 / 10);
}

TEST_CASE("chargers hold their voltage and curtail: the Sun first, then the drive, then the mains") {
    BusInput<One> in = quiet(12.8);
    in.discharge_ohm = One(0.01);
    in.charge_ohm = One(0.1);
    in.distribution_a = One(4.0);
    in.solar_w = One(144.0);  // 10 A at 14.4 V
    in.dc_dc_a = One(20.0);
    in.mains_a = One(30.0);
    in.set_v = One(14.4);
    in.acceptance_a = One(10.0);  // less than the 16 A that the overvoltage would drive
    auto b = circuit::balance(in);
    CHECK(b.limited.lane(0));
    CHECK(b.terminal_v.v == 14.4);
    CHECK(b.battery_a.v == Approx(-10));
    CHECK(b.solar_a.v == Approx(10));
    CHECK(b.dc_dc_a.v == Approx(4));
    CHECK(b.mains_a.v == Approx(0).margin(1e-12));

    in.acceptance_a = One(60.0);  // then the battery's voltage limits: (14.4 - 12.8) / 0.1
    b = circuit::balance(in);
    CHECK(b.battery_a.v == Approx(-16));
    CHECK(b.dc_dc_a.v == Approx(10));

    in.dc_dc_a = in.mains_a = One(0.0);  // the Sun alone does not reach it
    b = circuit::balance(in);
    CHECK(!b.limited.lane(0));
    CHECK(b.terminal_v.v < 14.4);
    CHECK(b.solar_a.v * b.terminal_v.v == Approx(144));

    in.source_v = One(14.9);  // a battery above the set voltage is never charged
    b = circuit::balance(in);
    CHECK(b.limited.lane(0));
    CHECK(b.battery_a.v == Approx(0).margin(1e-12));
    CHECK(b.solar_a.v == Approx(4));
}

TEST_CASE("a battery above the chargers' voltage carries the loads on its way down to it") {
    BusInput<One> in = quiet(14.3);
    in.discharge_ohm = in.charge_ohm = One(0.01);
    in.distribution_a = One(6.0);
    in.solar_w = One(270.0);
    in.set_v = One(13.5);
    in.acceptance_a = One(50.0);
    in.fall_ohm = One(0.16);  // an hour of 5 A brings it down
    auto b = circuit::balance(in);
    CHECK(b.limited.lane(0));
    CHECK(b.terminal_v.v == 13.5);
    CHECK(b.battery_a.v == Approx(5));
    CHECK(b.solar_a.v == Approx(1));
    // Its power is the terminals' and what it loses on the way: Kirchhoff with the overvoltage that is reported.
    CHECK(b.terminal_v.v == Approx(14.3 - b.resistance_ohm.v * b.battery_a.v + b.overvoltage_v.v));

    in.fall_ohm = One(0.01);  // at once: the loads alone don't take it down, the charge controller rests
    b = circuit::balance(in);
    CHECK(!b.limited.lane(0));
    CHECK(b.terminal_v.v == Approx(14.3 - 0.01 * 6));
    CHECK(b.battery_a.v == Approx(6));
    CHECK(b.solar_a.v == 0);

    in.solar_w = One(0.0);
    in.set_v = One(0.0);  // no charger: nothing changes
    CHECK(circuit::balance(in).battery_a.v == Approx(6));
}

TEST_CASE("at low voltage electronics limit their current") {
    BusInput<One> in = quiet(8.6);
    in.discharge_ohm = One(0.01);
    in.shared_ohm = One(0.02);
    in.branch_ohm = One(0.04);
    in.fridge_w = One(60.0);
    const auto b = circuit::balance(in);
    CHECK(b.fridge_a.v == Approx(60 / circuit::kCurrentLimitV));
    CHECK(b.fridge_v.v < circuit::kCurrentLimitV);
    // No jump where the two regimes meet.
    const auto amps = [&in](double source_v) {
        in.source_v = One(source_v);
        return circuit::balance(in).fridge_a.v;
    };
    for (double v = 8.0; v < 10; v += 0.01) CHECK(std::abs(amps(v + 0.01) - amps(v)) < 0.02);
}
