// A heater on its thermostat, through whole trips: the air in the cabin, what it draws, and what it leaves alone. And
// loads that wait for a day on which nothing is driven.
#include <catch2/catch.hpp>
#include <cmath>

#include "trip/van_fixture.hpp"

using namespace van_fixture;
using engine::Precision;

namespace {

// The numbers of a heater that starts on the hour, in a van that loses 50 W/K.
struct Numbers {
    double holds = 19, night_holds = 11, switch_on_below = 15, power_w = 2000;
    double low_a = 0.2, full_a = 2, least = 0.35, glow_ah = 9 * 5 / 60.0;
    double evening_from = 17, morning_until = 9;
    bool all_night = true;
};
constexpr double kLoss = 50, kLag = 1.5, kWake = 7, kBedtime = 22;

ConfigurationPtr heater_of(const Numbers& n, Values more = {}) {
    more.insert({{"set_point_c", n.holds},
                 {"night_set_point_c", n.night_holds},
                 {"switch_on_below_c", n.switch_on_below},
                 {"power_w", n.power_w},
                 {"low_current_a", n.low_a},
                 {"full_current_a", n.full_a},
                 {"least_share", n.least},
                 {"starts_above_v", 8.0},
                 {"start_spread_h", 0.0},
                 {"evening_from_h", n.evening_from},
                 {"morning_until_h", n.morning_until},
                 {"all_night", n.all_night}});
    return make("Heater", more);
}

ConfigurationPtr van_with(const std::vector<ConfigurationPtr>& loads, Values more = {}) {
    more.insert({{"battery", make("AgmBattery", {{"capacity_ah", 1000.0}})},
                 {"fridge", make("Fridge", {{"start_loss_s", 0.0}})},  // whole numbers of starts are coarse
                 {"cabin_heat_loss_w_per_k", kLoss},
                 {"cabin_lag_h", kLag},
                 {"cabin_person_heat_w", 0.0},
                 {"window_ventilation", 0.0},
                 {"cabin_sun_rise_k_per_w_m2", 0.0}});
    more["loads"] = loads;
    return make("Van", more);
}

engine::SeriesWanted air_and_cabin() {
    engine::SeriesWanted p{};
    p[engine::kSeriesAirC] = p[engine::kSeriesCabinC] = true;
    return p;
}
double air(const Outcome& o, std::size_t h) { return o.series[h]; }
double cabin_of(const Outcome& o, std::size_t h) { return o.series[o.series.size() / 2 + h]; }

// What it comes to by hand, from the air of each hour after a start at 15 h.
struct ByHand {
    std::vector<double> cabin_c;
    double ah = 0;
    int starts = 0, short_hours = 0;
};

// An hour of a cabin that would settle at `settles` after an e-folding in kLag hours, held from when it is at `held`
// on; all heat, most kelvins of it, or none until then.
struct HourByHand {
    double mean, end, full_h, held_h;
};
HourByHand hour_by_hand(double from, double settles, double held, double most) {
    const bool cold = settles < held && (from < held || settles + most <= held);
    const double target = cold ? settles + most : settles;
    const bool reaches = cold ? target > held : settles < held;
    const double hours = reaches ? std::min(kLag * std::log((from - target) / (held - target)), 1.0) : 1.0;
    const double end = hours < 1 ? held : target + (from - target) * std::exp(-1 / kLag);
    return {target * hours + kLag * (from - end) + held * (1 - hours), end, cold ? hours : 0, 1 - hours};
}

ByHand by_hand(const Outcome& o, const Numbers& n) {
    ByHand hand;
    bool on = false;
    double cabin = air(o, 0);
    // From no heat to full heat the current is a straight line; under the smallest flame, that one goes on and off.
    const auto amps = [&n](double strength) {
        const double flame = std::max(strength, n.least);
        return (n.low_a + (n.full_a - n.low_a) * flame) * strength / flame;
    };
    for (std::size_t h = 0; h < o.series.size() / 2; ++h) {
        const double clock = static_cast<double>((15 + h) % 24);
        const bool waking = clock >= kWake && clock < kBedtime;
        const bool wanted = waking ? clock >= n.evening_from || clock < n.morning_until : n.all_night;
        const double held = waking ? n.holds : n.night_holds, most = n.power_w / kLoss, asked = held - air(o, h);
        if (!wanted || (clock == n.evening_from && n.morning_until < n.evening_from)) on = false;
        if (wanted && !on && air(o, h) < std::min(held, n.switch_on_below)) on = true, ++hand.starts;
        if (on && asked > most) ++hand.short_hours;
        const auto hour = hour_by_hand(cabin, air(o, h), on ? held : -1e3, most);  // nothing holds it without a heater
        hand.cabin_c.push_back(hour.mean);
        cabin = hour.end;
        if (on) hand.ah += hour.full_h * n.full_a + hour.held_h * amps(std::clamp(asked / most, 0.0, 1.0));
    }
    hand.ah += hand.starts * n.glow_ah;
    return hand;
}

std::vector<Outcome> heated(const ConfigurationPtr& heater, Values trip_more = {}, double air_c = 2) {
    const auto c = compile(van_with({heater}), plan(site(0.4, air_c), 4, trip_more));
    return run(c, first_trials(100), Precision::double_, 0, air_and_cabin());
}

// All trials as by hand; the starts and the hours in which the heat does not do, of all trials.
std::pair<int, int> check_by_hand(const std::vector<Outcome>& outcomes, const Numbers& n) {
    int starts = 0, short_hours = 0;
    for (const auto& o : outcomes) {
        const ByHand hand = by_hand(o, n);
        for (std::size_t h = 0; h < hand.cabin_c.size(); ++h)
            REQUIRE(cabin_of(o, h) == Approx(hand.cabin_c[h]).margin(1e-9));
        REQUIRE(o.load_ah[0] == Approx(hand.ah).epsilon(1e-9));
        REQUIRE(o.column[engine::kFailedStarts] == 0);
        REQUIRE(o.charge_balance_error < 1e-9);
        REQUIRE(o.energy_balance_error < 1e-9);
        starts += hand.starts;
        short_hours += hand.short_hours;
    }
    return {starts, short_hours};
}

}  // namespace

TEST_CASE("the cabin is held at the stated temperatures in the stated hours, at the current of the heat") {
    Numbers n;
    const auto [starts, none_short] = check_by_hand(heated(heater_of(n), {}, -4), n);
    CHECK(starts == 4 * 100);  // a night that runs through midnight has one glow start
    CHECK(none_short == 0);
    n.all_night = false;
    CHECK(check_by_hand(heated(heater_of(n), {}, -4), n).first == 8 * 100);
    n.evening_from = n.morning_until = 15;  // all waking hours, in one use
    CHECK(check_by_hand(heated(heater_of(n), {}, -4), n).first == 5 * 100);
    n.all_night = true;
    CHECK(check_by_hand(heated(heater_of(n), {}, -4), n).first == 100);
    n = {};
    n.evening_from = 20, n.morning_until = 7;
    check_by_hand(heated(heater_of(n)), n);
    // Around the temperatures that it holds and that people bear: hours without heat, and starts late in the evening,
    // in the night or never.
    const int some = check_by_hand(heated(heater_of({}), {}, 14), {}).first;
    CHECK(some > 100);
    n = {};
    n.switch_on_below = 5;
    CHECK(check_by_hand(heated(heater_of(n), {}, 14), n).first < some / 2);
    // 600 W over 50 W/K are 12 K: in frost the cabin falls short of 19 degC.
    n = {};
    n.power_w = 600;
    CHECK(check_by_hand(heated(heater_of(n), {}, -4), n).second > 100 * 4 * 7);
}

TEST_CASE("a furnace's blower goes on and off with the heat") {
    Numbers n;
    n.low_a = n.full_a = 7, n.least = 1, n.glow_ah = 0, n.power_w = 3500;
    const auto furnace = make("GasFurnace", {{"set_point_c", n.holds},
                                             {"night_set_point_c", n.night_holds},
                                             {"current_a", 7.0},
                                             {"morning_until_h", n.morning_until},
                                             {"start_spread_h", 0.0}});
    check_by_hand(heated(furnace), n);
}

TEST_CASE("in a warm month a heater changes nothing") {
    const auto loads = unheated_loads();
    for (const char* kind : {"Heater", "GasFurnace"}) {
        auto more = loads;
        more.insert(more.begin() + 3, make(kind));
        const auto of = [](const std::vector<ConfigurationPtr>& l) {
            const auto c = compile(agm_van({{"loads", l}}), plan(site(0.5, 36), 4));
            return run(c, first_trials(100), Precision::double_, 0, all_series());
        };
        const auto with = of(more), without = of(loads);
        for (std::size_t i = 0; i < with.size(); ++i) {
            REQUIRE(with[i].column == without[i].column);
            REQUIRE(with[i].series == without[i].series);
            auto ah = with[i].load_ah;
            REQUIRE(ah[3] == 0);
            ah.erase(ah.begin() + 3);
            REQUIRE(ah == without[i].load_ah);
        }
    }
}

TEST_CASE("a heater takes as much in shorter steps, and fridge and battery feel its warmth") {
    const auto in_steps = [](double start_spread_h) {
        std::vector<std::vector<Outcome>> of;
        for (const double step_min : {60.0, 15.0, 5.0})
            of.push_back(heated(heater_of({}, {{"start_spread_h", start_spread_h}}),
                                {{"step_min", step_min}, {"start", std::string("2026-11-06 08:00")}}));
        return of;
    };
    const auto fridge_wh = [](const std::vector<Outcome>& outcomes) {
        double sum = 0;
        for (const auto& o : outcomes) sum += o.column[engine::kFridgeWh] / 100;
        return sum;
    };
    const auto heater_ah = [](const std::vector<Outcome>& outcomes) {
        double sum = 0;
        for (const auto& o : outcomes) sum += o.load_ah[0] / 100;
        return sum;
    };
    // The thermostat's switch is found within the step: where starts fall on the hour nothing is left but rounding.
    const auto on_the_hour = in_steps(0);
    for (std::size_t i = 0; i < 100; ++i)
        for (const int finer : {1, 2}) {
            REQUIRE(on_the_hour[finer][i].load_ah[0] == Approx(on_the_hour[0][i].load_ah[0]).epsilon(1e-9));
            for (std::size_t h = 0; h < 96; ++h)
                REQUIRE(cabin_of(on_the_hour[finer][i], h) == Approx(cabin_of(on_the_hour[0][i], h)).margin(1e-9));
        }
    // One within a step warms it by its share of the step.
    const auto of = in_steps(1);
    CHECK(heater_ah(of[0]) == Approx(heater_ah(of[2])).epsilon(0.02));
    // Shorter steps place the warmth of a start better. In air of 2 degC, where the fridge hardly runs without the
    // heater, an hour's mean misses up to 4 % of what it takes; the miss falls with the step.
    const double hour = fridge_wh(of[0]), quarter = fridge_wh(of[1]), fine = fridge_wh(of[2]);
    INFO("fridge, Wh: " << hour << ", " << quarter << ", " << fine);
    CHECK(hour == Approx(fine).epsilon(0.04));
    CHECK(std::abs(quarter - fine) < std::abs(hour - fine) / 3);
    const auto bare = run(compile(van_with({}), plan(site(0.4, 2), 4, {{"start", std::string("2026-11-06 08:00")}})),
                          first_trials(100));
    CHECK(hour > 1.2 * fridge_wh(bare));
}

TEST_CASE("warmth that is there already is kept, and the fridge takes what it takes in such air") {
    const auto of = [](const Numbers& n, double rise_k) {
        const auto van = van_with(
            {heater_of(n)}, {{"cabin_heat_loss_w_per_k", kLoss / 2}, {"cabin_person_heat_w", kLoss / 4 * rise_k}});
        double wh = 0, ah = 0;
        for (const auto& o : run(compile(van, plan(site(0.4, 2), 4, {{"out_share", 0.0}})), first_trials(100)))
            wh += o.column[engine::kFridgeWh], ah += o.load_ah[0];
        return std::pair{wh, ah};
    };
    // Lived-in air and heater are no sum: 30 K of rise is above what the heater holds.
    Numbers always;
    always.holds = always.night_holds = always.switch_on_below = 20;
    always.evening_from = always.morning_until = 12;
    CHECK(of(always, 30).second == 0);
    // Held all day long at 20 degC, it is as a rise of 18 K over air of 2 degC on average. Its daily cycle
    // and its days above and below that mean nearly cancel: within 5 %.
    Numbers never;
    never.holds = 5, never.night_holds = 0;
    CHECK(of(never, 18).second < 0.05 * of(always, 0).second);
    CHECK(of(always, 0).first == Approx(of(never, 18).first).epsilon(0.05));
}

TEST_CASE("a start that fails warms nothing and is counted") {
    const auto van = van_with({heater_of({}, {{"starts_above_v", 13.0}})},
                              {{"battery", make("AgmBattery", {{"initial_soc", 0.3}})}, {"solar", std::monostate{}}});
    const auto of = [](const ConfigurationPtr& v) {
        return run(compile(v, plan(site(0.4, -4), 3)), first_trials(100), Precision::double_, 0, air_and_cabin());
    };
    const auto failing = of(van), cold = of(van_with({}));
    for (std::size_t i = 0; i < 100; ++i) {
        CHECK(failing[i].column[engine::kFailedStarts] == 6);  // three evenings, and once more at each midnight
        CHECK(failing[i].load_ah[0] == 0);
        REQUIRE(failing[i].series == cold[i].series);
    }
}

TEST_CASE("a cut-off ends the heat until the heater is next switched on") {
    // Empty in the first night. On day 1 shore power comes at 20 h, when that evening's start has failed; the next one
    // is at midnight.
    const Numbers n;
    const auto van = van_with({heater_of(n)}, {{"battery", make("LithiumBattery", {{"capacity_ah", 20.0}})},
                                               {"solar", std::monostate{}},
                                               {"mains", make("MainsCharger")}});
    const auto trip_of = plan(site(0.4, -4), 2,
                              {{"shore_power", planned("ShorePower", {2}, {{"start_h", 20.0}, {"duration_h", 12.0}})}});
    auto wanted_series = air_and_cabin();
    wanted_series[engine::kSeriesTerminalV] = wanted_series[engine::kSeriesBatteryA] = true;
    for (const auto& o : run(compile(van, trip_of), first_trials(100), Precision::double_, 0, wanted_series)) {
        const auto at = [&](engine::Series p, std::size_t h) {
            return o.series[(p == engine::kSeriesAirC ? 48 : p == engine::kSeriesCabinC ? 96 : 144) + h];
        };
        std::size_t dead = 2;  // the first hour in which nothing flows
        while (dead < 48 && at(engine::kSeriesBatteryA, dead) != 0) ++dead;
        REQUIRE(dead > 4);
        REQUIRE(dead < 18);
        REQUIRE(at(engine::kSeriesCabinC, dead - 2) > at(engine::kSeriesAirC, dead - 2));
        // From then on it falls off with its lag; where the first whole hour of that began follows from its mean.
        const double kept = std::exp(-1 / kLag), mean_kept = kLag * (1 - kept);
        double above = (at(engine::kSeriesCabinC, dead + 1) - at(engine::kSeriesAirC, dead + 1)) / mean_kept;
        double end = at(engine::kSeriesAirC, dead + 1) + above * kept;
        for (std::size_t h = dead + 2; h < 33; ++h) {
            const double air_c = at(engine::kSeriesAirC, h);
            REQUIRE(at(engine::kSeriesCabinC, h) == Approx(air_c + (end - air_c) * mean_kept).margin(1e-9));
            end = air_c + (end - air_c) * kept;
        }
        // From -4 to 11 degC with 40 K of heat: 1.5 h x ln(40 / 25), .7 h.
        CHECK(at(engine::kSeriesCabinC, 33) < n.night_holds);
        for (std::size_t h = 34; h < 40; ++h)  // 1 to 7 h
            REQUIRE(at(engine::kSeriesCabinC, h) == Approx(std::max(n.night_holds, at(engine::kSeriesAirC, h))));
        CHECK(o.column[engine::kFailedStarts] == 2 - (dead > 9));  // in the first night at midnight, and at 17 h
    }
}

TEST_CASE("nobody aboard: no heat") {
    const auto trip_of = plan(site(0.4, -4), 4, {{"party", make("Party", {{"persons", 0.0}})}});
    const auto of = [&](const std::vector<ConfigurationPtr>& loads) {
        return run(compile(agm_van({{"loads", loads}, {"cabin_sun_rise_k_per_w_m2", 0.0}}), trip_of), first_trials(50),
                   Precision::double_, 0, air_and_cabin());
    };
    const auto with = of(winter_loads()), without = of(unheated_loads());
    for (std::size_t i = 0; i < with.size(); ++i) {
        CHECK(with[i].load_ah[6] == 0);
        CHECK(with[i].column == without[i].column);
        REQUIRE(with[i].series == without[i].series);
    }
}

TEST_CASE("a van has one heater") {
    for (const char* second : {"Heater", "GasFurnace"})
        CHECK_THROWS_WITH(compile(van_with({make("Heater"), make(second, {{"name", "second"}})}), five_nights()),
                          Catch::Contains("Van.loads.second: a van has one heater"));
}

TEST_CASE("a heater moves no draw of weather, fridge and other loads") {
    const auto loads = unheated_loads();
    const auto without = run(compile(agm_van({{"loads", loads}}), five_nights()), first_trials(48));
    for (const char* kind : {"Heater", "GasFurnace"}) {
        auto more = loads;
        more.insert(more.begin() + 3, make(kind, {{"name", std::string("another")}}));
        const auto with = run(compile(agm_van({{"loads", more}}), five_nights()), first_trials(48));
        double extra_wh = 0;
        for (std::size_t i = 0; i < with.size(); ++i) {
            REQUIRE(with[i].clearness == without[i].clearness);
            for (std::size_t l = 0; l < loads.size(); ++l)
                REQUIRE(with[i].load_ah[l < 3 ? l : l + 1] == without[i].load_ah[l]);
            extra_wh += with[i].column[engine::kFridgeWh] - without[i].column[engine::kFridgeWh];
        }
        CHECK(extra_wh != 0);  // the warmth is felt all the same
    }
}

TEST_CASE("guests come on days on which nothing is driven") {
    const auto evenings = [](const char* nights, std::vector<double> drives) {
        const auto guests =
            make("GuestEvening", {{"daily_probability", 1.0}, {"charge_ah", 10.0}, {"nights", std::string(nights)}});
        using Drives = std::vector<config::ConfigurationPtr>;
        const Drives driven = drives.empty() ? Drives{} : planned("Drive", drives, {{"start_h", 10.0}});
        const auto c = compile(van_with({guests}), plan(site(), 4, {{"drives", driven}}));
        double sum = 0;
        for (const auto& o : run(c, first_trials(400))) sum += o.load_ah[0] / 400;
        return sum / 10;
    };
    CHECK(evenings("all", {2, 4}) == evenings("all", {}));
    // The evenings of days 1 to 4 lie in the trip, each of 10 Ah; those of days 2 and 4 fall away.
    CHECK(evenings("all", {}) == Approx(4));
    CHECK(evenings("stationary", {}) == Approx(4));
    CHECK(evenings("stationary", {2, 4}) == Approx(2));
}
