// Tyre compressor, and any other load.
#include "compiler.hpp"
#include "fields.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& tyre_pump() {
    static const Schema s{
        "TyrePump",
        "Tyre compressor, on days off the road; often the engine runs then, which this does not count.",
        {name_field("tyre_pump"), current({2, 80}, Spread::triangular(15, 25, 40)),
         formerly("minutes", number("duration_min", "min", Variation::trial, {0.5, 120}, Spread::triangular(4, 10, 20),
                                    from_memory(), "length of one use", Owner::person)),
         daily_probability(0.1, weak(from_memory())), clock("earliest_h", 9, "earliest start"),
         clock("latest_h", 17, "latest start")},
        check_window};
    return s;
}
const Schema& appliance() {
    static const Schema s{
        "Appliance",
        "Any other load: a current for some minutes, some times a day, between two clock hours.",
        {given_name_field(), current({0, 300}, std::monostate{}),
         formerly("minutes", number("duration_min", "min", Variation::trial, {0.1, 1440}, std::monostate{}, {},
                                    "length of one use", Owner::person)),
         formerly("minutes_spread", number("duration_spread", "", Variation::fixed, {0, 0.5}, 0.2, own_choice(),
                                           "standard deviation of that length, as a share of it")),
         formerly("uses", integer("uses_per_day", "", {1, 8}, 1.0, own_choice(), "most uses a day")),
         formerly("use_share", number("use_probability", "", Variation::trial, {0, 1}, 1.0, own_choice(),
                                      "chance of each of them", Owner::person)),
         clock("earliest_h", 7, "earliest start"), clock("latest_h", 21, "latest start"),
         formerly("start_a", number("start_current_a", "A", Variation::trial, {0, 300}, 0.0, own_choice(),
                                    "current of a start, 0 for none")),
         formerly("start_min", number("start_duration_min", "min", Variation::fixed, {0, 15}, 0.0, own_choice(),
                                      "length of a start")),
         choice("feed", {"distribution", "inverter"}, "distribution", own_choice(),
                "where it is fed: the distribution, or the inverter's own branch at the terminals"),
         days_field(), rain_factor(1.0, own_choice())},
        check_window};
    return s;
}

void compile_tyre_pump(LoadCompiler& p) {
    EventModel e = p.minutes_of_use("current_a", "daily_probability", 0.2);
    e.scaled = false;
    p.add(e);
}

void compile_appliance(LoadCompiler& p) {
    EventModel e = p.minutes_of_use("current_a", "use_probability", p.number("duration_spread"));
    e.uses = p.configuration.integer("uses_per_day");
    if (p.number("start_duration_min") > 0) {
        e.start_current = p.parameter("start_current_a");
        e.start_hours = p.number("start_duration_min") / 60;
    }
    e.at_terminals = p.configuration.text("feed") == "inverter";
    p.weather_and_days(e);
    p.add(e);
}

}  // namespace

std::span<const LoadType> others() {
    static constexpr LoadType types[] = {{tyre_pump, compile_tyre_pump}, {appliance, compile_appliance}};
    return types;
}

}  // namespace ridethrough::loads
