// What the vehicle charges with, as pairs of runs on the same weather and habits.
#include <catch2/catch.hpp>
#include <cmath>

#include "trip/van_fixture.hpp"

using namespace van_fixture;
using engine::Column;

namespace {

Values one(const char* field, ConfigurationPtr r) { return {{field, r}}; }

double mean(const std::vector<Outcome>& o, Column c) {
    double sum = 0;
    for (const Outcome& x : o) sum += x.column[c];
    return sum / static_cast<double>(o.size());
}
std::vector<Outcome> played(const ConfigurationPtr& van, const ConfigurationPtr& plan, int trials = 400) {
    return run(compile(van, plan), first_trials(trials));
}
bool warns(const ConfigurationPtr& van, const ConfigurationPtr& plan, const char* words) {
    const auto c = compile(van, plan);
    return std::any_of(c->warnings().begin(), c->warnings().end(),
                       [&](const std::string& w) { return w.find(words) != std::string::npos; });
}
// A half-empty battery in a constant-alternator van without Sun and loads: what drives it is the alternator alone.
ConfigurationPtr dark(ConfigurationPtr battery, ConfigurationPtr charger, Values more = {}) {
    more.insert({{"battery", battery}, {"dc_dc", charger}, {"solar", std::monostate{}}});
    more["loads"] = std::vector<ConfigurationPtr>{};
    return agm_van(more);
}
ConfigurationPtr half(const char* kind, Values more = {}) {
    more.insert({"initial_soc", 0.5});
    return make(kind, more);
}
ConfigurationPtr charger(Values more = {}) {
    more.insert({{"alternator_v", 14.0}, {"alternator_swing_v", 0.0}});
    return make("DcDcCharger", more);
}
ConfigurationPtr alternator_cable(Values more = {}) {
    more.insert({{"alternator_v", 14.0}, {"alternator_swing_v", 0.0}});
    return make("AlternatorCable", more);
}

}  // namespace

TEST_CASE("a towed camper is charged on hitched drives only") {
    const auto hitched = five_nights({{"drives", planned("Drive", {2, 3, 4})}});
    const auto day_trips = five_nights({{"day_trips", planned("DayTrip", {2, 3, 4}, {{"duration_h", 2.0}})}});
    const auto van = agm_van({{"dc_dc", charger()}}),
               towed = agm_van({{"dc_dc", charger({{"supply_mohm", 15.0}})}, {"towed", true}});
    CHECK(mean(played(towed, hitched), engine::kDcDcWh) > 500);
    CHECK((played(van, hitched) == played(towed, hitched)));      // with the same cable the same charge
    CHECK((played(van, hitched) == played(van, day_trips)));      // a day trip is a drive for a van
    CHECK(mean(played(towed, day_trips), engine::kDcDcWh) == 0);  // and nothing for a camper left behind
    CHECK((played(towed, day_trips) == played(towed, five_nights())));
    CHECK_THROWS_WITH(agm_van({{"towed", true}, {"battery", make("AgmBattery", {{"location", "engine_bay"}})}}),
                      Catch::Contains("no engine"));
}

TEST_CASE("a thin supply cable locks the charger out at its input") {
    // test_supply.cpp has the arithmetic: 12.40 V at the input on 8 m of 6 mm2, 13.13 V on 10 mm2.
    const auto plan = five_nights({{"drives", planned("Drive", {2, 3, 4})}});
    const auto by_cable = [&](double section, double cycling_share = 0) {
        const Values fields{
            {"supply_length_m", 8.0}, {"supply_section_mm2", section}, {"cycling_share", cycling_share}};
        return agm_van({{"towed", true}, {"dc_dc", charger(fields)}});
    };
    const auto thin = played(by_cable(6), plan), thick = played(by_cable(10), plan);
    CHECK(mean(thin, engine::kDcDcWh) == 0);
    CHECK(mean(thick, engine::kDcDcWh) > 500);
    CHECK(share_cut(thin) - share_cut(thick) > 0.05);
    for (std::size_t i = 0; i < thin.size(); ++i) CHECK((!thick[i].cut() || thin[i].cut()));
    // One that starts again and again is worth a smaller one.
    const auto small = agm_van({{"towed", true}, {"dc_dc", charger({{"supply_mohm", 0.0}, {"current_a", 7.5}})}});
    CHECK(mean(played(by_cable(6, 0.3), plan), engine::kDcDcWh) ==
          Approx(mean(played(small, plan), engine::kDcDcWh)).epsilon(1e-6));
    CHECK(warns(by_cable(6), plan, "12.4 V, below its lock-out of 12.6 V"));
    CHECK(!warns(by_cable(10), plan, "lock-out"));
    // The default cable of a towed camper is a guess, and says so.
    CHECK(warns(agm_van({{"towed", true}}), plan, "Van.dc_dc.supply_mohm is not given"));
    const auto supply_mohm = [&](const ConfigurationPtr& van) {
        const auto c = compile(van, plan);
        return c->table()[c->plan().alternator.supply_mohm].constant;
    };
    CHECK(supply_mohm(agm_van({{"towed", true}})) == 60);
    CHECK(supply_mohm(agm_van()) == 15);
}

TEST_CASE("an open breaker in the line charges nothing and is named") {
    const auto plan = five_nights({{"drives", planned("Drive", {2, 3, 4})}, {"idling", planned("Idle", {2})}});
    for (const char* kind : {"DcDcCharger", "AlternatorCable"}) {
        const auto open = agm_van({{"dc_dc", make(kind, {{"line_closed", false}})}});
        CHECK(mean(played(open, plan), engine::kDcDcWh) == 0);
        CHECK(warns(open, plan, "Van.dc_dc.line_closed"));
        CHECK(mean(played(agm_van({{"dc_dc", make(kind)}}), plan), engine::kDcDcWh) > 300);
    }
}

TEST_CASE("one charger with two inputs does not add them") {
    const auto plan = five_nights({{"drives", planned("Drive", {2, 3, 4}, {{"start_h", 11.0}})}});
    const auto with = [&](const char* words) {
        return played(agm_van({{"battery", half("AgmBattery")}, {"dc_dc", charger({{"input_priority", words}})}}),
                      plan);
    };
    const auto both = with("both"), sun = with("solar_first"), alternator = with("alternator_first");
    CHECK(mean(sun, engine::kDcDcWh) < 0.5 * mean(both, engine::kDcDcWh));
    CHECK(mean(alternator, engine::kSolarWh) < mean(both, engine::kSolarWh) - 100);
    CHECK(mean(alternator, engine::kDcDcWh) >= mean(both, engine::kDcDcWh));
    CHECK(mean(alternator, engine::kCurtailedWh) > mean(both, engine::kCurtailedWh) + 100);
    CHECK(share_cut(both) <= share_cut(sun));
    CHECK(share_cut(both) <= share_cut(alternator));
}

TEST_CASE("a plain cable to the alternator") {
    const auto plan = five_nights({{"drives", planned("Drive", {2}, {{"duration_h", 3.0}})}});
    for (const bool lithium : {false, true}) {
        const char* kind = lithium ? "LithiumBattery" : "AgmBattery";
        const auto by = [&](const ConfigurationPtr& c) { return played(dark(half(kind), c), plan); };
        const double thick = mean(by(alternator_cable({{"supply_mohm", 20.0}})), engine::kDcDcWh),
                     thin = mean(by(alternator_cable({{"supply_mohm", 150.0}})), engine::kDcDcWh),
                     smart = mean(by(alternator_cable(
                                      {{"supply_mohm", 20.0}, {"alternator_v", Spread::triangular(12.2, 13.0, 14.8)}})),
                                  engine::kDcDcWh),
                     dc_dc = mean(by(charger()), engine::kDcDcWh);
        INFO(kind << ": Wh " << thick << ", thin " << thin << ", smart " << smart << ", charger " << dc_dc);
        CHECK(thin < 0.6 * thick);
        CHECK(smart < 0.8 * thick);
        CHECK(dc_dc > thin);
        CHECK(warns(dark(half(kind), alternator_cable()), plan, "can overheat it") == lithium);
    }
    // An AGM on relay and wire: logs say 17 A falling to 10 A near 80 %, and 5 to 25 A (common practice, no source).
    const auto o = run(compile(dark(half("AgmBattery", {{"capacity_ah", 100.0}}), alternator_cable()), plan),
                       first_trials(200), engine::Precision::double_, 0, all_series());
    double first = 0, last = 0;
    for (const auto& x : o) {  // day 1, 10 to 13 h: 19 hours after the start
        first += x.series[engine::kSeriesDcDcW * 120 + 19] / 13.3 / 200;
        last += x.series[engine::kSeriesDcDcW * 120 + 21] / 13.3 / 200;
    }
    INFO("A in the first and third hour: " << first << ", " << last);
    CHECK(first > 8);
    CHECK(first < 25);
    CHECK(last < first);
}

namespace {
// Amperes at the terminals in an hour, by the watts of a path.
double amps(const std::vector<Outcome>& o, engine::Series p, std::size_t hour) {
    double sum = 0;
    for (const auto& x : o)
        sum += x.series[static_cast<std::size_t>(p) * 120 + hour] / x.series[engine::kSeriesTerminalV * 120 + hour];
    return sum / static_cast<double>(o.size());
}
}  // namespace

TEST_CASE("an idling engine gives less than a drive") {
    const auto van = dark(half("AgmBattery", {{"capacity_ah", 200.0}}), charger({{"idle_current_a", 10.0}}));
    const auto with = [&](Values more) {
        return run(compile(van, five_nights(more)), first_trials(200), engine::Precision::double_, 0, all_series());
    };
    const auto none = with({}), idle = with({{"idling", planned("Idle", {2}, {{"duration_h", 1.0}})}}),
               drive = with({{"drives", planned("Drive", {2}, {{"duration_h", 1.0}, {"start_h", 17.0}})}});
    CHECK(mean(none, engine::kDcDcWh) == 0);
    CHECK(amps(idle, engine::kSeriesDcDcW, 26) == Approx(10).epsilon(0.001));  // day 1, 17 h: 26 hours after the start
    CHECK(amps(drive, engine::kSeriesDcDcW, 26) == Approx(25).epsilon(0.001));
    for (std::size_t i = 0; i < none.size(); ++i) {
        const auto charge = [i](const std::vector<Outcome>& o) { return o[i].series[engine::kSeriesSoc * 120 + 26]; };
        REQUIRE(charge(idle) > charge(none) + 0.02);
        REQUIRE(charge(drive) > charge(idle) + 0.02);
    }
    CHECK(warns(agm_van({{"dc_dc", std::monostate{}}}), five_nights({{"idling", planned("Idle", {2})}}),
                "idling charges"));
}

TEST_CASE("a generator feeds the mains charger in the allowed hours") {
    const auto van = [&](double rated_w) {
        return dark(make("AgmBattery", {{"initial_soc", 0.4}, {"capacity_ah", 200.0}}), charger(),
                    {{"mains", make("MainsCharger")}, {"generator", make("Generator", {{"rated_w", rated_w}})}});
    };
    const auto plan = [&](Values more) {
        more.insert({"generator_runs", planned("GeneratorRun", {2}, {{"start_h", 17.0}, {"duration_h", 4.0}})});
        return five_nights(more);
    };
    const auto wh = [&](const ConfigurationPtr& v, const ConfigurationPtr& p) {
        return mean(played(v, p), engine::kMainsWh);
    };
    const double all = wh(van(900), plan({{"generator_allowed_to_h", 24.0}})), quiet = wh(van(900), plan({}));
    CHECK(quiet == Approx(3 * 20 * 13.4).epsilon(0.05));  // 17 to 20 h, 20 A
    CHECK(all == Approx(4 * 20 * 13.4).epsilon(0.05));
    CHECK(wh(van(900), plan({{"generator_allowed_to_h", 16.0}})) == 0);
    CHECK(warns(van(900), plan({{"generator_allowed_to_h", 16.0}}), "outside the allowed hours"));
    // 150 W from the generator, .88 through the charger, at 14.4 V: 9.17 A.
    const auto small = run(compile(van(150), plan({})), first_trials(100), engine::Precision::double_, 0, all_series());
    CHECK(amps(small, engine::kSeriesMainsW, 27) == Approx(150 * 0.88 / 14.4).epsilon(0.001));
    CHECK_THROWS_WITH(compile(agm_van(), plan({})), Catch::Contains("Van.generator"));
}

TEST_CASE("what a charge profile does, and what the wrong one does") {
    const auto plan =
        five_nights({{"shore_power", planned("ShorePower", {2})}});  // 16 h to 8 h: 15 h after the start to 41 h
    const auto night = [&](const char* battery, Values profile) {
        const auto van =
            dark(half(battery), charger(),
                 one("mains", make("MainsCharger", one("charge_profile", make("ChargeProfile", profile)))));
        return run(compile(van, plan), first_trials(200), engine::Precision::double_, 0, all_series());
    };
    const auto at = [](const std::vector<Outcome>& o, engine::Series p, std::size_t hour) {
        double sum = 0;
        for (const auto& x : o) sum += x.series[static_cast<std::size_t>(p) * 120 + hour];
        return sum / static_cast<double>(o.size());
    };
    const auto agm = night("AgmBattery", {{"ready_made", "agm"}}),
               short_one = night("AgmBattery", {{"ready_made", "lithium"}}),
               converter = night("AgmBattery", {{"ready_made", "converter"}});
    INFO("charge next morning: agm " << at(agm, engine::kSeriesSoc, 40) << ", lithium profile "
                                     << at(short_one, engine::kSeriesSoc, 40) << ", converter "
                                     << at(converter, engine::kSeriesSoc, 40) << "; at midnight "
                                     << at(agm, engine::kSeriesSoc, 32) << ", "
                                     << at(converter, engine::kSeriesSoc, 32));
    // An AGM on a lithium profile goes to float before it is full; a driver that leaves at midnight has less.
    CHECK(mean(agm, engine::kDaysFull) > mean(short_one, engine::kDaysFull) + 0.5);
    CHECK(at(agm, engine::kSeriesSoc, 31) > at(short_one, engine::kSeriesSoc, 31) + 0.02);
    // An old converter is slower still.
    CHECK(at(agm, engine::kSeriesSoc, 31) > at(converter, engine::kSeriesSoc, 31) + 0.04);
    for (std::size_t i = 0; i < agm.size(); ++i)
        CHECK(converter[i].series[engine::kSeriesSoc * 120 + 36] <=
              agm[i].series[engine::kSeriesSoc * 120 + 36] + 1e-9);

    // Lithium on a lead-acid profile gains nothing: it is held high for longer.
    const auto lfp = night("LithiumBattery", {{"ready_made", "lithium"}}),
               held = night("LithiumBattery", {{"ready_made", "agm"}});
    CHECK(std::abs(at(lfp, engine::kSeriesSoc, 40) - at(held, engine::kSeriesSoc, 40)) < 0.01);
    double volt_hours = 0;
    for (std::size_t h = 25; h < 41; ++h)
        volt_hours += at(held, engine::kSeriesTerminalV, h) - at(lfp, engine::kSeriesTerminalV, h);
    INFO("volt hours above the lithium profile: " << volt_hours);
    CHECK(volt_hours >= 0);
    const auto profiled = [&](const char* battery, const char* words) {
        return dark(half(battery), charger(one("charge_profile", make("ChargeProfile", {{"ready_made", words}}))));
    };
    const auto away = five_nights();
    CHECK(warns(profiled("AgmBattery", "lithium"), away, "Van.dc_dc.charge_profile.chemistry = lithium"));
    CHECK(warns(profiled("LithiumBattery", "converter"), away, "Van.dc_dc.charge_profile.chemistry = lead_acid"));
    CHECK(!warns(profiled("AgmBattery", "converter"), away, "charge_profile"));
}

TEST_CASE("a flat battery on an old converter") {
    // 120 Ah, 13.65 V: 10 h to 80 % and 10 h more, another figure is 70 h (common practice, no source). With 10 A.
    const auto battery = make("AgmBattery", {{"capacity_ah", 120.0}, {"state_of_health", 1.0}, {"initial_soc", 0.02}});
    const auto hours_to = [&](const char* profile, double charge) {
        const auto mains = make("MainsCharger", {{"current_a", 10.0},
                                                 {"charge_profile", make("ChargeProfile", {{"ready_made", profile}})}});
        const auto van = dark(battery, charger(),
                              {{"mains", mains},
                               {"loads", std::vector<ConfigurationPtr>{}},
                               {"fridge", make("Fridge", {{"set_point_c", 12.0}})}});
        const auto o =
            run(compile(van, five_nights({{"shore_power", planned("ShorePower", {1, 2, 3, 4, 5},
                                                                  {{"start_h", 15.0}, {"duration_h", 24.0}})}})),
                first_trials(100), engine::Precision::double_, 0, all_series());
        std::size_t h = 0;
        for (double mean_charge = 0; mean_charge < charge && h < 120; ++h) {
            mean_charge = 0;
            for (const auto& x : o) mean_charge += x.series[engine::kSeriesSoc * 120 + h] / 100;
        }
        return static_cast<double>(h);
    };
    const double to_80 = hours_to("converter", 0.8), to_full = hours_to("converter", 0.99);
    INFO("h to 80 % and to 99 %: " << to_80 << ", " << to_full);
    CHECK(to_80 > 9);
    CHECK(to_80 < 14);
    CHECK(to_full > 20);
    CHECK(to_full < 70);
    CHECK(to_full >= hours_to("agm", 0.99) + 8);
}

TEST_CASE("self-heating batteries in parallel are warmed alike, whichever comes first") {
    const auto plan = five_nights({{"site", site(0.4, -8)}, {"drives", planned("Drive", {2, 3, 4})}});
    const auto risk = [&](double first_ah, double second_ah) {
        std::vector<ConfigurationPtr> batteries;
        for (const double ah : {first_ah, second_ah})
            if (ah > 0)
                batteries.push_back(make("LithiumBattery", {{"capacity_ah", ah},
                                                            {"location", std::string("locker")},
                                                            {"cell_heater_w", second_ah > 0 ? 50.0 : 100.0}}));
        const auto van = agm_van({{"batteries", batteries}, {"dc_dc", make("DcDcCharger")}});
        double wh = 0;
        for (const auto& o : run(compile(van, plan), first_trials(500))) wh += o.column[engine::kOtherLoadsWh] / 500;
        return wh;
    };
    const double alone = risk(220, 0), one = risk(200, 20), other = risk(20, 200);
    CHECK(one == Approx(other).epsilon(0.02));  // their health is drawn one by one
    CHECK(one == Approx(alone).epsilon(0.02));
}

TEST_CASE("with all of it both ledgers close and packs agree with single lanes") {
    const auto plan = five_nights({{"site", site(0.4, -4)},
                                   {"drives", planned("Drive", {2, 3, 4}, {{"duration_h", 1.7}})},
                                   {"idling", planned("Idle", {3, 5})},
                                   {"generator_runs", planned("GeneratorRun", {2, 3, 4})},
                                   {"shore_power", planned("ShorePower", {5})},
                                   {"day_trips", planned("DayTrip", {5})}});
    const Values restart{{"restart_v", 13.2}, {"cycling_share", 0.2}, {"input_priority", "alternator_first"}};
    for (const bool lithium : {false, true})
        for (const auto& source :
             {make("AlternatorCable"), make("AlternatorCable", {{"supply_mohm", 0.0}}), make("DcDcCharger", restart),
              make("DcDcCharger", {{"input_priority", "solar_first"}})}) {
            const char* kind = lithium ? "LithiumBattery" : "AgmBattery";
            const ConfigurationPtr old = make(kind, {{"capacity_ah", 100.0}, {"age_years", 6.0}});
            Values b{{"age_years", 3.0}};
            if (lithium)
                b.insert({{"cell_heater_w", 60.0}, {"location", "locker"}});
            else
                b.insert({{"location", "engine_bay"}, {"measured_capacity_ah", Spread::uniform(60, 90)}});
            const auto van = agm_van({{"batteries", std::vector<ConfigurationPtr>{make(kind, b), old}},
                                      {"dc_dc", source},
                                      {"mains", make("MainsCharger")},
                                      {"generator", make("Generator")}});
            const auto compiled = compile(van, plan);
            double fed = 0;
            for (const auto& o : run(compiled, first_trials(500))) {
                REQUIRE(o.charge_balance_error < 1e-9);
                REQUIRE(o.energy_balance_error < 1e-9);
                for (const double x : o.column) REQUIRE(std::isfinite(x));
                REQUIRE(o.column[engine::kMinSoc] > -0.03);
                fed += o.column[engine::kDcDcWh];
            }
            CHECK(fed > 0);
            for (const auto& o : run(compiled, first_trials(500), engine::Precision::single_)) {
                REQUIRE(o.charge_balance_error < 1e-5);
                REQUIRE(o.energy_balance_error < 1e-5);
            }
            for (const auto precision : {engine::Precision::double_, engine::Precision::single_})
                CHECK((run(compiled, first_trials(100), precision, 1, all_series()) ==
                       run(compiled, first_trials(100), precision, 0, all_series())));
        }
}
