// What can hurt somebody in a van or a plan, shown where it was chosen; and what no probability is given for.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::trip {

inline constexpr std::string_view kPlanningAid =
    "A planning aid, no guarantee: not an electrical design, a compliance check or a medical device. "
    "Carry a back-up for anything that must not warm up or stop.";
inline constexpr std::string_view kCarbonMonoxide =
    "Carbon monoxide kills unnoticed: never run an engine or a generator in or beside a closed space, nor near an open "
    "door, window or vent, and keep a carbon monoxide alarm that works.";
inline constexpr std::string_view kLeadAcidInside =
    "Lead-acid in the living space, a sealed AGM too, can give off explosive gas: its box must be vented to the "
    "outside.";
inline constexpr std::string_view kLithiumInside = "Lithium in the living space: only where the local code allows it.";
inline constexpr std::string_view kMedicine =
    "No figure here clears a medicine for use: keep an independent, tested back-up, measure where it lies, and ask a "
    "pharmacist about anything that froze or got warm.";

// Sentences for a verdict on this van and trip; loads that people depend on are named, never judged.
std::vector<std::string> cautions(const config::Configuration& van, const config::Configuration& trip);

// InputError where a load's name says that it keeps somebody breathing or gives oxygen: lives hang on these from minute
// to minute, so that no trial is run for them and no probability can be had. Names are UTF-8, with or without marks on
// their letters, whole or combining.
void refuse_life_support(std::span<const std::string> load_names);

}  // namespace ridethrough::trip
