// Water: the pump among the loads, and the tanks that it draws from.
#include "compiler.hpp"
#include "fields.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& water_pump() {
    static const Schema s{
        "WaterPump",
        "Pump that runs while water is drawn, in three bouts a day; never shed.",
        {name_field("water_pump"), current({0.5, 20}, 5.0),
         number("water_l_per_day", "l/d", Variation::trial, {0, 300}, Spread::triangular(15, 40, 60), from_memory(),
                "water drawn a day by a couple; more or fewer people (Trip.party) draw in proportion", Owner::person),
         number("flow_l_per_min", "l/min", Variation::fixed, {1, 30}, 5.0, from_memory(), "pump flow"),
         formerly("l_per_person_day",
                  derived("water_l_per_person_day", "l/d", Variation::day, {0, 100},
                          own_choice("5 to 10 sparing, 20 with showers"),
                          "water drawn a day by each person, in place of water_l_per_day", Owner::person))}};
    return s;
}

void compile_pump(LoadCompiler& p) {
    EventModel e = p.window(p.habits.wake_h, p.habits.bedtime_h);
    const bool by_person = p.configuration.has("water_l_per_person_day");
    e.uses = 3;
    e.current = p.parameter("current_a");
    e.hours = p.parameter(by_person ? "water_l_per_person_day" : "water_l_per_day");
    e.hours_factor =
        1.0 / (3 * 60 * p.number("flow_l_per_min")) * (by_person ? p.habits.persons : p.habits.persons / 2);
    e.hours_spread = 0.3;
    e.litres_per_h = 60 * p.number("flow_l_per_min");
    p.add(e);
}

}  // namespace

std::span<const LoadType> water() {
    static constexpr LoadType types[] = {{water_pump, compile_pump}};
    return types;
}

const Schema& water_tanks_schema() {
    static const Schema s{
        "WaterTanks",
        "Fresh and grey water. What is drawn is what the WaterPump's minutes move; the trial notes the night before "
        "which a tank runs dry or full, and the pump's habits go on as though water were then fetched.",
        {number("fresh_l", "l", Variation::fixed, {1, 1000}, 70.0, from_memory(), "fresh tank"),
         number("grey_l", "l", Variation::fixed, {1, 1000}, 60.0, from_memory(), "grey tank"),
         formerly("start_share",
                  number("initial_fresh_share", "", Variation::trial, {0, 1}, Spread::triangular(0.8, 1, 1),
                         weak(from_memory()), "share of the fresh tank that is full at the start")),
         formerly("grey_start_share", number("initial_grey_share", "", Variation::trial, {0, 1}, 0.0, own_choice(),
                                             "share of the grey tank that is full at the start")),
         number("grey_share", "", Variation::trial, {0, 1}, Spread::triangular(0.6, 0.8, 1), weak(from_memory()),
                "share of the water drawn that ends in the grey tank")},
        {},
        {},
        Owner::person};
    return s;
}

WaterModel compile_water(const ConfigurationPtr& tanks, random::ParameterTable& table) {
    WaterModel m;
    if (!tanks) return m;
    m.given = true;
    m.fresh_l = tanks->number("fresh_l");
    m.grey_l = tanks->number("grey_l");
    m.initial_fresh_share = table.add(*tanks, "initial_fresh_share", "water.");
    m.initial_grey_share = table.add(*tanks, "initial_grey_share", "water.");
    m.grey_share = table.add(*tanks, "grey_share", "water.");
    return m;
}

}  // namespace ridethrough::loads
