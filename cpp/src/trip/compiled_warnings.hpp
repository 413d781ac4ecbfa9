// What a compiled trip allows but hardly anybody means. Internal to the layer.
#pragma once

#include "places.hpp"
#include "plausible.hpp"
#include "ridethrough/random/parameter_table.hpp"
#include "tables.hpp"

namespace ridethrough::trip {

// Tanks without a pump, a battery that is empty before the trip begins, lead-acid in the heat of any place.
Warnings compiled_warnings(const Tables& tables, const random::ParameterTable& table, const config::Configuration& van,
                           const std::vector<Place>& places, int first_day);

}  // namespace ridethrough::trip
