// What people and food go through: hours without a break above 5 degC, frozen food, cold nights, the coldest cabin. And
// the voltage that drops the fridge, as a series. Columns against the hourly series of the same trials.
#include <catch2/catch.hpp>
#include <cmath>

#include "trip/van_fixture.hpp"

using namespace van_fixture;
using engine::Precision;

namespace {

std::vector<Outcome> traced(const ConfigurationPtr& van, const ConfigurationPtr& plan,
                            std::initializer_list<engine::Series> wanted, int trials = 100) {
    engine::SeriesWanted wanted_series{};
    for (const engine::Series p : wanted) wanted_series[p] = true;
    return run(compile(van, plan), first_trials(trials), Precision::double_, 0, wanted_series);
}

ConfigurationPtr fridge_with(bool freezer_box, Values more = {}) {
    if (freezer_box) more.insert({"freezer_box", make("FreezerBox")});
    return make("Fridge", more);
}

}  // namespace

TEST_CASE("the longest time above 5 degC is that of the hourly path") {
    // A battery that lasts for a day, with some sun: the fridge goes off and on again. The path has the hours' ends.
    for (const bool box : {false, true}) {
        const auto van = agm_van({{"battery", make("AgmBattery", {{"capacity_ah", 30.0}})},
                                  {"fridge", fridge_with(box, {{"set_point_c", 2.0}})}});
        const auto outcomes = traced(van, plan(site(0.5, 15), 3, {{"step_min", 1.0}}), {engine::kSeriesFridgeC}, 60);
        int warm = 0, equal = 0;
        double other_h = 0;
        for (const auto& o : outcomes) {
            const auto longest = [&](double above_c) {
                int most = 0, now = 0;
                for (const double c : o.series) most = std::max(most, now = c > above_c ? now + 1 : 0);
                return most;
            };
            const double spell = o.column[engine::kLongestWarmSpellH];
            INFO("longest " << spell << " h, by the path " << longest(5) << " h, above 7 degC " << longest(7) << " h");
            CHECK(spell < longest(5) + 1);
            CHECK(spell > longest(7) - 1);  // a fridge that runs for minutes goes below 5 degC between two hours' ends
            CHECK(spell <= o.column[engine::kHoursAbove5c] + 1e-9);
            equal += std::abs(spell - longest(5)) < 1;
            warm += longest(5) > 2;
            other_h += o.column[engine::kHoursAbove5c] - spell;
        }
        CHECK(equal >= 54);
        CHECK(warm > 30);
        CHECK(other_h > 10);  // in some trials it is warm more than once
    }
}

TEST_CASE("a trip that is warm from beginning to end is one spell, in steps of any length") {
    const auto warm = agm_van({{"battery", make("AgmBattery", {{"initial_soc", 0.0}})},
                               {"solar", std::monostate{}},
                               {"fridge", fridge_with(false, {{"initial_inside_c", 12.0}})}});
    for (const double step_min : {60.0, 15.0})
        for (const auto& o : traced(warm, plan(site(0.4, 15), 2, {{"step_min", step_min}}), {}, 20)) {
            CHECK(o.column[engine::kLongestWarmSpellH] == Approx(48));
            CHECK(o.column[engine::kHoursAbove5c] == Approx(48));
            CHECK(o.column[engine::kFrozenFoodH] == 0);
        }
}

TEST_CASE("food freezes in hours in which the path is under 0 degC") {
    for (const bool box : {false, true}) {
        const auto van = agm_van({{"loads", unheated_loads()}, {"fridge", fridge_with(box)}});
        const auto outcomes = traced(van, plan(site(0.4, -8), 4, {{"step_min", 1.0}}), {engine::kSeriesFridgeC}, 60);
        double sum = 0;
        for (const auto& o : outcomes) {
            double below = 0;
            int crossings = 0;
            for (std::size_t h = 0; h < o.series.size(); ++h) {
                below += o.series[h] < 0;
                crossings += h > 0 && (o.series[h] < 0) != (o.series[h - 1] < 0);
            }
            CHECK(std::abs(o.column[engine::kFrozenFoodH] - below) <= crossings);
            sum += below / 60;
        }
        INFO("hours below 0 degC, of 96: " << sum);
        CHECK(sum > 20);
        CHECK(sum < 90);
    }
    for (const auto& o : traced(agm_van(), plan(site(0.4, 25), 4), {}, 60)) CHECK(o.column[engine::kFrozenFoodH] == 0);
}

TEST_CASE("cold hours and the coldest cabin are those of the cabin's path") {
    const auto of = [](const std::vector<ConfigurationPtr>& loads, double persons, double air_c) {
        const auto van = agm_van({{"loads", loads}, {"battery", make("AgmBattery", {{"capacity_ah", 60.0}})}});
        const auto aboard = make("Party", {{"persons", persons}});
        return traced(van, plan(site(0.4, air_c), 5, {{"party", aboard}}), {engine::kSeriesCabinC});
    };
    const auto checked = [](const std::vector<Outcome>& outcomes, bool aboard) {
        double sum = 0;
        for (const auto& o : outcomes) {
            double cold_h = 0, coldest = 1e9;
            for (std::size_t h = 0; h < 120; ++h) {
                cold_h += o.series[h] < 10;
                coldest = std::min(coldest, o.series[h]);
            }
            CHECK(o.column[engine::kColdCabinH] == (aboard ? cold_h : 0));
            CHECK(o.column[engine::kColdestCabinC] == Approx(coldest).margin(1e-12));
            sum += cold_h / static_cast<double>(outcomes.size());
        }
        return sum;
    };
    const double heated = checked(of(winter_loads(), 2, 5), true), cold = checked(of(unheated_loads(), 2, 5), true);
    INFO("cold hours of 120: " << heated << " with a heater that runs out of battery, " << cold << " without");
    CHECK(heated > 5);
    CHECK(heated < cold - 5);
    CHECK(checked(of(unheated_loads(), 0, 5), false) > 40);
    CHECK(checked(of(winter_loads(), 2, 30), true) == 0);
}

TEST_CASE("in the hour of a first cut-out by the fridge the lowest voltage lies below its cut-out") {
    // The mean over that hour, compressor running or not, hides most of them.
    for (const char* battery : {"AgmBattery", "LithiumBattery"})
        for (const double step_min : {60.0, 15.0}) {
            const auto outcomes =
                traced(agm_van({{"battery", make(battery)}}), five_nights({{"step_min", step_min}}),
                       {engine::kSeriesTerminalV, engine::kSeriesFridgeV, engine::kSeriesLowestFridgeV}, 400);
            int cuts = 0, by_mean = 0;
            for (const auto& o : outcomes) {
                for (std::size_t h = 0; h < 120; ++h) REQUIRE(o.series[240 + h] < 20);
                if (static_cast<int>(o.column[engine::kCutoutCause]) != engine::kFridgeCutout) continue;
                // One at the end of an hour belongs to that hour.
                const auto hour = static_cast<std::size_t>(std::ceil(o.column[engine::kFirstCutoutH] - 1e-9)) - 1;
                ++cuts;
                by_mean += o.series[120 + hour] < 10.4;
                REQUIRE(o.series[240 + hour] < 10.4);
            }
            INFO(battery << ", steps of " << step_min << " min: " << cuts << ", by the mean " << by_mean);
            CHECK(cuts > 40);
            CHECK(by_mean < 0.1 * cuts);
        }
}
