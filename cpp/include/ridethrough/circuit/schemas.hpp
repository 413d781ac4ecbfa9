// The wires between battery and fridge, and a disconnect in them.
#pragma once

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::circuit {

const config::Schema& wiring_schema();
const config::Schema& system_disconnect_schema();

}  // namespace ridethrough::circuit
