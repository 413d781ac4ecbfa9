// What charges the house battery besides the Sun: the vehicle's alternator, shore power, a generator.
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/config/declare.hpp"

namespace ridethrough::charging {
using namespace config;

namespace {

Field supply_mohm(config::Source source) {
    return derived("supply_mohm", "mohm", Variation::trial, {0, 1000}, std::move(source),
                   "loop resistance from the alternator to here; not given: of the supply cable, else the default");
}
Field supply_length() {
    return derived("supply_length_m", "m", Variation::fixed, {0.1, 50}, own_choice(),
                   "length of the supply cable one way (the way back is of the same cable), given with "
                   "supply_section_mm2 in place of supply_mohm; at 20 degC, plugs and fuses not counted");
}
Field supply_section() {
    return number("supply_section_mm2", "mm2", Variation::fixed, {1.5, 35}, 6.0, from_memory("2.5 to 16"),
                  "copper section of the supply cable (not its outside diameter); used with supply_length_m");
}
Field alternator_v() {
    return number("alternator_v", "V", Variation::day, {11, 16}, Spread::triangular(13.3, 14.0, 14.5), from_memory(),
                  "level of the alternator's voltage on the drives of a day, about which it swings by "
                  "alternator_swing_v; of a smart alternator something like triangular(13.1, 13.5, 13.9)");
}
Field alternator_swing() {
    return number("alternator_swing_v", "V", Variation::trial, {0, 3}, 0.2, weak(from_memory()),
                  "most that the alternator's voltage is above or below its level, within minutes and evenly between; "
                  "of a smart alternator about 1.2");
}
Field idle_current() {
    return number("idle_current_a", "A", Variation::trial, {0, 200}, Spread::triangular(5, 15, 25), weak(from_memory()),
                  "most that there is while the engine idles (Trip.idling)");
}
Field line_closed() {
    return flag("line_closed", true, own_choice(),
                "False: the breaker or fuse in the line from the alternator is open, and nothing is charged");
}

void check_supply(const Configuration& r) {
    const std::string& owner = r.schema().name;
    if (r.has("supply_length_m") && r.has("supply_mohm"))
        throw InputError({.path = owner + ".supply_mohm",
                          .reason = "not allowed beside supply_length_m and supply_section_mm2, which say the same"});
}
std::vector<std::string> warn_supply(const Configuration& r) {
    const double default_value = std::get<double>(r.schema().field("supply_section_mm2").default_value);
    if (r.has("supply_length_m") || r.number("supply_section_mm2") == default_value) return {};
    return {r.schema().name + ".supply_section_mm2 is given without supply_length_m: it is not used"};
}

}  // namespace

const Schema& dc_dc_charger_schema() {
    static const Schema schema{
        "DcDcCharger",
        "Charger between the vehicle's alternator and the house battery; works while driving.",
        {
            number("current_a", "A", Variation::trial, {1, 200}, 25.0, common_practice("a common size"),
                   "largest output current"),
            number("efficiency", "", Variation::trial, {0.5, 1}, 0.92, from_memory(".90 to .93"),
                   "output power per input power"),
            alternator_v(),
            alternator_swing(),
            supply_mohm(weak(from_memory("15 in a van, 60 in a towed camper"))),
            supply_length(),
            supply_section(),
            number("lockout_v", "V", Variation::trial, {9, 15}, 12.6, from_memory(),
                   "the charger does not hold when its input, under load, is below this voltage"),
            derived("restart_v", "V", Variation::trial, {9, 15.5}, from_memory("0.3 to 1 V above lockout_v"),
                    "input voltage without load from which it starts again; not given: 0.5 V above lockout_v"),
            number("cycling_share", "", Variation::trial, {0, 1}, Spread::triangular(0, 0.3, 0.6),
                   weak(from_memory("many drop out and start again, some reduce their current")),
                   "share of its current that it gives on average while it starts without load and cannot hold under "
                   "load: little where it drops out and starts again, more where it reduces its current; 0: off"),
            choice("input_priority", {"both", "solar_first", "alternator_first"}, "both", own_choice(),
                   "both: the panels' charge controller and the alternator add up; solar_first, alternator_first: one "
                   "charger with both inputs that uses one at a time (the Sun's counts from 15 W)"),
            idle_current(),
            line_closed(),
            profile_field(),
        },
        check_supply,
        warn_supply};
    return schema;
}

const Schema& alternator_cable_schema() {
    static const Schema schema = formerly(
        "AlternatorLink",
        Schema{"AlternatorCable",
               "Plain cable from the vehicle's alternator to the house battery, with no charger in it. A relay closes "
               "while driving; current follows from the voltages and the resistances, and none flows back.",
               {
                   number("current_a", "A", Variation::trial, {1, 200}, 40.0, from_memory("20 to 60 A"),
                          "most that it carries: the fuse, or what the alternator has to spare"),
                   alternator_v(),
                   alternator_swing(),
                   supply_mohm(weak(from_memory("40 in a van, 100 in a towed camper"))),
                   supply_length(),
                   supply_section(),
                   idle_current(),
                   line_closed(),
               },
               check_supply,
               warn_supply});
    return schema;
}

const Schema& mains_charger_schema() {
    static const Schema schema{
        "MainsCharger",
        "Battery charger on shore power; works on powered nights, and on a generator.",
        {
            number("current_a", "A", Variation::trial, {1, 200}, 20.0, common_practice("a common size"),
                   "largest output current"),
            number("efficiency", "", Variation::fixed, {0.3, 1}, 0.88, from_memory(".85 to .92"),
                   "output energy per energy drawn from the mains; says what is drawn, not what is charged"),
            profile_field(),
        }};
    return schema;
}

const Schema& generator_schema() {
    static const Schema schema{
        "Generator",
        "Small generator that feeds the mains charger in the hours of Trip.generator_runs. "
        "Never in or beside a closed space: carbon monoxide kills.",
        {
            number("rated_w", "W", Variation::fixed, {100, 10000}, 900.0, common_practice("a common size"),
                   "continuous power; limits the mains charger's current"),
        }};
    return schema;
}

}  // namespace ridethrough::charging
