// Volts of a 12 V system at which power and current are turned into each other where no bus is solved for it. Common
// practice, no source.
#pragma once

namespace ridethrough::circuit {

// While something charges the battery: what a charger holds in float.
constexpr double kNominalChargingV = 13.5;
// At rest and full: before a trip's first step, and below which a load that runs ends a charger's float.
constexpr double kNominalRestingV = 12.8;

}  // namespace ridethrough::circuit
