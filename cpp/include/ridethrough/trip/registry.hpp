// All configuration classes, inner ones first.
#pragma once

#include <span>
#include <string>

#include "ridethrough/base/record.hpp"

namespace ridethrough::trip {

std::span<const base::Schema* const> all_schemas();
const base::Schema& schema_named(const std::string& name);  // InputError with the nearest name

}  // namespace ridethrough::trip
