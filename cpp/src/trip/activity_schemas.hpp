// What a trip's lists hold: drives, day trips, idling, runs of the generator, nights on shore power. Internal to the
// layer.
#pragma once

#include <span>
#include <vector>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::trip {

std::span<const config::Schema* const> activity_schemas();
// Fields of a trip before it had lists.
std::vector<config::Moved> moved_to_lists();

}  // namespace ridethrough::trip
