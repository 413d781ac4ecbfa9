// Volts of a 12 V system at which power and current are turned into each other where no bus is solved for it. Common
// practice, no source, but for those that say otherwise.
#pragma once

namespace ridethrough::base {

// What the system is called after: before the bus is solved, and where a current is declared "at 12 V".
constexpr double kNominalSystemV = 12;
// While something charges the battery: what a charger holds in float.
constexpr double kNominalChargingV = 13.5;
// What a charger holds before it floats.
constexpr double kNominalAbsorptionV = 14.4;
// At the output of a DC-DC charger in bulk charge.
constexpr double kNominalDcDcOutputV = 13.8;
// At rest and full: before a trip's first step, and below which a load that runs ends a charger's float.
constexpr double kNominalRestingV = 12.8;
// At a bus that its BMS has cut off, when a charger begins to wake it. From memory.
constexpr double kNominalWakingV = 13;
// Under an inverter's load. Own choice: a healthy battery under 100 A; the heat of 1 l boiled at 1.4 kW (about 9.7 Ah
// in 5 min, common practice, no source) fits it.
constexpr double kNominalInverterV = 12.5;
// Under an inverter's load of hours, such as the charger of a bicycle's battery. From memory.
constexpr double kNominalLongLoadV = 12.8;

}  // namespace ridethrough::base
