// The other loads, the party and the water tanks, through whole trips.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <set>

#include "ridethrough/loads/schemas.hpp"
#include "ridethrough/random/purpose.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using engine::Precision;

namespace {

Values required(const std::string& kind) {
    if (kind == "Appliance") return {{"name", std::string("drill")}, {"current_a", 3.0}, {"duration_min", 10.0}};
    if (kind == "InverterAppliance")
        return {{"name", std::string("toaster")}, {"power_w", 900.0}, {"duration_min", 4.0}};
    return {};
}

// One load of every class, with the heater that is named: a van has one.
std::vector<ConfigurationPtr> every_load(const std::string& heater) {
    std::vector<ConfigurationPtr> loads;
    for (const config::Schema* s : loads::load_schemas())
        if ((s->name != "Heater" && s->name != "GasFurnace") || s->name == heater)
            loads.push_back(config::Configuration::make(*s, required(s->name)));
    return loads;
}

ConfigurationPtr full_party(Values more = {}) {
    more.insert({{"persons", 3.0},
                 {"drinks_l_per_person_day", 1.0},
                 {"shopping_probability", 0.3},
                 {"rain_below_clearness", Spread::uniform(0.2, 0.4)},
                 {"carelessness", 1.0}});
    return make("Party", more);
}

double mean_ah(const std::vector<Outcome>& outcomes, std::size_t load) {
    double sum = 0;
    for (const auto& o : outcomes) sum += o.load_ah[load];
    return sum / static_cast<double>(outcomes.size());
}

// Mean Ah of the only load of a van, a trial of five whole days.
double only(const ConfigurationPtr& load, Values trip_values = {}, std::int64_t trials = 2000) {
    trip_values.insert({"start", std::string("2026-11-06 00:00")});
    const auto c = compile(make("Van", {{"loads", std::vector<ConfigurationPtr>{load}}}), plan(site(), 5, trip_values));
    return mean_ah(run(c, first_trials(trials)), 0);
}

double mean_column(const std::vector<Outcome>& outcomes, engine::Column c) {
    double sum = 0;
    for (const auto& o : outcomes) sum += o.column[c];
    return sum / static_cast<double>(outcomes.size());
}

}  // namespace

TEST_CASE("adding any load leaves every other draw bit-identical") {
    const auto base_loads = unheated_loads();
    const auto without = run(compile(agm_van({{"loads", base_loads}}), five_nights()), first_trials(24));
    const auto trip_of = five_nights();
    for (const config::Schema* s : loads::load_schemas()) {
        Values values = required(s->name);
        values["name"] = std::string("another");
        auto loads = base_loads;
        loads.insert(loads.begin() + 3, config::Configuration::make(*s, values));
        const auto with = run(compile(agm_van({{"loads", loads}}), trip_of), first_trials(24));
        INFO(s->name);
        for (std::size_t i = 0; i < with.size(); ++i) {
            REQUIRE(with[i].clearness == without[i].clearness);
            for (std::size_t l = 0; l < base_loads.size(); ++l)
                REQUIRE(with[i].load_ah[l < 3 ? l : l + 1] == without[i].load_ah[l]);
        }
    }
}

TEST_CASE("a source, tanks and a party move no draw of weather and loads") {
    const auto van = [](Values more) {
        more["loads"] = unheated_loads();
        return agm_van(more);
    };
    const auto bare = run(compile(van({}), five_nights()), first_trials(24));
    const auto same = [&](const std::vector<Outcome>& other) {
        for (std::size_t i = 0; i < bare.size(); ++i) {
            REQUIRE(other[i].clearness == bare[i].clearness);
            REQUIRE(other[i].load_ah == bare[i].load_ah);
        }
    };
    same(run(compile(van({{"solar", std::monostate{}}}), five_nights()), first_trials(24)));
    same(
        run(compile(van({{"mains", make("MainsCharger")}}), five_nights({{"shore_power", planned("ShorePower", {2})}})),
            first_trials(24)));
    same(run(compile(van({{"water", make("WaterTanks")}}), five_nights()), first_trials(24)));
    // A couple that does not mind the rain is the party that was there before.
    const auto couple = make("Party", {{"rain_below_clearness", 0.0}, {"door_heat_per_k", 0.0}});
    const auto party = run(compile(van({}), five_nights({{"party", couple}})), first_trials(24));
    same(party);
    for (std::size_t i = 0; i < bare.size(); ++i) REQUIRE(party[i].column == bare[i].column);
}

TEST_CASE("no two purposes of loads, party and tanks collide") {
    std::map<std::uint32_t, std::string> owner;
    std::set<std::string> names{"weather.replay"};
    for (const char* heater : {"Heater", "GasFurnace"}) {
        const auto c = compile(agm_van({{"loads", every_load(heater)}, {"water", make("WaterTanks")}}),
                               five_nights({{"party", full_party()}}));
        for (const auto& w : c->table().purposes()) names.insert(w.name);
        for (const auto& s : c->parameters())
            if (!s.path.empty()) names.insert("spread." + s.draw);
    }
    CHECK(names.contains("load.gas_furnace"));
    CHECK(names.contains("spread.loads.heater.night_holds_c"));
    CHECK(names.contains("trip.shopping"));
    CHECK(names.contains("spread.trip.trait"));
    for (const auto& name : names) {
        const auto [at, fresh] = owner.insert({random::purpose(name), name});
        INFO(name << " and " << at->second);
        CHECK(fresh);
    }
}

TEST_CASE("with everything on, one lane and the wide pack agree bit for bit and both ledgers close") {
    auto loads = every_load("Heater");
    for (auto& l : loads)
        if (l->schema().name == "Heater") l = l->replace({{"starts_above_v", 11.6}});
    for (const char* battery : {"AgmBattery", "LithiumBattery"})
        for (const auto precision : {Precision::double_, Precision::single_}) {
            const auto van = make("Van", {{"battery", make(battery)}, {"loads", loads}, {"water", make("WaterTanks")}});
            const auto c = compile(
                van,
                five_nights({{"party", full_party()}, {"step_min", 30.0}, {"water_days", std::vector<double>{4}}}));
            const auto narrow = run(c, first_trials(200), precision, 1, all_series());
            CHECK((run(c, first_trials(200), precision, 0, all_series()) == narrow));
            const double close = precision == Precision::double_ ? 1e-9 : 1e-5;
            for (const auto& o : narrow) {
                REQUIRE(o.charge_balance_error < close);
                REQUIRE(o.energy_balance_error < close);
            }
        }
}

TEST_CASE("a load on the inverter takes its power over efficiency and voltage") {
    // 1 l of water boiled at 1.4 kW in 5 min: 9.7 Ah, 113 A at 12.4 V (common practice, no source).
    const auto kettle = make("InverterAppliance", {{"name", std::string("kettle")},
                                                   {"power_w", 1400.0},
                                                   {"duration_min", 5.0},
                                                   {"duration_spread", 0.0},
                                                   {"efficiency", 0.99}});
    const double a_day = only(kettle, {{"habits_scale", 1.0}}, 8) / 5;
    CHECK(a_day == Approx(1400 / (0.99 * 12.5) * 5 / 60).epsilon(1e-9));
    CHECK(a_day == Approx(9.7).epsilon(0.03));
    // Posts, not distribution: nothing flows through the shared cable.
    const auto van = make("Van", {{"loads", std::vector<ConfigurationPtr>{kettle}}});
    CHECK(compile(van, five_nights())->plan().event[0].at_terminals);
    // An e-bike of 500 Wh at 78 %: 50 Ah a charge, at 12.8 V.
    const auto bike =
        make("EBike", {{"bikes", 1.0}, {"energy_wh", 500.0}, {"efficiency", 0.78}, {"charge_probability", 1.0}});
    CHECK(only(bike, {}, 8) / 5 == Approx(500 / (12.8 * 0.78)).epsilon(1e-9));
}

TEST_CASE("a breathing machine counts high until it is measured, and no habit shortens it") {
    // 20 Ah a night, 55 with heated humidifier (from memory, a high end).
    const auto five = [](Values machine, double habits) {  // five whole nights
        return only(make("BreathingMachine", machine),
                    {{"habits_scale", habits}, {"start", std::string("2026-11-06 15:00")}}, 16);
    };
    CHECK(five({}, 1.0) == Approx(5 * 20));
    CHECK(five({{"heated_humidifier", std::string("yes")}}, 0.3) == Approx(5 * 55));
    CHECK(five({{"night_ah", 4.5}}, 2.0) == Approx(5 * 4.5));
}

TEST_CASE("an amount a day does not depend on how long it takes") {
    CHECK(only(make("GuestEvening", {{"charge_ah", 11.0}, {"daily_probability", 1.0}}), {}, 16) == Approx(5 * 11.0));
}

TEST_CASE("work is done on weekdays of the calendar") {
    // 2026-11-06 is a Friday (any calendar): of days 0 to 5 the first, fourth, fifth and sixth are workdays; the load
    // runs at 16 h, after the start at 15 h and, on day 5, after the end.
    const auto ah = [](const char* days, const char* start) {
        const auto load = make("Appliance", {{"name", std::string("desk")},
                                             {"current_a", 1.0},
                                             {"duration_min", 60.0},
                                             {"duration_spread", 0.0},
                                             {"earliest_h", 16.0},
                                             {"latest_h", 16.0},
                                             {"days", std::string(days)}});
        return only(load, {{"habits_scale", 1.0}, {"start", std::string(start)}}, 4);
    };
    CHECK(ah("all", "2026-11-06 15:00") == Approx(5));
    CHECK(ah("workdays", "2026-11-06 15:00") == Approx(3));
    CHECK(ah("weekends", "2026-11-06 15:00") == Approx(2));
    CHECK(ah("workdays", "2026-11-09 15:00") == Approx(5));
}

TEST_CASE("rain brings people inside") {
    const auto wet = [](const ConfigurationPtr& load, double below) {
        return only(load, {{"party", make("Party", {{"rain_below_clearness", below}})}, {"habits_scale", 1.0}}, 400);
    };
    const auto always = 1.0, never = 0.0;
    const auto screen = make("Television", {{"current_a", 2.0}, {"duration_h", 2.0}, {"daily_probability", 1.0}});
    CHECK(wet(screen, always) == Approx(1.5 * wet(screen, never)).epsilon(0.01));
    // Two hours of light more a day at .7 A.
    const auto lights = make("Lights", {{"current_a", 0.7}});
    CHECK(wet(lights, always) - wet(lights, never) == Approx(5 * 2 * 0.7).epsilon(0.02));
    // Dull days are both rainy and without sun: load and yield go against each other.
    const auto c = compile(make("Van", {{"loads", std::vector<ConfigurationPtr>{screen}}}),
                           plan(site(), 5, {{"party", make("Party", {{"rain_below_clearness", 0.3}})}}));
    double xy = 0, x = 0, y = 0;
    const auto outcomes = run(c, first_trials(2000));
    for (const auto& o : outcomes) {
        const double sun = o.column[engine::kSolarWh] + o.column[engine::kCurtailedWh];
        x += sun, y += o.load_ah[0], xy += sun * o.load_ah[0];
    }
    const auto n = static_cast<double>(outcomes.size());
    CHECK(xy / n < x / n * y / n);
}

TEST_CASE("more people draw more water and open the fridge more; nobody leaves it shut") {
    const auto people = [](double n) { return make("Party", {{"persons", n}, {"door_heat_per_k", 0.0}}); };
    const auto pump = make("WaterPump");
    CHECK(only(pump, {{"party", people(4)}}) == Approx(2 * only(pump, {{"party", people(2)}})).epsilon(1e-6));
    CHECK(only(pump, {{"party", people(0)}}, 16) == 0);
    CHECK(only(make("Phones"), {{"party", people(1)}}) == Approx(0.5 * only(make("Phones"))).epsilon(1e-6));
    const auto fridge_wh = [&](double n, double air_c, double heat_w) {
        const auto c = compile(make("Van", {{"loads", std::vector<ConfigurationPtr>{}},
                                            {"cabin_person_heat_w", heat_w},
                                            {"cabin_sun_rise_k_per_w_m2", 0.0}}),
                               plan(site(0.5, air_c), 5, {{"party", people(n)}}));
        return mean_column(run(c, first_trials(400)), engine::kFridgeWh);
    };
    // Twenty more openings a day let in 20 x .6 Wh x (29 - 4) / 28 K = 10.7 Wh of heat at 29 degC around the fridge; at
    // a performance of 1.3 to 2 that is 27 to 41 Wh in five days.
    const double doors = fridge_wh(4, 29, 0) - fridge_wh(2, 29, 0);
    CHECK(doors > 27);
    CHECK(doors < 41);
    CHECK(fridge_wh(0, 15, 80) < 0.9 * fridge_wh(2, 15, 80));  // and a van that nobody warms is cooler
}

TEST_CASE("drinks and shopping cost what cooling them costs") {
    // 10 kg from 25 to 4 degC cost 6 to 10 Ah (from memory); 10 l of drinks more, as water holds more heat than food.
    const auto fridge_ah = [](Values party, Values more = {}) {
        party.insert({"drinks_h", 10.0});  // when the air has the day's mean
        more["party"] = make("Party", party);
        more["warm_food_h"] = 10.0;
        const auto c = compile(make("Van", {{"loads", std::vector<ConfigurationPtr>{}},
                                            {"cabin_person_heat_w", 0.0},
                                            {"cabin_sun_rise_k_per_w_m2", 0.0}}),
                               plan(site(0.5, 25), 5, more));
        return mean_column(run(c, first_trials(200)), engine::kFridgeWh) / 12.4;
    };
    const double plain = fridge_ah({});
    const double drinks = (fridge_ah({{"drinks_l_per_person_day", 5.0}}) - plain) / 5;
    const double food = (fridge_ah({{"shopping_probability", 1.0}}, {{"warm_food_kg", 10.0}}) - plain) / 5;
    CHECK(food > 6);
    CHECK(food < 10);
    CHECK(food / drinks == Approx(3.5 / 4.18).epsilon(0.03));
}

TEST_CASE("one trait of carelessness moves start, habits, shade and what is forgotten together") {
    const auto van = make("Van", {{"battery", make("AgmBattery", {{"initial_soc", 0.8}})},
                                  {"loads", std::vector<ConfigurationPtr>{make("Inverter")}}});
    const auto at = [&](double strength) {
        return compile(
            van,
            plan(site(), 5,
                 {{"habits_scale", 1.0}, {"shade_beam", 0.1}, {"party", make("Party", {{"carelessness", strength}})}}));
    };
    const auto off = at(0), on = at(1);
    CHECK(off->parameters().size() + 1 == on->parameters().size());
    const auto parameter = [&](const char* path) {
        for (std::size_t i = 0; i < on->parameters().size(); ++i)
            if (on->parameters()[i].path == path) return static_cast<int>(i);
        return -1;
    };
    const auto pack = engine::make_runner(on, 1, Precision::double_, engine::instruction_set_named(""), no_series);
    double sum = 0, squares = 0, n = 0;
    for (std::int64_t first = 0; first < 4000; first += pack->lanes()) {
        std::vector<std::int64_t> trials;
        for (int i = 0; i < pack->lanes(); ++i) trials.push_back(first + i);
        pack->run(trials, nullptr);
        for (int i = 0; i < pack->lanes(); ++i, ++n) {
            const double z = pack->drawn(parameter("trip.trait"), i);
            sum += z;
            squares += z * z;
            REQUIRE(pack->drawn(parameter("battery.initial_soc"), i) == Approx(std::clamp(0.8 - 0.06 * z, 0.0, 1.0)));
            REQUIRE(pack->drawn(parameter("trip.habits_scale"), i) == Approx(std::pow(1.15, z)));
            REQUIRE(pack->drawn(parameter("trip.shade_beam"), i) == Approx(std::min(1.0, 0.1 * std::pow(1.5, z))));
            REQUIRE(pack->drawn(parameter("loads.inverter.left_on_probability"), i) ==
                    Approx(std::min(1.0, 0.1 * std::pow(2.0, z))));
        }
    }
    // A standard normal: mean within 4.9 / sqrt(n), variance within 4.9 sqrt(2 / n).
    CHECK(std::abs(sum / n) < 4.9 / std::sqrt(n));
    CHECK(std::abs(squares / n - 1) < 4.9 * std::sqrt(2 / n));
    // What habits share widens the spread of outcomes.
    const auto spread = [](const std::vector<Outcome>& outcomes) {
        double mean = mean_column(outcomes, engine::kMinSoc), square = 0;
        for (const auto& o : outcomes) square += std::pow(o.column[engine::kMinSoc] - mean, 2);
        return square / static_cast<double>(outcomes.size());
    };
    CHECK(spread(run(on, first_trials(1000))) > spread(run(off, first_trials(1000))));
}

TEST_CASE("tanks run dry and full when the arithmetic says so") {
    // 10 l a person and day, three people, every use as long as its mean: 30 l a day. From 15 h on day 0 only a part.
    const auto tanks = make("WaterTanks", {{"fresh_l", 100.0},
                                           {"grey_l", 50.0},
                                           {"initial_fresh_share", 1.0},
                                           {"initial_grey_share", 0.0},
                                           {"grey_share", 0.8}});
    const auto pump = make("WaterPump", {{"water_l_per_person_day", 10.0}});
    const auto trial = [&](Values more) {
        more.insert({{"party", make("Party", {{"persons", 3.0}})},
                     {"habits_scale", 1.0},
                     {"start", std::string("2026-11-06 00:00")}});
        return compile(make("Van", {{"loads", std::vector<ConfigurationPtr>{pump}}, {"water", tanks}}),
                       plan(site(), 7, more));
    };
    const auto nights = [](const std::shared_ptr<const trip::CompiledTrip>& c, engine::Column column) {
        std::map<double, int> count;
        for (const auto& o : run(c, first_trials(1000))) ++count[o.column[column]];
        return count;
    };
    // A day's three bouts have a standard deviation of 30 % each: 30 l +- 5.2. 100 l run dry on the fourth day where
    // three days (90 +- 9) did not do it and four (120 +- 10.4) do: .867 - .027. 50 l of grey water at .8 need 62.5 l:
    // two days (60 +- 7.35) bring them with .367, three with .999. Of 1000 trials, within 4.9 standard deviations.
    auto dry = nights(trial({}), engine::kWaterDryNight);
    CHECK(std::abs(dry[4] - 840) < 57);
    auto full = nights(trial({}), engine::kGreyFullNight);
    CHECK(std::abs(full[2] - 367) < 75);
    CHECK(std::abs(full[3] - 632) < 75);
    // Filled each third morning it has to last for three days, twice: .867 squared. The last day alone is no danger.
    auto filled = nights(trial({{"water_days", std::vector<double>{4, 7}}}), engine::kWaterDryNight);
    CHECK(std::abs(filled[0] - 751) < 67);
    const auto outcomes = run(trial({}), first_trials(500));
    CHECK(mean_ah(outcomes, 0) / 5.0 * 60 * 5 / 7 == Approx(30).epsilon(0.02));  // 5 A, 5 l/min
    CHECK_THROWS_WITH(compile(agm_van(), five_nights({{"water_days", std::vector<double>{2}}})),
                      Catch::Contains("Van.water"));
    CHECK(compile(make("Van", {{"loads", std::vector<ConfigurationPtr>{}}, {"water", tanks}}), five_nights())
              ->warnings()
              .size() == 1);
}
