// Fields of a trip that were three of a kind before its lists. Internal to the layer.
#pragma once

#include <vector>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::trip {

std::vector<config::Moved> moved_to_lists();

}  // namespace ridethrough::trip
