// Van, site and trip: what `simulate` is given.
#pragma once

#include "ridethrough/base/record.hpp"

namespace ridethrough::trip {

const base::Schema& van_schema();
const base::Schema& site_schema();
const base::Schema& stop_schema();
const base::Schema& storage_schema();
const base::Schema& trip_schema();
const base::Schema& party_schema();

}  // namespace ridethrough::trip
