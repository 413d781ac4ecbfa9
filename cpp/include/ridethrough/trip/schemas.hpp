// Van, site and trip: what `simulate` is given.
#pragma once

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::trip {

const config::Schema& van_schema();
const config::Schema& site_schema();
const config::Schema& stop_schema();
const config::Schema& storage_schema();
const config::Schema& trip_schema();

}  // namespace ridethrough::trip
