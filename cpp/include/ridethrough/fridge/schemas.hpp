// The compressor fridge and what may be added to it.
#pragma once

#include <span>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/fridge/model.hpp"
#include "ridethrough/random/parameter_table.hpp"

namespace ridethrough::fridge {

const config::Schema& fridge_schema();
// Of a fridge whose compressor_w is not given.
double usual_compressor_w(double volume_l);
// Whether ice is put into it in some trial.
bool has_ice(const config::Configuration& fridge);
// FreezerBox, InsulatedCover, VentFan, NightSetBack, Medicine: what may be added to a fridge.
std::span<const config::Schema* const> fridge_part_schemas();

Model compile(const config::Configuration& fridge, random::ParameterTable& table);

}  // namespace ridethrough::fridge
