#include "load_fields.hpp"
#include "ridethrough/loads/schemas.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& water_pump() {
    static const Schema s{
        "WaterPump",
        "Pump that runs while water is drawn, in three bouts a day; never shed.",
        {name_field("water_pump"), current({0.5, 20}, 5.0),
         number("water_l_per_day", "l/d", Level::trial, {0, 300}, Spread::triangular(15, 40, 60), kMemory,
                "water drawn a day by a couple; more or fewer people (Trip.party) draw in proportion"),
         number("flow_l_per_min", "l/min", Level::fixed, {1, 30}, 5.0, kMemory, "pump flow"),
         derived("l_per_person_day", "l/d", Level::day, {0, 100}, "own choice: 5 to 10 sparing, 20 with showers",
                 "water drawn a day by each person, in place of water_l_per_day")}};
    return s;
}

}  // namespace

Schemas water_schemas() { return {&water_pump()}; }

const Schema& water_tanks_schema() {
    static const Schema s{
        "WaterTanks",
        "Fresh and grey water. What is drawn is what the WaterPump's minutes move; the trial notes the night before "
        "which a tank runs dry or full, and the pump's habits go on as though water were then fetched.",
        {number("fresh_l", "l", Level::fixed, {1, 1000}, 70.0, kMemory, "fresh tank"),
         number("grey_l", "l", Level::fixed, {1, 1000}, 60.0, kMemory, "grey tank"),
         number("start_share", "", Level::trial, {0, 1}, Spread::triangular(0.8, 1, 1), kWeak,
                "share of the fresh tank that is full at the start"),
         number("grey_start_share", "", Level::trial, {0, 1}, 0.0, "own choice",
                "share of the grey tank that is full at the start"),
         number("grey_share", "", Level::trial, {0, 1}, Spread::triangular(0.6, 0.8, 1), kWeak,
                "share of the water drawn that ends in the grey tank")}};
    return s;
}

}  // namespace ridethrough::loads
