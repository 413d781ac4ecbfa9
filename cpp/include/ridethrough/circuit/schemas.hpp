// The wires between battery and fridge, and a disconnect in them.
#pragma once

#include "ridethrough/circuit/model.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/parameter_table.hpp"

namespace ridethrough::circuit {

const config::Schema& wiring_schema();
const config::Schema& system_disconnect_schema();

WiringModel compile_wiring(const config::Configuration& wiring, random::ParameterTable& table);
// `disconnect`: null where there is none.
DisconnectModel compile_disconnect(const config::ConfigurationPtr& disconnect, random::ParameterTable& table);

}  // namespace ridethrough::circuit
