// All configuration classes, inner ones first.
#pragma once

#include <span>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::trip {

std::span<const config::Schema* const> all_schemas();

}  // namespace ridethrough::trip
