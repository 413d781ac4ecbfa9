// What a battery, its wiring and a system disconnect are declared with.
#pragma once

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::battery {

const config::Schema& agm_battery_schema();
const config::Schema& lfp_battery_schema();
const config::Schema& second_battery_schema();

}  // namespace ridethrough::battery
