// The numbers that a trial may draw, by their place in its parameter array. Numbers of the loads follow after the last.
#pragma once

namespace ridethrough::engine {

enum Slot : int {
    kCapacityAh, kStateOfHealth, kStartCharge, kResistance, kRestOffset, kPolarisation, kCapacityFactor0c, kAcceptance,
    kCoulombic, kCabinShare, kThermalLag, kWakesItself, kSharedMohm, kBranchMohm, kRatedW, kDirtLoss, kOtherLoss,
    kRegulatorEfficiency, kDcDcA, kDcDcEfficiency, kAlternatorV, kSupplyMohm, kLockoutV, kMainsA, kUa, kHeatLeakFactor,
    kHeatCapacity, kCompressorW, kCarnotShare, kVentRise, kDoorOpenings, kFridgeCutoutV, kFridgeRestartV,
    kDisconnectV, kReconnectV, kSunRise, kLivedInRise, kHeatLoss, kShadeBeam, kShadeSky, kHabitsScale, kWarmFoodKg,
    kGhiScale, kClearnessLag1, kNamedSlots
};

}  // namespace ridethrough::engine
