// What a van and a trip say of the cabin: the fields that belong to it, and its model made of them.
#pragma once

#include <vector>

#include "ridethrough/cabin/air.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/parameter_table.hpp"

namespace ridethrough::cabin {

std::vector<config::Field> van_fields();   // its walls, windows and people
std::vector<config::Field> trip_fields();  // when people are out
// InputError where two of these fields contradict each other.
void check_van(const config::Configuration& van);
void check_trip(const config::Configuration& trip);

AirModel compile(const config::Configuration& van, const config::Configuration& trip, double persons,
                 random::ParameterTable& table);

}  // namespace ridethrough::cabin
