// Internal to the layer.
#pragma once

#include "ridethrough/battery/chemistry.hpp"

namespace ridethrough::battery {

extern const Chemistry kLfp;

}  // namespace ridethrough::battery
