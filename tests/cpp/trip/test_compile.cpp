#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "ridethrough/random/purpose.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;

namespace {

std::map<std::string, std::uint32_t> purposes(const trip::CompiledTrip& c) {
    std::map<std::string, std::uint32_t> all;
    for (const auto& w : c.table().purposes()) all[w.name] = w.purpose;
    for (const auto& s : c.parameters())
        if (s.spread) all["spread." + s.path] = s.purpose;
    return all;
}

void check_error(const ConfigurationPtr& van, const ConfigurationPtr& plan, const std::string& words) {
    CHECK_THROWS_AS(trip::CompiledTrip(van, plan), base::InputError);
    CHECK_THROWS_WITH(trip::CompiledTrip(van, plan), Catch::Contains(words));
}

}  // namespace

TEST_CASE("a trip that cannot be simulated is refused before any work") {
    const auto bare = make("Site", {{"latitude", 36.1}, {"longitude", -79.95}});
    check_error(agm_van(), plan(bare, 5), "Site.climate");
    check_error(agm_van(), five_nights({{"shore_power", planned("ShorePower", {2})}}), "Van.mains");
    check_error(agm_van({{"fridge", make("Fridge", {{"cutout_v", 11.85}})}}), five_nights(), "fridge.restart_v = 11.7");
    check_error(agm_van({{"disconnect", make("SystemDisconnect", {{"cutout_v", Spread::triangular(11, 12, 12.4)}})}}),
                five_nights(), "disconnect.cutout_v = 12.4");
    check_error(agm_van(), five_nights({{"weather", std::string("replayed")}}), "Climate.from_hourly");
    CHECK_THROWS_WITH(
        agm_van({{"loads", std::vector<ConfigurationPtr>{make("Lights"), make("Laptop", {{"name", "lights"}})}}}),
        Catch::Contains("Van.loads") && Catch::Contains("lights"));
    CHECK_THROWS_WITH(five_nights({{"drives", planned("Drive", {7})}}),
                      Catch::Equals("Trip.drives.1.days = 7: allowed 1 to 6 (1 is the day of the start)"));
    CHECK_THROWS_WITH(five_nights({{"shore_power", planned("ShorePower", {6})}}),
                      Catch::Equals("Trip.shore_power.1.nights = 6: allowed 1 to 5 (1 is the first night)"));
    CHECK_THROWS_WITH(five_nights({{"warm_food_days", std::vector<double>{7}}}),
                      Catch::Contains("Trip.warm_food_days = 7: allowed 1 to 6"));
    for (const double day : {0.0, 1.5, -1.0})
        CHECK_THROWS_WITH(planned("Drive", {day}), Catch::Contains("allowed numbers counted from 1"));
    CHECK_THROWS_AS(five_nights({{"step_min", 7.0}}), base::InputError);
    CHECK_THROWS_AS(five_nights({{"nights", 0.0}}), base::InputError);
    const auto no_charger =
        compile(agm_van({{"dc_dc", std::monostate{}}}), five_nights({{"drives", planned("Drive", {2})}}));
    CHECK(no_charger->warnings().size() == 1);
}

TEST_CASE("the calendar of a trip") {
    const auto c = compile(agm_van(), five_nights());
    CHECK(c->hours() == 120);
    CHECK(c->days() == 6);
    CHECK(c->start_hour() == 15);
    CHECK(c->utc_offset_h() == -5);  // -79.95 / 15, rounded
    CHECK(compile(agm_van(), five_nights({{"start", "2026-11-06 00:00"}}))->days() == 5);
    const auto& p = c->plan();
    CHECK(p.steps == 120);
    CHECK(compile(agm_van(), five_nights({{"step_min", 5.0}}))->plan().steps == 1440);
    // Greensboro in November: civil almanacs have sunrise near 6:45 and sunset near 17:15 (from memory).
    CHECK(p.dawn_h[0] == Approx(6.75).margin(0.25));
    CHECK(p.dusk_h[0] == Approx(17.25).margin(0.25));
}

TEST_CASE("no two random quantities share a purpose") {
    std::vector<ConfigurationPtr> loads = winter_loads();
    for (const char* name : {"kettle", "television", "breathing_machine", "radio", "drill"})
        loads.push_back(make("Appliance", {{"name", std::string(name)}, {"current_a", 3.0}, {"duration_min", 10.0}}));
    std::map<std::uint32_t, std::string> owner;
    std::set<std::string> names{"weather.replay", "check.lattice", "check.gaussian"};
    for (const auto& battery : {make("AgmBattery"), make("LithiumBattery")}) {
        const auto c = compile(make("Van", {{"battery", battery},
                                            {"loads", loads},
                                            {"mains", make("MainsCharger")},
                                            {"disconnect", make("SystemDisconnect")}}),
                               five_nights());
        for (const auto& w : c->table().purposes()) names.insert(w.name);
        for (const auto& s : c->parameters())  // every quantity, whether it is spread today or not
            if (!s.path.empty()) names.insert("spread." + s.path);
    }
    CHECK(names.size() > 70);
    for (const auto& name : names) {
        const auto [at, fresh] = owner.insert({random::purpose(name), name});
        INFO(name << " and " << at->second);
        CHECK(fresh);
    }
}

TEST_CASE("adding or removing a load moves nothing else") {
    const auto with = compile(agm_van({{"loads", unheated_loads()}}), five_nights());
    auto fewer = unheated_loads();
    fewer.erase(fewer.begin() + 2);  // the phones, from the middle
    const auto without = compile(agm_van({{"loads", fewer}}), five_nights());
    const auto all = purposes(*with), rest = purposes(*without);
    CHECK(all.size() == rest.size() + 2);  // draws and the spread of the charge
    for (const auto& [name, purpose] : rest) CHECK(all.at(name) == purpose);

    const auto a = run(with, first_trials(40)), b = run(without, first_trials(40));
    for (std::size_t i = 0; i < a.size(); ++i) {
        REQUIRE(a[i].clearness == b[i].clearness);
        for (std::size_t l = 0; l < b[i].load_ah.size(); ++l) {
            const std::size_t here = l < 2 ? l : l + 1;
            REQUIRE(with->load_names()[here] == without->load_names()[l]);
            REQUIRE(a[i].load_ah[here] == b[i].load_ah[l]);
        }
    }
}

TEST_CASE("changing the battery leaves every weather draw and every habit bit-identical") {
    const Values loads{{"loads", unheated_loads()}};
    const auto of = [](const ConfigurationPtr& van) {
        return run(compile(van, five_nights()), first_trials(40), engine::Precision::double_, 0, all_series());
    };
    const auto a = of(agm_van(loads)), b = of(lfp_van(loads));
    for (std::size_t i = 0; i < a.size(); ++i) {
        REQUIRE(a[i].clearness == b[i].clearness);
        REQUIRE(a[i].load_ah == b[i].load_ah);
        for (const engine::Series p : {engine::kSeriesAirC, engine::kSeriesCabinC, engine::kSeriesGhi})
            for (std::size_t h = 0; h < 120; ++h)
                REQUIRE(a[i].series[static_cast<std::size_t>(p) * 120 + h] ==
                        b[i].series[static_cast<std::size_t>(p) * 120 + h]);
    }
    CHECK(a[0].clearness != a[1].clearness);
}
