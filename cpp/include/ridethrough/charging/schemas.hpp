// Charge profile, DC-DC charger and mains charger.
#pragma once

#include "ridethrough/battery/chemistry.hpp"
#include "ridethrough/charging/model.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/parameter_table.hpp"

namespace ridethrough::charging {

const config::Schema& charge_profile_schema();
const config::Schema& dc_dc_charger_schema();
const config::Schema& mains_charger_schema();
const config::Schema& alternator_cable_schema();
const config::Schema& generator_schema();

// What a profile comes to, ready-made or in numbers; and what it is meant for.
struct ProfileStages {
    Stages stages;
    std::string family;  // of chemistries, as battery::Chemistry names it
};
ProfileStages profile_stages(const config::Configuration& profile);
// Of a source (null: the van has none of it) with or without a profile of its own; without one the battery's: lithium
// needs no long absorption; common practice, no source.
Stages compile_stages(const config::ConfigurationPtr& source, const battery::Chemistry& chemistry);

// Loop resistance from the alternator to a DC-DC charger's input or over a plain cable, where supply_mohm is not given.
double supply_mohm(const config::Configuration& charger, bool towed);
// DC-DC charger or plain cable; `idles`: the trip has days on which the engine idles to charge.
AlternatorModel compile_alternator(const config::ConfigurationPtr& charger, bool towed, bool idles,
                                   random::ParameterTable& table);
// `runs`: the trip has days with a generator, which the van must then have, with a charger.
MainsModel compile_mains(const config::ConfigurationPtr& charger, const config::ConfigurationPtr& generator, bool runs,
                         random::ParameterTable& table);

// The default of a `profile` field: none given means the battery's own chemistry.
config::Field profile_field();

}  // namespace ridethrough::charging
