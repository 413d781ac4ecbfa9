// The inverter and what is plugged into it: all on its own branch at the terminals.
#include "compiler.hpp"
#include "fields.hpp"
#include "ridethrough/base/nominal_volts.hpp"

namespace ridethrough::loads {
using namespace config;

const Schema& inverter_schema() {
    static const Schema s{
        "Inverter",
        "An inverter: its idle draw, on for some hours a day, sometimes forgotten overnight; and its own low-voltage "
        "cut-out, which drops all that hangs on it. On a branch of its own.",
        {name_field("inverter"),
         formerly("idle_a", number("idle_current_a", "A", Variation::trial, {0, 6}, Spread::triangular(0.3, 0.8, 2.0),
                                   from_memory(), "current with nothing plugged in")),
         formerly("hours", number("duration_h", "h", Variation::trial, {0, 24}, 4.0, from_memory(),
                                  "hours on, on a day it is used", Owner::person)),
         daily_probability(0.9), clock("earliest_h", 17, "earliest start"), clock("latest_h", 20, "latest start"),
         formerly("left_on_share",
                  number("left_on_probability", "", Variation::trial, {0, 1}, 0.1, from_memory(".1 to .3"),
                         "chance that it is left on until the next waking hour", Owner::person)),
         number("cutout_v", "V", Variation::trial, {8.5, 13}, Spread::triangular(10.0, 10.5, 11.0), common_practice(),
                "voltage at its own terminals below which it stops"),
         number("restart_v", "V", Variation::trial, {9, 14.5}, Spread::triangular(11.8, 12.2, 12.8), common_practice(),
                "voltage at its terminals at which it may start again by itself"),
         number("cutout_delay_s", "s", Variation::fixed, {0, 600}, 2.0, from_memory("at once to some seconds"),
                "how long the voltage has to stay below; an inverter that waits longer than the fridge's electronics "
                "(Fridge.cutout_delay_s) drops after the fridge"),
         number("restart_wait_s", "s", Variation::fixed, {0, 3600}, 300.0, own_choice("a use that was lost is over"),
                "shortest pause before it starts again"),
         number("branch_mohm", "mohm", Variation::trial, {0, 100}, Spread::triangular(1, 2, 4), from_memory(),
                "of its own branch, there and back, with fuse: what it sees less than the battery's terminals")}};
    return s;
}

namespace {

// What an appliance of this kind usually is; empty values must be given.
struct Usual {
    const char *type, *doc;
    Field name;
    Value watts, minutes;
    double uses;
    Value use_probability;
    double earliest_h, latest_h;
};

Schema appliance_on_inverter(const Usual& u) {
    return {u.type,
            std::string(u.doc) +
                " Its power is mains power; the battery gives power / (efficiency x 12.5 V), on the "
                "inverter's own branch. The inverter's idle hours are those of an Inverter.",
            {u.name,
             formerly("watts", number("power_w", "W", Variation::trial, {1, 4000}, u.watts, from_memory(),
                                      "mains power while it runs")),
             formerly("minutes", number("duration_min", "min", Variation::trial, {0.1, 1440}, u.minutes, from_memory(),
                                        "length of one use", Owner::person)),
             formerly("minutes_spread", number("duration_spread", "", Variation::fixed, {0, 0.5}, 0.2, own_choice(),
                                               "standard deviation of that length, as a share of it")),
             formerly("uses", integer("uses_per_day", "", {1, 8}, u.uses, own_choice(), "most uses a day")),
             formerly("use_share", number("use_probability", "", Variation::trial, {0, 1}, u.use_probability,
                                          own_choice(), "chance of each of them", Owner::person)),
             number("efficiency", "", Variation::trial, {0.3, 1}, Spread::triangular(0.85, 0.88, 0.92), from_memory(),
                    "of the inverter at this load"),
             clock("earliest_h", u.earliest_h, "earliest start"), clock("latest_h", u.latest_h, "latest start")},
            check_window};
}

const Schema& inverter_appliance() {
    static const Schema s =
        appliance_on_inverter({"InverterAppliance", "Any appliance on the inverter.", given_name_field(),
                               std::monostate{}, std::monostate{}, 1, 1.0, 7, 21});
    return s;
}
const Schema& kettle() {
    static const Schema s =
        appliance_on_inverter({"Kettle", "Electric kettle or coffee machine.", name_field("kettle"),
                               Spread::triangular(700, 1000, 1400), Spread::triangular(3, 4.5, 6), 3, 0.7, 6.5, 19});
    return s;
}
const Schema& induction_hob() {
    static const Schema s =
        appliance_on_inverter({"InductionHob", "Induction hob in place of gas.", name_field("induction_hob"),
                               Spread::triangular(700, 1200, 1700), Spread::triangular(4, 8, 16), 3, 0.65, 7, 19.5});
    return s;
}
const Schema& microwave() {
    static const Schema s =
        appliance_on_inverter({"Microwave", "Microwave oven.", name_field("microwave"),
                               Spread::triangular(770, 1000, 1300), Spread::triangular(2, 4, 8), 2, 0.5, 7, 20});
    return s;
}
const Schema& hair_dryer() {
    static const Schema s =
        appliance_on_inverter({"HairDryer", "Hair dryer.", name_field("hair_dryer"),
                               Spread::triangular(900, 1200, 1600), Spread::triangular(1, 3, 6), 1, 0.9, 7, 10});
    return s;
}
const Schema& e_bike() {
    static const Schema s{
        "EBike",
        "E-bike batteries charged through the inverter on fine days.",
        {name_field("e_bike"), integer("bikes", "", {1, 8}, 2.0, own_choice("a couple"), "number of bikes"),
         number("energy_wh", "Wh", Variation::trial, {50, 1500}, Spread::triangular(400, 500, 800), from_memory(),
                "energy that one charge puts into a bike's battery", Owner::person),
         number("efficiency", "", Variation::trial, {0.3, 1}, Spread::triangular(0.72, 0.78, 0.85), from_memory(),
                "of inverter and charger together"),
         formerly("hours", number("duration_h", "h", Variation::fixed, {0.5, 12}, 3.5, from_memory(),
                                  "how long a charge takes")),
         formerly("charge_share", number("charge_probability", "", Variation::trial, {0, 1}, 0.15, from_memory(),
                                         "chance that a bike is charged on a day", Owner::person)),
         rain_probability_factor(0.3, weak(from_memory())), clock("earliest_h", 10, "earliest start"),
         clock("latest_h", 15, "latest start")},
        check_window};
    return s;
}

void compile_idle(LoadCompiler& p) {
    EventModel e = p.window();
    e.current = p.parameter("idle_current_a");
    e.hours = p.parameter("duration_h");
    e.hours_spread = 0.3;
    e.share = p.parameter("daily_probability");
    e.left_on_probability = p.parameter("left_on_probability");
    e.left_on_until_h = 24 + p.habits.wake_h;
    e.at_terminals = true;
    p.add(e);
    p.add_inverter();
}

void compile_appliance(LoadCompiler& p) {
    EventModel e = p.minutes_of_use("power_w", "use_probability", p.number("duration_spread"), "efficiency");
    e.uses = p.configuration.integer("uses_per_day");
    e.current_factor = 1 / base::kNominalInverterV;
    e.at_terminals = true;
    p.add(e);
}

void compile_e_bike(LoadCompiler& p) {
    EventModel e = p.window();
    e.uses = p.configuration.integer("bikes");
    e.current = p.parameter("energy_wh");
    e.current_over = p.parameter("efficiency");
    e.current_factor = 1 / (base::kNominalLongLoadV * p.number("duration_h"));
    e.hours = p.constant(p.number("duration_h"));
    e.share = p.parameter("charge_probability");
    e.at_terminals = true;
    e.scaled = false;  // an empty bike takes what it takes
    p.weather_and_days(e);
    p.add(e);
}

}  // namespace

std::span<const LoadType> on_the_inverter() {
    static constexpr LoadType types[] = {{inverter_schema, compile_idle}, {inverter_appliance, compile_appliance},
                                         {kettle, compile_appliance},     {induction_hob, compile_appliance},
                                         {microwave, compile_appliance},  {hair_dryer, compile_appliance},
                                         {e_bike, compile_e_bike}};
    return types;
}

}  // namespace ridethrough::loads
