// Charge profile, DC-DC charger and mains charger.
#pragma once

#include "ridethrough/base/record.hpp"

namespace ridethrough::charge {

const base::Schema& charge_profile_schema();
const base::Schema& dc_dc_charger_schema();
const base::Schema& mains_charger_schema();

// The default of a `profile` field: none given means the battery's own chemistry.
base::Field profile_field();

}  // namespace ridethrough::charge
