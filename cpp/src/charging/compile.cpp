
#include "ridethrough/base/nominal_volts.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/circuit/wiring.hpp"

namespace ridethrough::charging {
using config::Configuration;
using config::ConfigurationPtr;

double supply_mohm(const Configuration& charger, bool towed) {
    if (charger.has("supply_length_m"))
        return 1000 * circuit::conductor_resistance_ohm(charger.number("supply_section_mm2"),
                                                        2 * charger.number("supply_length_m"));
    if (charger.schema().name == "AlternatorCable") return towed ? 100 : 40;
    return towed ? 60 : 15;
}

AlternatorModel compile_alternator(const ConfigurationPtr& charger, bool towed, bool idles,
                                   random::ParameterTable& table) {
    AlternatorModel m;
    if (!charger) return m;
    const std::string at = "dc_dc.";
    m.fitted = true;
    m.cable = charger->schema().name == "AlternatorCable";
    m.current_a = charger->flag("line_closed") ? table.add(*charger, "current_a", at) : table.constant(0);
    m.efficiency = m.cable ? table.constant(1) : table.add(*charger, "efficiency", at);
    m.alternator_v = table.add(*charger, "alternator_v", at);
    m.swing_v = table.add(*charger, "alternator_swing_v", at);
    m.supply_mohm = charger->has("supply_mohm") ? table.add(*charger, "supply_mohm", at)
                                                : table.constant(supply_mohm(*charger, towed));
    m.lockout_v = m.cable ? table.constant(0) : table.add(*charger, "lockout_v", at);
    if (idles) m.idle_a = table.add(*charger, "idle_current_a", at);
    if (m.cable) return m;
    m.cycling_share = table.add(*charger, "cycling_share", at);
    if (charger->text("input_priority") == "solar_first") m.priority = InputPriority::solar_first;
    if (charger->text("input_priority") == "alternator_first") m.priority = InputPriority::alternator_first;
    if (!charger->has("restart_v")) return m;
    m.restart_v = table.add(*charger, "restart_v", at);
    table.require_above(m.restart_v, m.lockout_v);
    return m;
}

MainsModel compile_mains(const ConfigurationPtr& charger, const ConfigurationPtr& generator, bool runs,
                         random::ParameterTable& table) {
    MainsModel m;
    if (charger) m.current_a = table.add(*charger, "current_a", "mains.");
    if (!runs) return m;
    if (!charger || !generator)
        throw base::InputError({.path = "Trip.generator_runs",
                                .reason = "given, but Van.generator or Van.mains is None: give the van both"});
    m.generator_a = generator->number("rated_w") * charger->number("efficiency") / base::kNominalAbsorptionV;
    return m;
}

}  // namespace ridethrough::charging
