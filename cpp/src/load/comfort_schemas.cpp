#include "load_fields.hpp"

namespace ridethrough::load {
using namespace base;

namespace {

const Schema& fan() {
    static const Schema s{
        "Fan",
        "Roof fan that follows the heat: off below one cabin temperature, on full above another.",
        {name_field("fan"), current({0.1, 10}, Spread::triangular(0.4, 1.2, 2.5)),
         number("starts_above_c", "degC", Level::fixed, {5, 40}, 24.0, kMemory, "cabin temperature where it starts"),
         number("full_above_c", "degC", Level::fixed, {6, 50}, 30.0, kMemory, "cabin temperature of full speed")},
        [](const Record& r) {
            if (!(r.number("full_above_c") > r.number("starts_above_c")))
                throw InputError("Fan.full_above_c = " + number_text(r.number("full_above_c")) +
                                 " degC: must be above starts_above_c = " + number_text(r.number("starts_above_c")) +
                                 " degC");
        }};
    return s;
}
// Fields of everything that heats: when it is cold enough, the two times of the day, what the cabin feels of it.
std::vector<Field> heating(std::vector<Field> own, double hours, double evening_use) {
    std::vector<Field> shared{
        number("hours", "h", Level::trial, {0, 20}, hours, kMemory, "running time of one use"),
        number("runs_below_c", "degC", Level::fixed, {-40, 60}, 12.0, kMemory,
               "it is used when the outdoor temperature at that time is below this"),
        clock("morning_h", 6.5, "middle of the morning start"),
        number("evening_use", "", Level::trial, {0, 1}, evening_use, evening_use > 0 ? kWeak : "own choice",
               "chance of a second use in the evening"),
        clock("evening_h", 19, "middle of the evening start"),
        number("start_spread_h", "h", Level::fixed, {0, 3}, 0.5, kMemory,
               "a start varies by up to this much either way"),
        number("rain_warmer_k", "K", Level::fixed, {0, 20}, 3.0, kWeak,
               "on a rainy day it is used up to this much more outdoor temperature; needs Trip.party"),
        derived("holds_cabin_c", "degC", Level::trial, {5, 30}, "own choice; 16 to 22 degC is usual, from memory",
                "least temperature of the cabin air, which fridge and battery feel, while it runs; not given: the air "
                "is what Van.cabin_lived_in_rise_k says, which with this is the warmth of people alone")};
    own.insert(own.end(), shared.begin(), shared.end());
    return own;
}
const Schema& heater() {
    static const Schema s{
        "Heater",
        "Diesel air heater: a glow start, then its blower and pump; runs when it is cold outside.",
        heating(
            {name_field("heater"), current({0.2, 15}, Spread::triangular(0.7, 1.2, 2.0)),
             number("glow_a", "A", Level::trial, {0, 30}, 9.0, kMemory, "current of the glow start"),
             number("glow_min", "min", Level::fixed, {0, 15}, 5.0, kMemory, "length of the glow start"),
             derived("starts_above_v", "V", Level::trial, {8, 13}, "own choice; 10 V is usual, from memory",
                     "voltage at its terminals, under the glow current, below which a start fails and the use is lost; "
                     "not given: it always starts"),
             number("supply_mohm", "mohm", Level::fixed, {0, 500}, 40.0, kWeak,
                    "resistance of its own cable, there and back; read where starts_above_v is given")},
            1.5, 0)};
    return s;
}
const Schema& gas_furnace() {
    static const Schema s{
        "GasFurnace",
        "Blower of a gas furnace, as large caravans have; the gas gives the heat. Runs when it is cold outside.",
        heating({name_field("gas_furnace"), current({0.5, 20}, Spread::triangular(3, 7, 11))}, 1.5, 1)};
    return s;
}
const Schema& electric_blanket() {
    static const Schema s{
        "ElectricBlanket",
        "12 V electric blanket, from bedtime on cold nights. On an inverter it takes up to twice as much (from "
        "memory).",
        {name_field("electric_blanket"), current({0.5, 15}, Spread::triangular(2, 4, 5)),
         hours_field({0, 12}, Spread::triangular(1, 3, 9), "hours on a night it is used"), share_of_days(1.0),
         number("used_below_c", "degC", Level::fixed, {-40, 30}, 5.0, kWeak,
                "it is used when the outdoor temperature at bedtime is below this")}};
    return s;
}

}  // namespace

Schemas comfort_schemas() { return {&fan(), &heater(), &gas_furnace(), &electric_blanket()}; }

}  // namespace ridethrough::load
