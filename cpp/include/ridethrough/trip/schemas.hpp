// Van, site and trip: what `simulate` is given.
#pragma once

#include <span>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::trip {

const config::Schema& van_schema();
const config::Schema& site_schema();
const config::Schema& stop_schema();
const config::Schema& storage_schema();
const config::Schema& trip_schema();
// What a trip's lists hold: drives, day trips, idling, runs of the generator, nights on shore power.
std::span<const config::Schema* const> activity_schemas();

}  // namespace ridethrough::trip
