// The clock of a trip: how steps lie on it where it changes, and what a trip makes of that.
#include <catch2/catch.hpp>

#include "ridethrough/sun/calendar.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using Catch::Contains;
using trip::Clock;
using trip::ClockSteps;

namespace {

const int kSaturday = sun::day_number({2027, 3, 13});

// A trip of two days from Saturday 15:00; the clock changes at `at_h`, 2:00 on Sunday where nothing else is said.
ClockSteps steps(double offset_after, int step_min = 60, double at_h = 11, int start_hour = 15) {
    return {{-5, {{at_h, offset_after}}}, kSaturday, start_hour, 48, step_min};
}

std::vector<std::vector<int>> runs(const ClockSteps& s) {
    std::vector<std::vector<int>> out;
    for (const auto& r : s.runs()) out.push_back({r.day, r.from, r.to, r.first_new_bin});
    return out;
}
using Rows = std::vector<std::vector<int>>;

std::shared_ptr<const trip::CompiledTrip> compile(const ConfigurationPtr& van, const ConfigurationPtr& plan,
                                                  Clock clock) {
    return std::make_shared<const trip::CompiledTrip>(van, plan, std::move(clock));
}

ConfigurationPtr lamp(double from_h) {
    return make("Appliance", {{"name", std::string("lamp")},
                              {"current_a", 6.0},
                              {"duration_min", 30.0},
                              {"duration_spread", 0.0},
                              {"earliest_h", from_h},
                              {"latest_h", from_h}});
}

constexpr std::size_t kHours = 72;  // of the trips below: from Saturday 15:00
ConfigurationPtr three_nights(Values more = {}, const ConfigurationPtr& where = site()) {
    more.insert({{"start", std::string("2027-03-13 15:00")}, {"habits_scale", 1.0}});
    return plan(where, 3, more);
}
const Clock kSpring{-5, {{11, -4}}}, kAutumn{-4, {{11, -5}}};

engine::SeriesWanted wanted(std::initializer_list<engine::Series> wanted_series) {
    engine::SeriesWanted p{};
    for (const engine::Series one : wanted_series) p[one] = true;
    return p;
}

}  // namespace

TEST_CASE("hours that the clock skips are in no run, hours that it repeats are in two") {
    CHECK(runs(steps(-5 + 1)) == Rows{{0, 15, 24, 15}, {1, 0, 2, 0}, {1, 3, 24, 2}, {2, 0, 16, 0}});
    CHECK(runs(steps(-5 - 1)) == Rows{{0, 15, 24, 15}, {1, 0, 2, 0}, {1, 1, 24, 2}, {2, 0, 14, 0}});
    CHECK(runs(steps(-4, 15))[2] == std::vector<int>{1, 12, 96, 8});
    // At midnight, forward and back; the 25 hours of the day before end with 23 to 24 once more.
    CHECK(runs(steps(-4, 60, 9)) == Rows{{0, 15, 24, 15}, {1, 1, 24, 0}, {2, 0, 16, 0}});
    CHECK(runs(steps(-6, 60, 9)) == Rows{{0, 15, 24, 15}, {0, 23, 24, 24}, {1, 0, 24, 0}, {2, 0, 14, 0}});
    // Samoa left out 2011-12-30.
    CHECK(runs({{-10, {{9, 14}}}, kSaturday, 15, 48, 60}) == Rows{{0, 15, 24, 15}, {2, 0, 24, 0}, {3, 0, 15, 0}});
    for (const double after : {-4.0, -6.0, -5.0}) {
        int count = 0;
        for (const unsigned char times : steps(after).counted()) count += times;
        CHECK(count == 48);
    }
}

TEST_CASE("the sky's hours go on where the clock's don't") {
    const auto spring = steps(-4).sky_hours(), autumn = steps(-6).sky_hours();
    CHECK(spring[24 + 1] == 25);
    CHECK(spring[24 + 2] == 26);  // skipped: what comes then
    CHECK(spring[24 + 3] == 26);
    CHECK(spring[48] == 47);
    CHECK(autumn[24 + 1] == 25);  // the first of the two
    CHECK(autumn[24 + 2] == 27);
    CHECK(steps(-6).sky_days() == 4);  // the last hour of the clock's third day is the sky's on the fourth
    CHECK(steps(-4).sky_days() == 3);
    CHECK(steps(-5).one_clock());
    CHECK(!steps(-4).one_clock());
    CHECK(steps(-4).noon_offset_h(0) == -5);
    CHECK(steps(-4).noon_offset_h(1) == -4);
}

TEST_CASE("times of the clock are found in the time that passes") {
    const ClockSteps spring = steps(-4), autumn = steps(-6);
    CHECK(spring.on_start_clock(24 + 1.5) == 25.5);
    CHECK(spring.on_start_clock(24 + 2.5) == 26);  // skipped
    CHECK(spring.on_start_clock(24 + 10) == 33);
    CHECK(autumn.on_start_clock(24 + 1.5) == 25.5);  // twice
    CHECK(autumn.on_start_clock(24 + 10) == 35);
    CHECK(spring.elapsed_h(22, 8) == 7);
    CHECK(autumn.elapsed_h(22, 8) == 9);
    CHECK(spring.end_h() == 64);
    const Clock clock{-5, {{11, -4}, {20, -6}}};
    CHECK(clock.clock_elapsed_h(10.5) == 10.5);
    CHECK(clock.clock_elapsed_h(11) == 12);
    CHECK(clock.clock_elapsed_h(20) == 19);
    CHECK(clock.since_start_h(11.5) == 11);  // skipped
    CHECK(clock.since_start_h(13) == 12);
    CHECK(clock.since_start_h(19.5) == 18.5);  // the first of two
    CHECK(clock.since_start_h(22) == 23);
    for (const double h : {-3.0, 0.0, 10.9, 11.0, 15.0, 25.0})
        CHECK(clock.since_start_h(clock.clock_elapsed_h(h)) <= h);
}

TEST_CASE("what steps cannot follow is said, with the step that can") {
    CHECK(steps(-4.5, 30).warnings().empty());
    CHECK(runs(steps(-4.5, 30))[2] == std::vector<int>{1, 5, 48, 4});
    REQUIRE(steps(-4.5).warnings().size() == 1);
    CHECK_THAT(steps(-4.5).warnings()[0], Contains("30 min on 2027-03-14") && Contains("step_min = 30 follows"));
    CHECK_THAT(steps(-4.75).warnings().at(0), Contains("15 min") && Contains("step_min = 15 follows"));
    CHECK_THAT(steps(-6, 60, 9 + 1 / 60.0).warnings().at(0), Contains("step_min = 1 follows"));
    CHECK_THAT(steps(-5 + 44.5 / 60).warnings().at(0), Contains("44.5 min") && Contains("comes nearest"));
}

TEST_CASE("a clock goes back over a midnight at that midnight, and never to before the start") {
    const auto late = steps(-8, 60, 11);  // at 2:00 to 23:00 of the day before
    CHECK(runs(late) == Rows{{0, 15, 24, 15}, {0, 21, 24, 24}, {1, 0, 24, 0}, {2, 0, 12, 0}});
    CHECK_THAT(late.warnings().at(0), Contains("back over a midnight 2 h after it"));
    CHECK_THROWS_WITH(steps(-8, 60, 2, 0), Contains("Trip.start"));
    CHECK_THROWS_WITH(steps(-6, 60, 0.2, 0), Contains("Trip.start"));
}

TEST_CASE("a clock that is none is refused") {
    CHECK_THROWS_WITH(ClockSteps({15}, 0, 0, 24, 60), Contains("Clock.utc_offset_h = 15 h: allowed -12 to 14 h"));
    CHECK_THROWS_WITH(ClockSteps({0, {{5, -13}}}, 0, 0, 24, 60), Contains("allowed -12 to 14 h"));
    CHECK_THROWS_WITH(ClockSteps({0, {{5, 1}, {5, 2}}}, 0, 0, 24, 60), Contains("at_h = 5"));
    CHECK_THROWS_WITH(ClockSteps({0, {{0, 1}}}, 0, 0, 24, 60), Contains("after the start"));
    const auto zoned = site()->replace({{"time_zone", std::string("America/New_York")}});
    CHECK_THROWS_WITH(trip::CompiledTrip(agm_van(), plan(zoned, 2)), Contains("Site.time_zone"));
    CHECK_THROWS_WITH(zoned->replace({{"utc_offset_h", -5.0}}), Contains("not allowed beside Site.utc_offset_h"));
    CHECK(compile(agm_van(), plan(zoned, 2), {-4})->utc_offset_h() == -4);
}

TEST_CASE("hours of a record that begin beside the clock's") {
    const auto lead = [](double clock, double record, int step_min) {
        ClockSteps s({clock}, kSaturday, 15, 48, step_min);
        s.follow_series(record);
        return std::tuple(s.sky_lead(), s.sky_utc_offset_h(), s.warnings().size());
    };
    CHECK(lead(-5, -8, 60) == std::tuple(0, -5.0, 0u));
    CHECK(lead(5.5, 5.5, 60) == std::tuple(0, 5.5, 0u));
    CHECK(lead(5.5, 6, 30) == std::tuple(1, 6.0, 0u));  // local midnight is half an hour into the record's
    CHECK(lead(5.75, 0, 15) == std::tuple(1, 6.0, 0u));
    CHECK(lead(-3.5, 0, 30) == std::tuple(1, -3.0, 0u));
    CHECK(std::get<2>(lead(5.5, 6, 60)) == 1);
}

TEST_CASE("sun and air are those of the time that passes") {
    const auto wanted_series = wanted({engine::kSeriesGhi, engine::kSeriesAirC});
    const auto of = [&](Clock clock, Values more = {}) {
        return run(compile(agm_van(), three_nights(more), std::move(clock)), first_trials(20),
                   engine::Precision::double_, 0, wanted_series);
    };
    for (const double step_min : {60.0, 30.0}) {
        const auto plain = of({-5}, {{"step_min", step_min}}), changed = of(kSpring, {{"step_min", step_min}});
        const auto back = of({-5, {{11, -6}}}, {{"step_min", step_min}});
        const auto noon = of({-5, {{21, -6}, {45, -4}}}, {{"step_min", step_min}});  // no zone does: in full sun
        for (std::size_t i = 0; i < plain.size(); ++i) {
            REQUIRE(changed[i].series == plain[i].series);  // to the last bit
            REQUIRE(back[i].series == plain[i].series);
            REQUIRE(noon[i].series == plain[i].series);
            REQUIRE(changed[i].load_ah != plain[i].load_ah);
        }
    }
}

TEST_CASE("a use in a skipped hour is left out, one in a repeated hour comes twice") {
    const auto uses = [](double from_h, const Clock& clock) {
        const auto van = agm_van({{"loads", std::vector<ConfigurationPtr>{lamp(from_h)}},
                                  {"solar", make("SolarArray", {{"self_consumption_ma", 0.0}})}});
        const auto c = compile(van, three_nights(), clock);
        const auto wanted_series = wanted({engine::kSeriesTerminalV, engine::kSeriesOtherLoadsW});
        const auto o = run(c, first_trials(3), engine::Precision::double_, 0, wanted_series);
        double wh = 0;
        for (std::size_t h = kHours; h < 2 * kHours; ++h) wh += o[2].series[h];
        CHECK(o[2].column[engine::kUnservedAh] == Approx(0).margin(1e-6));
        CHECK(wh / 12.5 == Approx(o[2].load_ah[0]).epsilon(0.05));  // what was asked for is what flowed, at some 12.5 V
        return o[2].load_ah[0] / 3;                                 // 6 A for half an hour
    };
    CHECK(uses(2.25, {-5}) == Approx(3));
    CHECK(uses(2.25, kSpring) == Approx(2));
    CHECK(uses(1.75, kSpring) == Approx(2.5));  // the half of it that is not skipped
    CHECK(uses(1.25, kAutumn) == Approx(4));
    CHECK(uses(2.25, kAutumn) == Approx(3));
    CHECK(uses(12, kSpring) == Approx(3));
}

TEST_CASE("drives, shore power and generators begin by the clock and last as long as they are said to") {
    const Values van{{"mains", make("MainsCharger")},
                     {"battery", make("AgmBattery", {{"initial_soc", 0.3}, {"capacity_ah", 400.0}})},
                     {"solar", std::monostate{}}};
    const auto hours_of = [&](const Clock& clock, engine::Series path, Values plan_more) {
        const auto c = compile(agm_van(van), three_nights(plan_more), clock);
        const auto o = run(c, first_trials(1), engine::Precision::double_, 0, wanted({engine::kSeriesTerminalV, path}));
        std::vector<int> hours;  // since the start
        for (std::size_t h = 0; h < kHours; ++h)
            if (o[0].series[kHours + h] > 1) hours.push_back(static_cast<int>(h));
        return hours;
    };
    using Hours = std::vector<int>;
    const Values drive{{"drives", planned("Drive", {2}, {{"start_h", 10.0}, {"duration_h", 2.0}})}};
    CHECK(hours_of({-5}, engine::kSeriesDcDcW, drive) == Hours{19, 20});
    CHECK(hours_of(kSpring, engine::kSeriesDcDcW, drive) == Hours{18, 19});
    CHECK(hours_of(kAutumn, engine::kSeriesDcDcW, drive) == Hours{20, 21});
    const Values night{{"drives", planned("Drive", {2}, {{"start_h", 2.0}, {"duration_h", 2.0}})}};
    CHECK(hours_of(kSpring, engine::kSeriesDcDcW, night) == Hours{11, 12});  // skipped: from the change on
    const Values plugged{{"shore_power", planned("ShorePower", {1}, {{"start_h", 22.0}, {"duration_h", 8.0}})}};
    CHECK(hours_of({-5}, engine::kSeriesMainsW, plugged) == Hours{7, 8, 9, 10, 11, 12, 13, 14});
    CHECK(hours_of(kSpring, engine::kSeriesMainsW, plugged) == Hours{7, 8, 9, 10, 11, 12, 13, 14});
}

TEST_CASE("ledgers close and packs agree over a change") {
    const auto heater = make("Heater", {{"starts_above_v", 11.0}, {"set_point_c", 19.0}, {"start_spread_h", 0.5}});
    auto loads = winter_loads();
    loads[loads.size() - 2] = heater;
    const auto party = make("Party", {{"drinks_h", 2.0}});
    const auto panel = make("PortableArray", {{"aims_per_day", 3.0}});
    for (const Clock& clock : {kSpring, kAutumn, Clock{10.5, {{11, 11}}}, Clock{-10, {{9, 14}}}, Clock{-4, {{9, -5}}}})
        for (const double step_min : {60.0, 30.0}) {
            const auto van = agm_van({{"loads", loads},
                                      {"water", make("WaterTanks")},
                                      {"snow_and_frost", make("SnowAndFrost")},
                                      {"arrays", std::vector<ConfigurationPtr>{make("SolarArray"), panel}}});
            const auto c =
                compile(van, three_nights({{"step_min", step_min}, {"party", party}, {"shade_morning", 0.5}}), clock);
            const auto wide = run(c, first_trials(24), engine::Precision::double_, 0, all_series());
            const auto narrow = run(c, first_trials(24), engine::Precision::double_, 1, all_series());
            CHECK(wide == narrow);
            for (const Outcome& o : wide) {
                REQUIRE(o.charge_balance_error < 1e-9);
                REQUIRE(o.energy_balance_error < 1e-9);
            }
        }
}

TEST_CASE("a start that needs a voltage is decided once, also where the clock comes by again") {
    const auto failed = [](double from_h, const Clock& clock) {
        const auto heater = make("Heater", {{"starts_above_v", 13.0},
                                            {"evening_from_h", from_h},
                                            {"start_spread_h", 0.0},
                                            {"morning_until_h", 0.0},
                                            {"all_night", false},
                                            {"set_point_c", 30.0},
                                            {"switch_on_below_c", 30.0}});
        const auto c = compile(agm_van({{"loads", std::vector<ConfigurationPtr>{heater}}}), three_nights(), clock);
        return run(c, first_trials(1))[0].column[engine::kFailedStarts];
    };
    // On each of the four days: that of the first had begun before the trip.
    for (const double from_h : {1.5, 2.5, 7.0})  // 2:30 is skipped in spring: the start is tried after it
        for (const Clock& clock : {Clock{-5}, kSpring, kAutumn}) CHECK(failed(from_h, clock) == 4);
}
