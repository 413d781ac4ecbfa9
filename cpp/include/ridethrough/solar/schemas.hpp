// The solar array with its regulator.
#pragma once

#include "ridethrough/base/record.hpp"

namespace ridethrough::solar {

const base::Schema& solar_array_schema();
// Temperature rise of the cells per W/m2 for a mounting word (Ross 1981; Skoplaki & Palyvos 2009).
double mounting_rise_k_per_w_m2(const std::string& mounting);

}  // namespace ridethrough::solar
