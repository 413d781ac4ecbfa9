// What a battery, its wiring and a system disconnect are declared with.
#pragma once

#include "ridethrough/base/record.hpp"

namespace ridethrough::power {

const base::Schema& agm_battery_schema();
const base::Schema& lfp_battery_schema();
const base::Schema& second_battery_schema();
const base::Schema& wiring_schema();
const base::Schema& system_disconnect_schema();

}  // namespace ridethrough::power
