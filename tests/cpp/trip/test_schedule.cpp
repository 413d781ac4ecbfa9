// What a trip plans: days as people say them, what may not overlap, and the one schedule of it all.
#include <catch2/catch.hpp>

#include "trip/van_fixture.hpp"

using namespace van_fixture;
using Intervals = std::vector<trip::Interval>;
using trip::Activity;

namespace {

// Five nights from Friday 2026-11-06, 15 h.
Intervals schedule(Values more, Values van = {}) {
    van.insert({{"mains", make("MainsCharger")}, {"generator", make("Generator")}, {"water", make("WaterTanks")}});
    return compile(agm_van(van), five_nights(more))->schedule();
}
std::vector<double> begins(const Intervals& all, Activity activity) {
    std::vector<double> out;
    for (const auto& i : all)
        if (i.activity == activity) out.push_back(i.begin_h);
    return out;
}
config::Value named(std::initializer_list<const char*> days) {
    std::vector<config::Day> out;
    for (const char* day : days) out.push_back(*config::named_day(day));
    return out;
}
std::vector<ConfigurationPtr> both(std::vector<ConfigurationPtr> a, const std::vector<ConfigurationPtr>& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
}
std::vector<ConfigurationPtr> drive(double day, double from, double hours) {
    return planned("Drive", {day}, {{"start_h", from}, {"duration_h", hours}});
}

}  // namespace

TEST_CASE("days are numbers from 1, dates or weekdays") {
    const std::vector<double> day2{24 + 10 - 15}, day2_and_6{24 + 10 - 15, 5 * 24 + 10 - 15};
    CHECK(begins(schedule({{"drives", planned("Drive", {2})}}), Activity::drive) == day2);
    const auto said = [](std::initializer_list<const char*> days) {
        const std::vector<ConfigurationPtr> drives{make("Drive", {{"days", named(days)}})};
        return begins(schedule({{"drives", drives}}), Activity::drive);
    };
    CHECK(said({"2026-11-07"}) == day2);
    CHECK(said({"Saturday"}) == day2);
    CHECK(said({"sat", "2026-11-07"}) == day2);  // said twice, driven once
    CHECK(said({"Wednesday", "Sat"}) == std::vector<double>{19, 4 * 24 + 19});
    CHECK(said({"Friday"}).empty());  // day 1 at 10 h lies before the start
    CHECK_FALSE(config::named_day("Fr"));
    CHECK_FALSE(config::named_day("2026-02-29"));
    CHECK(config::named_day("2024-02-29")->text() == "2024-02-29");
    CHECK(config::named_day("1969-12-31")->value == -1);
    const std::vector<ConfigurationPtr> never{make("Drive", {{"days", named({"Thursday"})}})};
    CHECK(compile(agm_van(), five_nights({{"drives", never}}))->warnings() ==
          std::vector<std::string>{"Trip.drives.1: no such day falls within the trip: it does nothing"});
    const std::vector<ConfigurationPtr> early{make("Drive", {{"days", named({"2026-11-06"})}})};
    CHECK(compile(agm_van(), five_nights({{"drives", early}}))->warnings() ==
          std::vector<std::string>{"Trip.drives.1: day 1, 10:00 to 12:00, lies outside the trip, which lasts from day "
                                   "1, 15:00 to 15:00 of day 6, and does nothing"});
    CHECK_THROWS_WITH(make("Drive", {{"days", named({})}}), Catch::StartsWith("Drive.days = []: no day is named"));
    const std::vector<ConfigurationPtr> late{make("Drive", {{"days", named({"2026-11-12"})}})};
    CHECK_THROWS_WITH(five_nights({{"drives", late}}),
                      Catch::Contains("'2026-11-12': allowed '2026-11-06' to '2026-11-11'"));
}

TEST_CASE("two drives on a day are driven as they are said") {
    const auto two = both(drive(2, 9, 1), drive(2, 14, 2.5));
    const auto all = schedule({{"drives", two}});
    REQUIRE(all.size() == 2);
    CHECK((all[0].begin_h == 18 && all[0].end_h == 19 && all[1].begin_h == 23 && all[1].end_h == 25.5));
    CHECK((all[1].path == "trip.drives.2" && all[1].day == 2));
    const auto wh = [](const std::vector<ConfigurationPtr>& drives) {
        const auto van = agm_van({{"battery", make("LithiumBattery", {{"capacity_ah", 400.0}, {"initial_soc", 0.3}})},
                                  {"solar", std::monostate{}},
                                  {"dc_dc", make("DcDcCharger", {{"alternator_v", 14.0}})},
                                  {"loads", std::vector<ConfigurationPtr>{}}});
        double sum = 0;
        for (const auto& o : run(compile(van, five_nights({{"drives", drives}})), first_trials(64)))
            sum += o.column[engine::kDcDcWh] / 64;
        return sum;
    };
    CHECK(wh(two) == Approx(wh(drive(2, 9, 1)) + wh(drive(2, 14, 2.5))).epsilon(0.02));
}

TEST_CASE("what cannot be at once is refused") {
    const auto refused = [](Values more, const std::string& words) {
        CHECK_THROWS_WITH(five_nights(more), Catch::Contains(words));
    };
    refused({{"drives", both(drive(3, 10, 2), drive(3, 11, 1))}},
            "Trip.drives.2: day 3, 11:00 to 12:00 overlaps Trip.drives.1 (day 3, 10:00 to 12:00)");
    refused({{"drives", drive(3, 10, 2)}, {"day_trips", planned("DayTrip", {3})}}, "Trip.day_trips.1");
    refused({{"shore_power", both(planned("ShorePower", {2}, {{"duration_h", 24.0}}),
                                  planned("ShorePower", {3}, {{"start_h", 12.0}}))}},
            "overlaps Trip.shore_power.1 (day 2, 16:00 to 16:00)");
    refused({{"idling", both(planned("Idle", {2}), planned("Idle", {2}))}}, "Trip.idling.2");
    // Within one step they would run together.
    const auto near = both(drive(2, 10, 0.25), drive(2, 10.5, 0.25));
    refused({{"drives", near}}, "allowed with step_min = 30");
    five_nights({{"drives", near}, {"step_min", 30.0}});
    five_nights({{"drives", both(drive(2, 10, 1), drive(2, 11, 1))}});
    five_nights({{"drives", drive(2, 10, 2)}, {"idling", planned("Idle", {2}, {{"start_h", 11.0}})}});
}

TEST_CASE("the schedule holds all that is planned, cut to the trip") {
    const std::vector<ConfigurationPtr> stops{
        make("Stop", {{"name", "lake"}, {"site", site()}, {"nights", 2.0}}),
        make("Stop", {{"name", "town"}, {"site", site()}, {"nights", 2.0}, {"power", "shore"}})};
    const auto van =
        agm_van({{"mains", make("MainsCharger")}, {"water", make("WaterTanks")}, {"generator", make("Generator")}});
    const auto trip =
        make("Trip", {{"stops", stops},
                      {"start", "2026-11-06 15:00"},
                      {"generator_runs", planned("GeneratorRun", {2}, {{"start_h", 19.0}, {"duration_h", 3.0}})},
                      {"storage", make("Storage", {{"weeks", 2.0}})},
                      {"water_days", std::vector<double>{1, 3}},
                      {"warm_food_days", std::vector<double>{2}}});
    std::vector<std::string> shown;
    const auto compiled = compile(van, trip);
    for (const auto& i : compiled->schedule())
        shown.push_back(i.path + " " + std::string(name_of(i.activity)) + " " + base::number_text(i.begin_h) + " " +
                        base::number_text(i.end_h) + " " + std::to_string(i.day));
    CHECK(shown == std::vector<std::string>{"trip.storage storage -336 0 -13",
                                            "trip.stops.lake drive 0 1 1",  // from 14 h, of which 15 h on is the trip's
                                            "trip.water_days water 0 0 1", "trip.warm_food_days warm_food 25 25 2",
                                            "trip.generator_runs.1 generator 28 29 2",  // quiet from 20 h on
                                            "trip.water_days water 33 33 3", "trip.stops.town drive 47 49 3",
                                            "trip.stops.town shore_power 49 96 3"});
}

TEST_CASE("a climate without coordinates is that of its site") {
    const auto given = fixture::climate_at(36.1, -79.95, 0.4, {{"air_temp_c", std::vector<double>(12, 9.0)}});
    const auto bare = given->replace({{"latitude", std::monostate{}}, {"longitude", std::monostate{}}});
    const auto at = [](double latitude, const ConfigurationPtr& climate) {
        return make("Site", {{"latitude", latitude}, {"longitude", -79.95}, {"climate", climate}});
    };
    const auto played = [&](const ConfigurationPtr& climate) {
        return run(compile(agm_van(), plan(at(36.1, climate), 5)), first_trials(16));
    };
    CHECK((played(bare) == played(given)));
    CHECK_THROWS_WITH(at(75, bare), Catch::Contains("Climate.ghi_kwh_m2_day.1 (January)"));
    CHECK_THROWS_WITH(given->replace({{"latitude", std::monostate{}}}), Catch::Contains("allowed both, or neither"));
}
