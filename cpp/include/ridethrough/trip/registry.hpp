// All configuration classes, inner ones first.
#pragma once

#include <span>

#include "ridethrough/base/record.hpp"

namespace ridethrough::trip {

std::span<const base::Schema* const> all_schemas();

}  // namespace ridethrough::trip
