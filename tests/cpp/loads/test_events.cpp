#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <vector>

#include "ridethrough/loads/events.hpp"

using namespace ridethrough;
using One = simd::Pack<double, 1>;
using Eight = simd::Pack<double, 8>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

template <class V>
struct Bins {
    explicit Bins(int minutes)
        : store(static_cast<std::size_t>(6 * 2 * (1440 / minutes))),
          counted(store.size() / 6, 1),
          day{1440 / minutes, static_cast<typename V::Scalar>(minutes / 60.0), at(0), at(1), at(2), at(3), at(4), at(5),
              counted.data()} {
        day.clear(0, 2 * day.per_day);
    }
    V* at(int i) { return store.data() + static_cast<std::size_t>(i) * store.size() / 6; }
    // Ah of one lane in bins [from, to), and of it what is drawn at the terminals.
    double ah(int lane, int from, int to, bool terminals_only = false) const {
        double sum = 0;
        for (int k = from; k < to; ++k) {
            const auto value = [&](const V* p) { return static_cast<double>(p[k].lane(lane)); };
            const double step = static_cast<double>(day.step_h), at_terminals = value(day.event_at_terminals);
            const double event = value(day.event_a) * (value(day.event_off_h) - value(day.event_on_h));
            sum += value(day.terminal_a) * step + event * at_terminals;
            if (!terminals_only) sum += value(day.distribution_a) * step + event * (1 - at_terminals);
        }
        return sum;
    }
    std::vector<V> store;
    std::vector<unsigned char> counted;
    loads::DayBins<V> day;
};

struct Numbers {
    std::uint32_t state = 3;
    double next() { return (state = state * 1664525u + 1013904223u) / 4294967296.0; }
    std::uint64_t draw() {
        const auto high = static_cast<std::uint64_t>(next() * 4294967296.0);
        return high << 32 | static_cast<std::uint64_t>(next() * 4294967296.0);
    }
};

}  // namespace

TEMPLATE_TEST_CASE("bins keep every ampere-hour at every step length", "", One, Eight, SixteenFloat) {
    using V = TestType;
    using T = typename V::Scalar;
    Numbers n;
    for (const int minutes : {60, 30, 15, 5, 1}) {
        Bins<V> bins(minutes);
        std::vector<double> all(V::width), at_terminals(V::width), counted(V::width);
        for (int event = 0; event < 40; ++event) {
            const bool terminals = n.next() < 0.3;
            V start, end, amps;
            for (int lane = 0; lane < V::width; ++lane) {
                start.set_lane(lane, static_cast<T>(24 * n.next()));
                end.set_lane(lane, start.lane(lane) + static_cast<T>(std::pow(n.next(), 3) * 23));
                amps.set_lane(lane, static_cast<T>(n.next() < 0.2 ? 0 : 30 * n.next()));
                const double ah = static_cast<double>(amps.lane(lane)) *
                                  (static_cast<double>(end.lane(lane)) - static_cast<double>(start.lane(lane)));
                all[static_cast<std::size_t>(lane)] += ah;
                at_terminals[static_cast<std::size_t>(lane)] += terminals ? ah : 0;
            }
            V used = T(0);
            bins.day.add(start, end, amps, terminals, used);
            for (int lane = 0; lane < V::width; ++lane)
                counted[static_cast<std::size_t>(lane)] += static_cast<double>(used.lane(lane));
        }
        for (int lane = 0; lane < V::width; ++lane) {
            const double close = sizeof(T) == 8 ? 1e-12 : 3e-5, want = all[static_cast<std::size_t>(lane)];
            REQUIRE(bins.ah(lane, 0, 2 * bins.day.per_day) == Approx(want).epsilon(close));
            REQUIRE(counted[static_cast<std::size_t>(lane)] == Approx(want).epsilon(close));
            REQUIRE(bins.ah(lane, 0, 2 * bins.day.per_day, true) ==
                    Approx(at_terminals[static_cast<std::size_t>(lane)]).epsilon(close).margin(1e3 * close));
        }
    }
}

TEST_CASE("what runs past midnight goes on tomorrow") {
    for (const int minutes : {60, 15, 1}) {
        Bins<Eight> bins(minutes);
        Eight used = 0.0;
        bins.day.add(Eight(22.25), Eight(26.75), Eight(2.0), false, used);
        CHECK(bins.ah(3, 0, bins.day.per_day) == Approx(3.5));
        bins.day.next_day();
        CHECK(bins.ah(3, 0, bins.day.per_day) == Approx(5.5));
        CHECK(bins.ah(3, 3 * 60 / minutes, bins.day.per_day) == 0);
        bins.day.next_day();
        CHECK(bins.ah(3, 0, 2 * bins.day.per_day) == 0);
    }
}

TEST_CASE("the largest event of a bin keeps its current and its times") {
    Bins<One> bins(60);
    One used = 0.0;
    const auto add = [&](double from, double to, double amps, bool terminals) {
        bins.day.add(One(from), One(to), One(amps), terminals, used);
    };
    add(9.0, 10.0, 1.0, false);
    add(9.25, 9.5, 9.0, false);
    add(9.5, 9.75, 4.0, true);
    CHECK(bins.day.event_a[9].v == 9);
    CHECK(bins.day.event_on_h[9].v == Approx(0.25));
    CHECK(bins.day.event_off_h[9].v == Approx(0.5));
    CHECK(bins.day.event_at_terminals[9].v == 0);
    CHECK(bins.day.distribution_a[9].v == Approx(1.0));
    CHECK(bins.day.terminal_a[9].v == Approx(1.0));
    add(9.75, 11.5, 20.0, true);  // a larger one takes the place, over two bins and a half
    CHECK(bins.day.event_a[9].v == 20);
    CHECK(bins.day.event_on_h[9].v == Approx(0.75));
    CHECK(bins.day.event_off_h[10].v == Approx(1));
    CHECK(bins.day.event_off_h[11].v == Approx(0.5));
    CHECK(bins.day.distribution_a[9].v == Approx(1 + 9 * 0.25));
}

TEST_CASE("what lies outside the trip is not counted") {
    Bins<One> bins(60);
    One used = 0.0;
    for (std::size_t k = 0; k < 48; ++k) bins.counted[k] = k >= 15 && k < 27;  // the trip is from 15 to 3 the next day
    bins.day.add(One(13.5), One(17.0), One(2.0), false, used);
    CHECK(used.v == Approx(4));
    bins.day.add(One(22.0), One(30.0), One(1.0), false, used);
    CHECK(used.v == Approx(4 + 5));
}

TEST_CASE("what the clock skips is not counted, what it repeats is counted twice") {
    Bins<One> bins(30);
    One used = 0.0;
    bins.counted[4] = bins.counted[5] = 0;  // 2 to 3 is skipped
    bins.day.add(One(1.5), One(4.25), One(2.0), false, used);
    CHECK(used.v == Approx(2 * 1.75));
    CHECK(bins.ah(0, 0, 48) == Approx(2 * 2.75));  // what was put in stays as it is
    used = 0.0;
    bins.counted[2] = bins.counted[3] = 2;  // 1 to 2 is repeated
    bins.day.add(One(1.25), One(1.75), One(4.0), true, used);
    CHECK(used.v == Approx(2 * 4 * 0.5));
}

TEMPLATE_TEST_CASE("uses of a load fall in their window, as often and as long as declared", "", One, Eight) {
    using V = TestType;
    loads::EventModel e;
    e.draws = random::DrawIndex(0, 4);
    e.uses = 2;
    e.current = random::ParameterIndex(0);
    e.hours = random::ParameterIndex(1);
    e.share = random::ParameterIndex(2);
    e.hours_spread = 0.2;
    e.earliest_h = 9;
    e.latest_h = 20;
    V parameters[] = {4.0, 1.5, 0.5};
    const V air[24] = {};
    const int days = 4000;
    Numbers n;
    std::vector<std::uint64_t> draws(static_cast<std::size_t>(4 * days * V::width));
    for (auto& w : draws) w = n.draw();
    Bins<V> bins(60);
    const loads::DayClock<double> clock{17, 7, 7};
    V used = 0.0;
    for (int day = 0; day < days; ++day) {
        bins.day.clear(0, 48);
        loads::add_events(e, clock, random::Draws<V>(draws.data()), day, random::Parameters<V>(parameters), V(1.2), air,
                          bins.day, used);
        REQUIRE(bins.ah(0, 0, 9) == 0);
        REQUIRE(bins.ah(0, 24, 48) == 0);
    }
    // Two uses, half of the days, 4 A, 1.5 h, habits x 1.2. Of a day's Ah the standard deviation is
    // sqrt(2) x 7.2 x sqrt(.5 x 1.04 - .25) = 5.29; the mean of `days` within 4.9 of its own.
    const double mean = static_cast<double>(used.lane(V::width - 1)) / days;
    CHECK(std::abs(mean - 7.2) < 4.9 * 5.29 / std::sqrt(static_cast<double>(days)));
}
