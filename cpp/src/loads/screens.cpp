// What is charged and looked at: phones, computers, screens, radios.
#include "compiler.hpp"
#include "fields.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& phones() {
    static const Schema s{"Phones",
                          "Phones charged in the evening.",
                          {name_field("phones"),
                           derived("count", "", Variation::fixed, {0, 20}, own_choice("a couple"),
                                   "number of phones; not given: one a person of Trip.party, 2 without one"),
                           number("charge_ah", "Ah", Variation::trial, {0, 5}, Spread::triangular(0.7, 1.2, 2.0),
                                  from_memory(), "taken from the battery for one phone a day", Owner::person),
                           formerly("hours", number("duration_h", "h", Variation::fixed, {0.25, 12}, 1.5, from_memory(),
                                                    "how long a charge takes"))}};
    return s;
}
const Schema& tablets() {
    static const Schema s{
        "Tablets",
        "Tablets charged in the afternoon or evening.",
        {name_field("tablets"), number("count", "", Variation::fixed, {0, 20}, 1.0, own_choice(), "number of tablets"),
         number("charge_ah", "Ah", Variation::trial, {0, 10}, Spread::triangular(1, 2, 4), from_memory(),
                "taken from the battery for one charge of one tablet"),
         formerly("hours", number("duration_h", "h", Variation::fixed, {0.25, 12}, 2.5, weak(from_memory()),
                                  "how long a charge takes")),
         daily_probability(0.7), rain_probability_factor(1.4)}};
    return s;
}
const Schema& laptop() {
    static const Schema s{"Laptop",
                          "Laptop charged or used during the day or evening.",
                          {name_field("laptop"), current({0.5, 12}, 4.0),
                           formerly("hours", number("duration_h", "h", Variation::trial, {0, 16}, 2.0, from_memory(),
                                                    "hours on a day it is used", Owner::person)),
                           daily_probability(0.9), clock("earliest_h", 9, "earliest start"),
                           clock("latest_h", 20, "latest start"), days_field(), rain_factor(1.5)}};
    return s;
}
const Schema& television() {
    static const Schema s{"Television",
                          "12 V television with receiver and sound, in the evening, more often in the rain.",
                          {name_field("television"), current({0.3, 12}, Spread::triangular(1.2, 2.5, 6)),
                           hours_field({0, 12}, Spread::triangular(1, 2, 5), "hours on an evening it is used"),
                           daily_probability(0.55), rain_probability_factor(1.5), rain_factor(1.5),
                           clock("earliest_h", 18, "earliest start"), clock("latest_h", 20, "latest start")},
                          check_window};
    return s;
}
const Schema& internet_terminal() {
    static const Schema s{
        "InternetTerminal",
        "Satellite internet terminal. The default is a small flat one; a full-size one takes triangular(2.5, 5.5, 9) A "
        "(from memory), and melting snow doubles that.",
        {name_field("internet_terminal"), current({0.5, 20}, Spread::triangular(1.5, 2.5, 4)),
         hours_field({0, 24}, Spread::triangular(1, 4, 10), "hours on a day it is used"), daily_probability(0.9),
         clock("earliest_h", 8, "earliest start"), clock("latest_h", 17, "latest start"), days_field(),
         rain_factor(1.5)},
        check_window};
    return s;
}
const Schema& router() {
    static const Schema s{"Router",
                          "Router on the mobile network.",
                          {name_field("router"), current({0.05, 3}, Spread::triangular(0.2, 0.35, 0.5)),
                           hours_field({0, 24}, Spread::triangular(2, 8, 16), "hours on a day it is used"),
                           daily_probability(1.0), clock("earliest_h", 7, "earliest start"),
                           clock("latest_h", 9, "latest start"), days_field(), rain_factor(1.0, own_choice())},
                          check_window};
    return s;
}
const Schema& radio() {
    static const Schema s{
        "Radio",
        "Radio or music.",
        {name_field("radio"), current({0.05, 10}, Spread::triangular(0.2, 0.6, 2)),
         hours_field({0, 16}, Spread::triangular(1, 3, 5), "hours on a day it is used"), daily_probability(0.7),
         clock("earliest_h", 8, "earliest start"), clock("latest_h", 19, "latest start"), rain_factor(1.5)},
        check_window};
    return s;
}
const Schema& battery_packs() {
    static const Schema s{"BatteryPacks",
                          "Packs of cameras, drones and torches, charged on fine days.",
                          {name_field("battery_packs"), current({0.2, 10}, Spread::triangular(1, 2, 4)),
                           hours_field({0, 12}, Spread::triangular(0.5, 1, 3), "hours on a day it is used"),
                           daily_probability(0.6), clock("earliest_h", 16, "earliest start"),
                           clock("latest_h", 20, "latest start"), rain_probability_factor(0.3, weak(from_memory()))},
                          check_window};
    return s;
}

// `count` devices that each take an amount of charge within a time that varies.
EventModel charging(LoadCompiler& p, double earliest_h, double latest_h, double count) {
    EventModel e = p.window(earliest_h, latest_h);
    e.current = p.parameter("charge_ah");
    e.current_factor = count / p.number("duration_h");
    e.hours = p.constant(p.number("duration_h"));
    e.hours_spread = 0.2;
    return e;
}

// Hours at a current, on a share of the days.
EventModel running(LoadCompiler& p) {
    EventModel e = p.window();
    e.current = p.parameter("current_a");
    e.hours = p.parameter("duration_h");
    e.share = p.parameter("daily_probability");
    e.hours_spread = 0.3;
    p.weather_and_days(e);
    return e;
}

void compile_phones(LoadCompiler& p) {
    p.add(charging(p, 17, 21, p.configuration.has("count") ? p.number("count") : p.habits.persons));
}
void compile_tablets(LoadCompiler& p) {
    EventModel e = charging(p, 14, 21, p.number("count"));
    e.share = p.parameter("daily_probability");
    p.weather_and_days(e);
    p.add(e);
}
void compile_running(LoadCompiler& p) { p.add(running(p)); }

}  // namespace

std::span<const LoadType> screens() {
    static constexpr LoadType types[] = {
        {phones, compile_phones},      {tablets, compile_tablets},           {laptop, compile_running},
        {television, compile_running}, {internet_terminal, compile_running}, {router, compile_running},
        {radio, compile_running},      {battery_packs, compile_running}};
    return types;
}

}  // namespace ridethrough::loads
