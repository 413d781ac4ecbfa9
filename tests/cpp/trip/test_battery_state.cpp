// Place, age and company of the battery, as pairs of runs on the same weather and habits.
#include <catch2/catch.hpp>
#include <cmath>

#include "ridethrough/battery/chemistry.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using engine::Column;

namespace {

std::vector<Outcome> played(const ConfigurationPtr& van, const ConfigurationPtr& plan, int trials = 400,
                            const engine::SeriesWanted& wanted_series = no_series) {
    return run(compile(van, plan), first_trials(trials), engine::Precision::double_, 0, wanted_series);
}
double mean(const std::vector<Outcome>& o, Column c) {
    double sum = 0;
    for (const Outcome& x : o) sum += x.column[c];
    return sum / static_cast<double>(o.size());
}
double path_mean(const std::vector<Outcome>& o, engine::Series p, std::size_t hour) {
    double sum = 0;
    for (const Outcome& x : o) sum += x.series[static_cast<std::size_t>(p) * 120 + hour];
    return sum / static_cast<double>(o.size());
}
ConfigurationPtr with(const char* battery, Values values, Values more = {}) {
    more.insert({{"battery", make(battery, values)}, {"loads", unheated_loads()}});
    return agm_van(more);
}

}  // namespace

TEST_CASE("age sets health and resistance where they are not given") {
    // Health of 5-year-old batteries, from memory: AGM .55/.75/.90, lithium .85/.92/.98; as new at 0.
    for (const bool lithium : {false, true}) {
        const ConfigurationPtr fresh = make(lithium ? "LithiumBattery" : "AgmBattery");
        CHECK(battery::chemistry_of(*fresh).aged_health(0) == std::get<Spread>(fresh->at("state_of_health")));
        CHECK(battery::chemistry_of(*fresh).aged_resistance_mohm(0) ==
              std::get<Spread>(fresh->at("resistance_mohm_100ah")));
    }
    const auto near = [](const Spread& a, std::vector<double> b) {
        for (std::size_t i = 0; i < 3; ++i) CHECK(a.numbers()[i] == Approx(b[i]));
    };
    const battery::Chemistry &agm = *battery::chemistries()[0], &lfp = *battery::chemistries()[1];
    near(agm.aged_health(5), {0.55, 0.75, 0.90});
    near(lfp.aged_health(5), {0.85, 0.92, 0.98});
    near(agm.aged_health(15), {0.2, 0.35, 0.7});
    near(agm.aged_resistance_mohm(5), {10, 13, 20});
    near(agm.aged_resistance_mohm(12), {15, 19.5, 30});

    const auto plan = five_nights();
    const auto health = [&](Values v) {
        const auto c = compile(with("AgmBattery", v), plan);
        return c->table()[c->plan().battery.unit[0].state_of_health];
    };
    near(*health({{"age_years", 5.0}}).spread, {0.55, 0.75, 0.90});
    CHECK(health({{"age_years", 5.0}}).purpose == health({}).purpose);
    CHECK(health({{"age_years", 5.0}, {"state_of_health", 0.9}}).constant == 0.9);

    // "Comparing new lithium with a 5-year-old AGM": the age alone makes a difference.
    const auto young = played(with("AgmBattery", {}), plan),
               old = played(with("AgmBattery", {{"age_years", 5.0}}), plan);
    INFO("cut off: new " << share_cut(young) << ", 5 years old " << share_cut(old));
    CHECK(share_cut(old) > share_cut(young) + 0.15);
    for (std::size_t i = 0; i < young.size(); ++i) {
        CHECK((!young[i].cut() || old[i].cut()));
        REQUIRE(young[i].clearness == old[i].clearness);
        REQUIRE(young[i].load_ah == old[i].load_ah);
    }
}

TEST_CASE("a measured capacity stands for rated capacity and health") {
    const auto plan = five_nights();
    const Values resistance{{"resistance_mohm_100ah", 6.5}};
    const auto given = [&](Values v) {
        v.insert(resistance.begin(), resistance.end());
        return played(with("AgmBattery", v), plan, 100);
    };
    CHECK((given({{"measured_capacity_ah", 105.0}}) == given({{"state_of_health", 0.7}})));  // .7 of 150 Ah
    CHECK(share_cut(given({{"measured_capacity_ah", 105.0}})) > share_cut(given({})));
    // What stood empties by its own capacity, and no more than its health can be counted twice.
    const auto stood = [&](Values v) {
        v.insert(resistance.begin(), resistance.end());
        return played(with("AgmBattery", v), five_nights({{"storage", make("Storage", {{"weeks", 4.0}})}}), 50);
    };
    CHECK((stood({{"measured_capacity_ah", 105.0}}) == stood({{"state_of_health", 0.7}})));
}

TEST_CASE("batteries in parallel are one of their sum") {
    const ConfigurationPtr away = five_nights(), stood = five_nights({{"storage", make("Storage", {{"weeks", 4.0}})}});
    const Values known{{"state_of_health", 0.9}, {"resistance_mohm_100ah", 6.5}};
    const auto of = [&](double ah) {
        Values v = known;
        v.insert({"capacity_ah", ah});
        return make("AgmBattery", v);
    };
    const auto run_of = [&](std::vector<ConfigurationPtr> batteries, const ConfigurationPtr& plan) {
        return played(agm_van({{"batteries", std::move(batteries)}, {"loads", unheated_loads()}}), plan, 200);
    };
    const ConfigurationPtr measured =
        make("AgmBattery", {{"capacity_ah", 50.0}, {"measured_capacity_ah", 45.0}, {"resistance_mohm_100ah", 6.5}});
    for (const auto& plan : {away, stood}) {
        const auto whole = run_of({of(150)}, plan);
        for (const auto& parts : {std::vector{of(75), of(75)}, std::vector{of(50), measured, of(50)}}) {
            const auto sum = run_of(parts, plan);
            for (std::size_t i = 0; i < sum.size(); ++i) {
                REQUIRE(sum[i].column[engine::kMinSoc] == Approx(whole[i].column[engine::kMinSoc]).margin(1e-6));
                REQUIRE(sum[i].cut() == whole[i].cut());
            }
        }
    }
    // An old one beside it is worth less than a new one, and more than none.
    const auto aged = [](double years) { return make("AgmBattery", {{"capacity_ah", 75.0}, {"age_years", years}}); };
    const double with_new = share_cut(run_of({of(75), aged(0)}, away)),
                 with_old = share_cut(run_of({of(75), aged(8)}, away)), alone = share_cut(run_of({of(75)}, away));
    INFO("cut off: new one " << with_new << ", 8 years old " << with_old << ", none " << alone);
    CHECK(with_new < with_old - 0.05);
    CHECK(with_old < alone - 0.05);
}

TEST_CASE("what batteries in parallel refuse") {
    const auto van = [](std::vector<ConfigurationPtr> batteries) {
        return make("Van", {{"batteries", std::move(batteries)}});
    };
    const ConfigurationPtr agm = make("AgmBattery"), locker = make("AgmBattery", {{"location", "locker"}});
    CHECK_THROWS_WITH(van({agm, make("LithiumBattery")}),
                      Catch::Contains("Van.batteries.2 = LithiumBattery: allowed AgmBattery, like the first"));
    CHECK_THROWS_WITH(van({agm, agm, locker}), Catch::Contains("Van.batteries.3.location = 'locker': not allowed"));
    CHECK_NOTHROW(van({locker, agm}));  // what is left out is as of the first
    CHECK_NOTHROW(van({locker, locker}));
    CHECK_THROWS_WITH(van({}), Catch::Contains("Van.batteries = a list of 0: allowed a list of 1 to 8 AgmBattery"));
    CHECK_THROWS_WITH(make("Van", {{"battery", std::monostate{}}}), Catch::Contains("Van.battery = None"));
    CHECK_THROWS_WITH(make("AgmBattery", {{"second", agm}}), Catch::Contains("it is now Van.batteries"));
}

TEST_CASE("where the battery lives sets its temperature") {
    const auto plan = five_nights({{"drives", planned("Drive", {2}, {{"duration_h", 4.0}})}});
    const auto at = [&](const char* place) {
        return played(with("AgmBattery", {{"location", place}}), plan, 50, all_series());
    };
    const auto living = at("living_space"), locker = at("locker"), bay = at("engine_bay");
    // The cabin is 4 K above the air when lived in; the bay is the locker until the engine runs.
    CHECK(path_mean(living, engine::kSeriesBatteryC, 15) - path_mean(locker, engine::kSeriesBatteryC, 15) > 2);
    CHECK(path_mean(bay, engine::kSeriesBatteryC, 18) == path_mean(locker, engine::kSeriesBatteryC, 18));
    // After 4 h at up to +35 K (19 h to 23 h after the start) a lag of 8 h lets about a third through.
    const double warmer = path_mean(bay, engine::kSeriesBatteryC, 22) - path_mean(locker, engine::kSeriesBatteryC, 22);
    CHECK(warmer > 9);
    CHECK(warmer < 14);
    CHECK(path_mean(bay, engine::kSeriesBatteryC, 70) - path_mean(locker, engine::kSeriesBatteryC, 70) < 1);
    const auto words = compile(with("LithiumBattery", {{"location", "engine_bay"}}), plan)->warnings();
    CHECK(std::any_of(words.begin(), words.end(), [](const std::string& w) {
        return w.find("Van.battery.location = engine_bay") != std::string::npos;
    }));
    // What cabin_share says goes before the word.
    const auto said = compile(with("AgmBattery", {{"location", "locker"}, {"cabin_share", 0.3}}), plan);
    CHECK(said->table()[said->plan().battery.cabin_share].constant == 0.3);
}

TEST_CASE("an empty AGM freezes where a full one does not") {
    const auto frost = plan(site(0.4, -20), 5);
    const auto frozen = [&](double charge, const ConfigurationPtr& when) {
        return mean(
            played(with("AgmBattery", {{"location", "locker"}, {"initial_soc", charge}}, {{"solar", std::monostate{}}}),
                   when),
            engine::kFrozen);
    };
    CHECK(frozen(0.4, frost) > 0.9);
    CHECK(frozen(1.0, plan(site(0.4, -20), 1)) == 0);
    CHECK(frozen(0.4, plan(site(0.4, 5), 5)) == 0);
    CHECK(mean(played(with("LithiumBattery", {{"location", "locker"}}), frost), engine::kFrozen) == 0);
}

TEST_CASE("self-heating cells take charge in frost") {
    // Half a day of driving at -8 degC: cells at outdoor temperature refuse all of it without a heater.
    const auto plan =
        five_nights({{"site", site(0.4, -8)}, {"drives", planned("Drive", {2, 3}, {{"duration_h", 4.0}})}});
    const auto of = [&](double heater_w) {
        return played(
            with("LithiumBattery", {{"location", "locker"}, {"cell_heater_w", heater_w}, {"initial_soc", 0.6}},
                 {{"solar", std::monostate{}}}),
            plan, 100, all_series());
    };
    const auto without = of(0), heated = of(120);
    const double gained = path_mean(heated, engine::kSeriesSoc, 22) - path_mean(heated, engine::kSeriesSoc, 18);
    const double lost = path_mean(without, engine::kSeriesSoc, 22) - path_mean(without, engine::kSeriesSoc, 18);
    INFO("charge over the drive: heated " << gained << ", without " << lost);
    CHECK(gained > 0.2);
    CHECK(lost < 0.005);  // in a few trials milder air lets some in
    CHECK(share_cut(heated) < share_cut(without));
    // It stops at 5 degC, takes nothing from the cells, and its watt-hours warm 120 Ah x 11.5 kJ/K per 100 Ah:
    // from -8 to 5 degC 13.8 kJ/K x 13 K = 179 kJ = 50 Wh, more against the cold around it.
    double heater_wh = 0;
    for (std::size_t i = 0; i < heated.size(); ++i) {
        for (std::size_t h = 0; h < 120; ++h) {
            REQUIRE(heated[i].series[engine::kSeriesBatteryC * 120 + h] < 8);
            if (h > 18) continue;
            REQUIRE(heated[i].series[engine::kSeriesBatteryC * 120 + h] ==
                    without[i].series[engine::kSeriesBatteryC * 120 + h]);
            REQUIRE(heated[i].series[engine::kSeriesSoc * 120 + h] == without[i].series[engine::kSeriesSoc * 120 + h]);
        }
        for (std::size_t h = 19; h < 23; ++h)
            heater_wh += (heated[i].series[engine::kSeriesOtherLoadsW * 120 + h] -
                          without[i].series[engine::kSeriesOtherLoadsW * 120 + h]) /
                         static_cast<double>(heated.size());
    }
    INFO("heater, Wh on the first drive: " << heater_wh);
    CHECK(heater_wh > 40);
    CHECK(heater_wh < 120);
    for (const auto& o : heated) {
        REQUIRE(o.charge_balance_error < 1e-9);
        REQUIRE(o.energy_balance_error < 1e-9);
    }
}
