// All configuration classes, inner ones first.
#pragma once

#include <span>
#include <string>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::trip {

std::span<const config::Schema* const> all_schemas();
const config::Schema& schema_named(const std::string& name);  // InputError with the nearest name

}  // namespace ridethrough::trip
