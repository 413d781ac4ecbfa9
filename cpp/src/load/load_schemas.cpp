#include <array>

#include "ridethrough/base/declare.hpp"
#include "ridethrough/load/schemas.hpp"

namespace ridethrough::load {
using namespace base;

namespace {

const std::string kMemory = "from memory";

Field name_field(const char* standard) {
    return text("name", std::string(standard), "name of this load in paths and results, unique in a van");
}
Field current(Range range, Value standard) {
    return number("current_a", "A", Level::trial, range, std::move(standard), kMemory, "current while it runs");
}
Field clock(const char* name, double standard, const char* doc) {
    return number(name, "h", Level::fixed, {0, 24}, standard, "own choice", doc);
}
Field share_of_days(double standard) {
    return number("share_of_days", "", Level::trial, {0, 1}, standard, kMemory, "chance that it is used on a day");
}

const Schema& lights() {
    static const Schema s{"Lights",
                          "Lighting from dusk to bedtime.",
                          {name_field("lights"), current({0, 20}, Spread::triangular(0.3, 0.7, 1.5)),
                           number("bedtime_spread_h", "h", Level::fixed, {0, 3}, 0.75, kMemory,
                                  "bedtime varies by up to this much either way")}};
    return s;
}
const Schema& water_pump() {
    static const Schema s{"WaterPump",
                          "Pump that runs while water is drawn, in three bouts a day.",
                          {name_field("water_pump"), current({0.5, 20}, 5.0),
                           number("water_l_per_day", "l/d", Level::trial, {0, 300}, Spread::triangular(8, 20, 40),
                                  kMemory, "water drawn a day"),
                           number("flow_l_per_min", "l/min", Level::fixed, {1, 30}, 5.0, kMemory, "pump flow")}};
    return s;
}
const Schema& phones() {
    static const Schema s{
        "Phones",
        "Phones charged in the evening.",
        {name_field("phones"), number("count", "", Level::fixed, {0, 20}, 2.0, "a couple", "number of phones"),
         number("charge_ah", "Ah", Level::trial, {0, 5}, Spread::triangular(0.8, 1.3, 2.5), kMemory,
                "taken from the battery for one phone a day"),
         number("hours", "h", Level::fixed, {0.25, 12}, 1.5, kMemory, "how long a charge takes")}};
    return s;
}
const Schema& laptop() {
    static const Schema s{
        "Laptop",
        "Laptop charged or used during the day or evening.",
        {name_field("laptop"), current({0.5, 12}, 4.0),
         number("hours", "h", Level::trial, {0, 16}, 1.5, kMemory, "hours on a day it is used"), share_of_days(0.5),
         clock("earliest_h", 9, "earliest start"), clock("latest_h", 20, "latest start")}};
    return s;
}
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
const Schema& heater() {
    static const Schema s{
        "Heater",
        "Diesel air heater: a glow start, then its blower and pump; runs when it is cold outside.",
        {name_field("heater"), current({0.2, 15}, Spread::triangular(0.7, 1.2, 2.0)),
         number("glow_a", "A", Level::trial, {0, 30}, 9.0, kMemory, "current of the glow start"),
         number("glow_min", "min", Level::fixed, {0, 15}, 5.0, kMemory, "length of the glow start"),
         number("hours", "h", Level::trial, {0, 20}, 1.5, kMemory, "running time of one use"),
         number("runs_below_c", "degC", Level::fixed, {-40, 60}, 12.0, kMemory,
                "it is used when the outdoor temperature at that time is below this"),
         clock("morning_h", 6.5, "middle of the morning start"),
         number("evening_use", "", Level::trial, {0, 1}, 0.0, "own choice", "chance of a second use in the evening"),
         clock("evening_h", 19, "middle of the evening start"),
         number("start_spread_h", "h", Level::fixed, {0, 3}, 0.5, kMemory,
                "a start varies by up to this much either way")}};
    return s;
}
const Schema& standby() {
    static const Schema s{"Standby",
                          "What is always on: panel, detectors, controllers, radio memory.",
                          {name_field("standby"), current({0, 10}, Spread::triangular(0.05, 0.15, 0.5))}};
    return s;
}
const Schema& inverter() {
    static const Schema s{
        "Inverter",
        "Idle draw of an inverter, on for some hours a day, sometimes forgotten overnight. On a branch of its own.",
        {name_field("inverter"),
         number("idle_a", "A", Level::trial, {0, 6}, Spread::triangular(0.3, 0.8, 2.0), kMemory,
                "current with nothing plugged in"),
         number("hours", "h", Level::trial, {0, 24}, 1.0, kMemory, "hours on, on a day it is used"), share_of_days(0.5),
         clock("earliest_h", 17, "earliest start"), clock("latest_h", 20, "latest start"),
         number("left_on_share", "", Level::trial, {0, 1}, 0.1, kMemory + ": .1 to .3",
                "chance that it is left on until the next waking hour")}};
    return s;
}
const Schema& appliance() {
    static const Schema s{
        "Appliance",
        "Any other load: a current for some minutes, some times a day, between two clock hours.",
        {text("name", std::monostate{}, "name of this load in paths and results, unique in a van"),
         current({0, 300}, std::monostate{}),
         number("minutes", "min", Level::trial, {0.1, 1440}, std::monostate{}, "", "length of one use"),
         number("minutes_spread", "", Level::fixed, {0, 0.5}, 0.2, "own choice",
                "standard deviation of that length, as a share of it"),
         integer("uses", "", {1, 8}, 1.0, "own choice", "most uses a day"),
         number("use_share", "", Level::trial, {0, 1}, 1.0, "own choice", "chance of each of them"),
         clock("earliest_h", 7, "earliest start"), clock("latest_h", 21, "latest start"),
         number("start_a", "A", Level::trial, {0, 300}, 0.0, "own choice", "current of a start, 0 for none"),
         number("start_min", "min", Level::fixed, {0, 15}, 0.0, "own choice", "length of a start"),
         choice("feed", {"distribution", "inverter"}, "distribution", "own choice",
                "where it is fed: the distribution, or the inverter's own branch at the posts")},
        [](const Record& r) {
            if (!(r.number("latest_h") >= r.number("earliest_h")))
                throw InputError("Appliance.latest_h = " + number_text(r.number("latest_h")) +
                                 " h: must not be before earliest_h = " + number_text(r.number("earliest_h")) + " h");
        }};
    return s;
}

}  // namespace

std::span<const Schema* const> load_schemas() {
    static const std::array<const Schema*, 9> all{&lights(), &water_pump(), &phones(),   &laptop(),   &fan(),
                                                  &heater(), &standby(),    &inverter(), &appliance()};
    return all;
}

std::vector<RecordPtr> light_use_loads() {
    static const std::vector<RecordPtr> loads{Record::make(lights(), {}),  Record::make(water_pump(), {}),
                                              Record::make(phones(), {}),  Record::make(laptop(), {}),
                                              Record::make(fan(), {}),     Record::make(standby(), {}),
                                              Record::make(inverter(), {})};
    return loads;
}

}  // namespace ridethrough::load
