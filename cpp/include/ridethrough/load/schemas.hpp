// The fridge and the other loads of a van.
#pragma once

#include <span>
#include <vector>

#include "ridethrough/base/record.hpp"

namespace ridethrough::load {

const base::Schema& fridge_schema();
// Of a fridge whose compressor_w is not given.
double usual_compressor_w(double volume_l);
// FreezerBox, InsulatedCover, VentFan, NightSetBack, Medicine: what may be added to a fridge.
std::span<const base::Schema* const> fridge_part_schemas();
// Lights, WaterPump, Phones, Heater, Inverter, Appliance, ...: each has a `name`, unique in a van.
std::span<const base::Schema* const> load_schemas();
// Loads of a couple that uses little: the default of Van.loads.
std::vector<base::RecordPtr> light_use_loads();
// Fresh and grey tank: Van.water.
const base::Schema& water_tanks_schema();

}  // namespace ridethrough::load
