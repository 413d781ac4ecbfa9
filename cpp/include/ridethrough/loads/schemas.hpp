// The loads of a van besides its fridge.
#pragma once

#include <span>
#include <vector>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::loads {

// Lights, WaterPump, Phones, Heater, Inverter, Appliance, ...: each has a `name`, unique in a van.
std::span<const config::Schema* const> load_schemas();
// Loads of a couple that uses little: the default of Van.loads.
std::vector<config::RecordPtr> light_use_loads();
// Fresh and grey tank: Van.water.
const config::Schema& water_tanks_schema();

}  // namespace ridethrough::loads
