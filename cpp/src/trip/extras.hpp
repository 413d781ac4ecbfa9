// From declared fridge parts and storage to the kernel's options, and a check of latches. Internal to compile.cpp.
#pragma once

#include "lent.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/trip/compile.hpp"
#include "ridethrough/engine/plan.hpp"

namespace ridethrough::trip {

constexpr double kUprightLeak = 1.08, kUprightDoors = 2;  // against a chest, see Fridge.form

fridge::FridgeOptions<double> fridge_options(const config::Record& fridge, const SlotAt& slot_at);

// `first_day`: of the trip, as sun::day_number has it.
engine::StoragePlan<double> storage_plan(const config::Record& storage, const config::Record& climate, int first_day, bool lithium,
                                 const SlotAt& slot_at);

// InputError where in some trial a restart voltage would not be above its cut-out's.
void require_above(const SlotDraw& restart, const SlotDraw& cutout);

}  // namespace ridethrough::trip
