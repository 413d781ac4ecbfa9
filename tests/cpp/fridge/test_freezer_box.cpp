#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "ridethrough/fridge/freezer_box.hpp"

using namespace ridethrough;
using namespace ridethrough::fridge;
using One = simd::Pack<double, 1>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

// An 85 l upright with an ice box of 8 l, as declared.
template <class V>
struct Fridge {
    FridgeTrial<V> whole;
    FreezerTrial<V> box;
};
template <class V>
Fridge<V> upright() {
    using T = typename V::Scalar;
    FridgeTrial<V> p{T(1.49), T(46 / 3.6), T(68), T(0.41), T(0.003), T(0), T(3), T(5)};
    p.evaporator_k = T(-18 + 273.15);
    p.lift_k = T(13 + 18);
    return {p, {T(8 / 3.6), T(1), T(0.1), T(0.5)}};
}

struct Pair {
    double main, box;
};

// The two equations by fourth-order Runge and Kutta, written anew from their statement.
Pair integrated(const Fridge<One>& f, Pair at, double air, double heat, bool runs, double hours, int steps = 4000) {
    const double ua = f.whole.ua_w_per_k.v, share = f.box.leak_share.v, g = f.box.coupling_w_per_k.v;
    const double cooling = runs ? f.whole.compressor_w.v * performance(f.whole, One(air)).v : 0;
    const auto slope = [&](Pair x) {
        const double w1 =
            ua * (1 - share) * (air - x.main) + g * (x.box - x.main) + heat - (1 - f.box.cooling_share.v) * cooling;
        const double w2 = ua * share * (air - x.box) + g * (x.main - x.box) - f.box.cooling_share.v * cooling;
        return Pair{w1 / f.whole.capacity_wh_per_k.v, w2 / f.box.capacity_wh_per_k.v};
    };
    const double h = hours / steps;
    for (int i = 0; i < steps; ++i) {
        const auto moved = [&](Pair k, double by) { return Pair{at.main + by * k.main, at.box + by * k.box}; };
        const Pair a = slope(at), b = slope(moved(a, h / 2)), c = slope(moved(b, h / 2)), d = slope(moved(c, h));
        at.main += h / 6 * (a.main + 2 * b.main + 2 * c.main + d.main);
        at.box += h / 6 * (a.box + 2 * b.box + 2 * c.box + d.box);
    }
    return at;
}

struct Cycles {
    double wh_a_day, mean_main_c, mean_box_c, warmest_box_c, warmest_c;
};

// Days of the thermostat's cycle at a constant temperature; the means are of the last twenty.
// Short pieces make the trapezoid of the means fine enough.
Cycles cycles(const Fridge<One>& f, double air) {
    const auto step = two_nodes(f.whole, f.box, One(air), One(0.0));
    One main = f.whole.low_c, box = steady_box_c(f.whole, f.box, One(air), One(4.0));
    bool on = false;
    double t = 0, on_h = 0, sum = 0, sum_box = 0, warmest = -99, warmest_box = -99;
    const double days = 30, counted = 20;
    while (t < 24 * days) {
        Motion<One> m, b;
        step.motions(main, box, One::Bool::all(on), m, b);
        const double left = 24 * days - t;
        const double h = std::min({first_meets(m, on ? f.whole.low_c : f.whole.high_c, One(left)).v, left, 0.05});
        const bool switches = h < left && h < 0.05;
        if (t > 24 * (days - counted)) {
            on_h += on ? h : 0;
            sum += h * 0.5 * (main.v + m.at(One(h)).v);
            sum_box += h * 0.5 * (box.v + b.at(One(h)).v);
            warmest = std::max(warmest, main.v);
            warmest_box = std::max(warmest_box, box.v);
        }
        main = switches ? (on ? f.whole.low_c : f.whole.high_c) : m.at(One(h));
        box = b.at(One(h));
        on = on != switches;
        t += h;
    }
    const double hours = 24 * counted;
    return {f.whole.compressor_w.v * on_h / counted, sum / hours, sum_box / hours, warmest_box, warmest};
}

}  // namespace

TEST_CASE("two nodes move as their equations say") {
    const auto f = upright<One>();
    for (const double air : {20.0, 38.0})
        for (const bool runs : {false, true})
            for (const Pair from : {Pair{4, -8}, Pair{25, 25}, Pair{3, -20}}) {
                Motion<One> m, b;
                two_nodes(f.whole, f.box, One(air), One(7.0))
                    .motions(One(from.main), One(from.box), One::Bool::all(runs), m, b);
                for (const double hours : {0.0, 0.3, 2.0, 15.0}) {
                    const Pair expected = integrated(f, from, air, 7, runs, hours);
                    CHECK(m.at(One(hours)).v == Approx(expected.main).margin(1e-8));
                    CHECK(b.at(One(hours)).v == Approx(expected.box).margin(1e-8));
                }
            }
}

TEMPLATE_TEST_CASE("the first meeting with a temperature, before and after a turn", "", One, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    const auto f = upright<V>();
    const double close = sizeof(T) == 8 ? 1e-7 : 2e-3;
    // Just switched off with a box far too cold to be true: the main node still falls, and comes back later.
    Motion<V> m, b;
    two_nodes(f.whole, f.box, V(T(25)), V(T(0))).motions(V(T(3)), V(T(-50)), V::Bool::all(false), m, b);
    const double turn = static_cast<double>(turning_h(m, V(T(24))).lane(0));
    CHECK(turn > 0.1);
    CHECK(static_cast<double>(m.at(V(T(turn))).lane(0)) < 2.9);
    for (const double level : {2.9, 5.0}) {  // met on the way down, and only on the way up
        const double at = static_cast<double>(first_meets(m, V(T(level)), V(T(24))).lane(V::width - 1));
        CHECK((at < turn) == (level < 3));
        CHECK(static_cast<double>(m.at(V(T(at))).lane(0)) == Approx(level).margin(close));
        double scanned = 0;  // by walking along
        const bool above = 3 > level;
        while ((static_cast<double>(m.at(V(T(scanned))).lane(0)) > level) == above && scanned < 24) scanned += 1e-4;
        CHECK(at == Approx(scanned).margin(2e-4 + 10 * close));
    }
    CHECK(first_meets(m, V(T(5)), V(T(turn))).lane(0) > T(1e5));
    // Hours above 2.9 degC: before the first crossing and after the second.
    double counted = 0;
    for (int i = 0; i < 100000; ++i)
        counted += static_cast<double>(m.at(V(T((i + 0.5) * 1e-4))).lane(0)) > 2.9 ? 1e-4 : 0;
    CHECK(static_cast<double>(hours_above(V(T(2.9)), m, V(T(10))).lane(0)) == Approx(counted).margin(1e-3));
}

TEST_CASE("a fridge with a freezer box keeps its heat balance") {
    const auto f = upright<One>();
    double box_before = 99;
    for (const double air : {20.0, 25.0, 32.0, 38.0}) {
        const Cycles c = cycles(f, air);
        const double heat = f.whole.ua_w_per_k.v * (0.9 * (air - c.mean_main_c) + 0.1 * (air - c.mean_box_c));
        CHECK(c.wh_a_day == Approx(24 * heat / performance(f.whole, One(air)).v).epsilon(0.005));
        CHECK(c.warmest_c < 6);  // the main node overshoots its band a little while the box cools down
        CHECK(c.mean_box_c == Approx(steady_box_c(f.whole, f.box, One(air), One(c.mean_main_c)).v).margin(0.3));
        CHECK(c.mean_box_c < -2);  // ice keeps, and the hotter the day the colder the box
        CHECK(c.mean_box_c > -18);
        CHECK(c.mean_box_c < box_before);
        box_before = c.mean_box_c;
    }
    // Tightly coupled, the two are one node whose rates are those of the sum.
    auto tight = f;
    tight.box.coupling_w_per_k = One(1e6);
    const auto s = two_nodes(tight.whole, tight.box, One(25.0), One(5.0));
    CHECK(s.slow_rate.v == Approx(1.49 / ((46 + 8) / 3.6)).epsilon(1e-5));
    CHECK(s.main_off_equilibrium_c.v == Approx(25 + 5 / 1.49).epsilon(1e-5));
}

TEMPLATE_TEST_CASE("a box whose inside never meets a level is above it all the time or never", "", One, SixteenFloat) {
    // Motions of boxes tightly and loosely coupled, with turns and without: exactly all of the hours or none of them,
    // so that what is left of a segment is no time below the level; else as walked along the motion.
    using V = TestType;
    using T = typename V::Scalar;
    int turned = 0, crossed = 0;
    for (const double coupling : {0.1, 1.0, 8.0})
        for (const double box_kj : {0.5, 8.0, 120.0})
            for (const double from_c : {0.5, 3.0, 5.0})
                for (const double box_c : {-25.0, -5.0, 9.0})
                    for (const double air_c : {-12.0, 8.0, 35.0})
                        for (const bool runs : {false, true}) {
                            auto f = upright<V>();
                            f.box.coupling_w_per_k = V(static_cast<T>(coupling));
                            f.box.capacity_wh_per_k = V(static_cast<T>(box_kj / 3.6));
                            Motion<V> m, b;
                            two_nodes(f.whole, f.box, V(static_cast<T>(air_c)), V(T(2)))
                                .motions(V(static_cast<T>(from_c)), V(static_cast<T>(box_c)), V::Bool::all(runs), m, b);
                            const V hours(T(0.75));
                            int above = 0;
                            double lowest = 99, highest = -99;
                            const int points = 1500;
                            for (int i = 0; i < points; ++i) {
                                const double c =
                                    static_cast<double>(m.at(V(static_cast<T>((i + 0.5) * 0.75 / points))).lane(0));
                                above += c > 0;
                                lowest = std::min(lowest, c);
                                highest = std::max(highest, c);
                            }
                            const T got = hours_above(V(T(0)), m, hours).lane(0);
                            turned += turning_h(m, hours).lane(0) > T(0);
                            if (lowest > 1e-3)
                                CHECK(got == T(0.75));
                            else if (highest < -1e-3)
                                CHECK(got == T(0));
                            else {
                                ++crossed;
                                CHECK(static_cast<double>(got) == Approx(0.75 * above / points).margin(2e-3));
                            }
                        }
    CHECK(turned > 20);
    CHECK(crossed > 20);
}
