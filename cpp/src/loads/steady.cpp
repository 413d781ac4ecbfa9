// What is always on, and the breathing machine.
#include "compiler.hpp"
#include "fields.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& standby() {
    static const Schema s{"Standby",
                          "What is always on: panel, detectors, controllers, radio memory.",
                          {name_field("standby"), current({0, 10}, Spread::triangular(0.05, 0.2, 0.65))}};
    return s;
}
const Schema& detectors() {
    static const Schema s{
        "Detectors",
        "Gas, smoke and carbon monoxide detectors where they are not in Standby already. Always on and never shed.",
        {name_field("detectors"), current({0.005, 2}, Spread::triangular(0.02, 0.05, 0.12))}};
    return s;
}
const Schema& breathing_machine() {
    static const Schema s{
        "BreathingMachine",
        "Breathing machine for the night (CPAP). It counts high until it has been measured, it is never shed, no habit "
        "shortens it, and there is no target and no pass mark for it: an independent, tested back-up is needed.",
        {name_field("breathing_machine"),
         choice("heated_humidifier", {"no", "yes"}, "no", own_choice(), "whether it heats its humidifier or hose"),
         derived("night_ah", "Ah", Variation::day, {0.5, 150},
                 from_memory("a high end, 20, or 55 with heated humidifier"),
                 "taken from the battery a night; not given: 20, or 55 with heated humidifier, until measured",
                 Owner::person),
         formerly("hours", number("duration_h", "h", Variation::fixed, {1, 14}, 8.0, from_memory(),
                                  "from bedtime for this long")),
         choice("feed", {"distribution", "inverter"}, "distribution", own_choice(),
                "where it is fed: the distribution, or the inverter's own branch at the terminals")}};
    return s;
}

void compile_standby(LoadCompiler& p) { p.add_standby(); }
// High until measured; cautious guides count 25 W, and 76 to 80 W with a heated humidifier (from memory).
void compile_breathing_machine(LoadCompiler& p) {
    const bool heated = p.configuration.text("heated_humidifier") == "yes";
    EventModel e = p.window(p.habits.bedtime_h, p.habits.bedtime_h);
    e.current = p.configuration.has("night_ah") ? p.parameter("night_ah") : p.constant(heated ? 55 : 20);
    e.current_factor = 1 / p.number("duration_h");
    e.hours = p.constant(p.number("duration_h"));
    e.scaled = false;
    e.at_terminals = p.configuration.text("feed") == "inverter";
    p.add(e);
}

}  // namespace

std::span<const LoadType> steady() {
    static constexpr LoadType types[] = {
        {standby, compile_standby}, {detectors, compile_standby}, {breathing_machine, compile_breathing_machine}};
    return types;
}

}  // namespace ridethrough::loads
