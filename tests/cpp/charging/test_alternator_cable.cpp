// Plain cable to the alternator: Kirchhoff and energy close in every case, and hand-worked currents.
#include <catch2/catch.hpp>
#include <cmath>

#include "battery/numbers.hpp"
#include "ridethrough/battery/freezing.hpp"
#include "ridethrough/charging/alternator_cable.hpp"

using namespace ridethrough;
using charging::Cable;
using circuit::BusInput;
using circuit::BusState;
using One = simd::Pack<double, 1>;
using Eight = simd::Pack<double, 8>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

BusInput<One> battery_at_rest(double source_v) {
    BusInput<One> in{};
    in.source_v = One(source_v);
    in.discharge_ohm = One(0.01);
    in.charge_ohm = One(0.05);
    in.acceptance_a = One(1000.0);
    return in;
}

using Numbers = battery_numbers::Numbers;

}  // namespace

TEST_CASE("current over a plain cable by hand") {
    // (14.0 - 12.8) / (.04 + .05) = 13.33 A; with a smart alternator at 13.0 V .2 / .09 = 2.22 A.
    auto in = battery_at_rest(12.8);
    Cable<One> cable{One(14.0), One(0.04), One(60.0)};
    auto b = charging::balance_with_cable(in, cable);
    CHECK(b.battery_a.v == Approx(-1.2 / 0.09));
    CHECK(b.dc_dc_a.v == Approx(1.2 / 0.09));
    CHECK(b.terminal_v.v == Approx(12.8 + 0.05 * 1.2 / 0.09));
    cable.volts = One(13.0);
    CHECK(charging::balance_with_cable(in, cable).battery_a.v == Approx(-0.2 / 0.09));
    cable.volts = One(12.4);  // below the battery: nothing flows back
    CHECK(charging::balance_with_cable(in, cable).battery_a.v == Approx(0).margin(1e-12));
    cable = {One(14.0), One(0.04), One(10.0)};  // its fuse or headroom
    CHECK(charging::balance_with_cable(in, cable).battery_a.v == Approx(-10));
    // A nearly full battery that accepts 2 A: the terminals rise to 14 - .04 * 2.
    cable.most_a = One(60.0);
    in.acceptance_a = One(2.0);
    b = charging::balance_with_cable(in, cable);
    CHECK(b.battery_a.v == Approx(-2));
    CHECK(b.terminal_v.v == Approx(13.92));
    CHECK(b.limited.lane(0));
    // Loads are carried first, over the cable: 12 A of load and the battery's 2 A.
    in.terminal_a = One(12.0);
    b = charging::balance_with_cable(in, cable);
    CHECK(b.dc_dc_a.v == Approx(14));
    CHECK(b.terminal_v.v == Approx(14 - 0.04 * 14));
}

TEST_CASE("sources share what the battery accepts") {
    auto in = battery_at_rest(12.8);
    in.acceptance_a = One(10.0);
    in.solar_w = One(200.0);
    in.set_v = One(14.4);
    const Cable<One> low{One(14.0), One(0.04), One(60.0)};
    // The charge controller reaches 14.4 V by itself; the alternator stands below and gives nothing.
    auto b = charging::balance_with_cable(in, low);
    CHECK(b.terminal_v.v == 14.4);
    CHECK(b.dc_dc_a.v == 0);
    CHECK(b.solar_a.v == Approx(10));
    // An alternator above a floating charge controller's 13.5 V takes over: 10 A through .04 ohm, and the Sun rests.
    in.set_v = One(13.5);
    b = charging::balance_with_cable(in, low);
    CHECK(b.battery_a.v == Approx(-10));
    CHECK(b.terminal_v.v == Approx(13.6));
    CHECK(b.solar_a.v == 0);
    // Where it cannot carry all of it, both do.
    const Cable<One> thin{One(14.0), One(0.1), One(60.0)};
    b = charging::balance_with_cable(in, thin);
    CHECK(b.terminal_v.v == 13.5);
    CHECK(b.dc_dc_a.v == Approx(5));
    CHECK(b.solar_a.v == Approx(5));
}

TEMPLATE_TEST_CASE("with a cable currents and energy close in every lane", "", One, Eight, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    Numbers n{11};
    const T close = sizeof(T) == 8 ? T(1e-12) : T(2e-6);
    int limited = 0, carrying = 0, lanes = 0;
    for (int i = 0; i < 4000; ++i) {
        BusInput<V> in;
        in.source_v = n.pack<V>(10, 13.6);
        in.discharge_ohm = n.pack<V>(0.002, 0.02);
        in.charge_ohm = n.pack<V>(0.01, 0.3);
        in.shared_ohm = n.pack<V>(0.005, 0.03);
        in.branch_ohm = n.pack<V>(0.01, 0.06);
        in.distribution_a = n.pack<V>(0, 12);
        in.terminal_a = n.pack<V>(0, 60, 0.5);
        in.fridge_w = n.pack<V>(40, 80, 0.3);
        in.solar_w = n.pack<V>(0, 400, 0.4);
        in.dc_dc_a = V(T(0));
        in.mains_a = n.pack<V>(5, 40, 0.7);
        const auto has_chargers = (in.solar_w > V(T(0))) | (in.mains_a > V(T(0)));
        in.set_v = select(has_chargers, n.pack<V>(13.3, 14.5), V(T(0)));
        in.acceptance_a = n.pack<V>(0, 40);
        const Cable<V> cable{n.pack<V>(12, 15, 0.2), n.pack<V>(0.005, 0.3), n.pack<V>(5, 60)};
        const BusState<V> b = charging::balance_with_cable(in, cable);
        const V load = in.distribution_a + in.terminal_a + b.fridge_a;
        REQUIRE(all(abs(load - (b.battery_a + b.solar_a + b.dc_dc_a + b.mains_a)) <= V(close * T(100))));
        const V shared_a = in.distribution_a + b.fridge_a;
        const V used_w = in.distribution_a * b.distribution_v + in.terminal_a * b.terminal_v + b.fridge_a * b.fridge_v +
                         in.shared_ohm * shared_a * shared_a + in.branch_ohm * b.fridge_a * b.fridge_a;
        const V battery_w =
            in.source_v * b.battery_a - b.battery_a * (b.resistance_ohm * b.battery_a - b.overvoltage_v);
        const V given_w = battery_w + (b.solar_a + b.dc_dc_a + b.mains_a) * b.terminal_v;
        REQUIRE(all(abs(used_w - given_w) <= V(close * T(3000))));
        // Both voltage equations: the battery's and the cable's (at most its fuse, never backwards).
        REQUIRE(all(abs(b.terminal_v - in.source_v + b.resistance_ohm * b.battery_a - b.overvoltage_v) <=
                    V(close * T(40))));
        REQUIRE(all(abs(b.dc_dc_a - charging::cable_a(cable, b.terminal_v)) <= V(close * T(2000))));
        REQUIRE(all((b.dc_dc_a >= V(T(0))) & (b.dc_dc_a <= cable.most_a * V(T(1) + close))));
        // Nobody gives more than he has, the battery takes no more than it accepts, and no voltage is pushed above the
        // charge controllers' or the alternator's.
        const V loose(close * T(3000));
        REQUIRE(all((b.solar_a >= V(T(0))) & (b.mains_a >= V(T(0))) & (b.mains_a <= in.mains_a)));
        REQUIRE(all(b.solar_a * b.terminal_v <= in.solar_w * V(T(1) + close) + loose));
        // Without a current in the cable it is balance(), which lets a little more in.
        const auto carries = b.dc_dc_a > V(T(0));
        REQUIRE(all((!carries) | (-b.battery_a <= in.acceptance_a + loose)));
        REQUIRE(all(b.terminal_v <= max(max(in.set_v, in.source_v), cable.volts) + loose));
        for (int lane = 0; lane < V::width; ++lane) {
            limited += b.limited.lane(lane);
            carrying += b.dc_dc_a.lane(lane) > 0;
            ++lanes;
        }
    }
    CHECK(limited > lanes / 10);
    CHECK(carrying > lanes / 10);
}

TEST_CASE("where the relay is open the balance is that without a cable") {
    Numbers n{11};
    for (int i = 0; i < 500; ++i) {
        auto in = battery_at_rest(n.pack<One>(11, 13).v);
        in.distribution_a = n.pack<One>(0, 12);
        in.fridge_w = n.pack<One>(40, 80, 0.3);
        in.solar_w = n.pack<One>(0, 400, 0.4);
        in.set_v = select(in.solar_w > One(0.0), One(14.4), One(0.0));
        const auto a = circuit::balance(in), b = charging::balance_with_cable(in, {One(0.0), One(0.04), One(0.0)});
        REQUIRE(a.terminal_v.v == Approx(b.terminal_v.v).epsilon(1e-13));
        REQUIRE(a.battery_a.v == Approx(b.battery_a.v).margin(1e-10));
        REQUIRE(a.limited.lane(0) == b.limited.lane(0));
    }
}

TEST_CASE("the emptier an AGM, the sooner it freezes") {
    // Handbook table, from memory: about -10 degC discharged, -25 degC half charged, -57 degC full.
    const auto at = [](double charge) { return battery::freezing_c(One(charge)).v; };
    CHECK(at(0) == -10);
    CHECK(at(0.25) == Approx(-16));
    CHECK(at(0.5) == Approx(-25));
    CHECK(at(0.75) == Approx(-38));
    CHECK(at(1) == Approx(-57));
    CHECK(at(-0.01) == -10);
    // The freezing point of sulphuric acid of the densities behind it: 1.12 (17 %) -10 degC, 1.19 (26 %) -25 degC,
    // chemistry handbooks, from memory.
}
