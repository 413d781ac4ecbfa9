// What age does to a battery. From memory: health of 5-year-old batteries; resistance of old AGM is two to three times
// that of new ones.
#pragma once

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::battery {

// Share of the rated capacity that is left: from the spread of a new one in a straight line through .55/.75/.90 (AGM)
// or .85/.92/.98 (lithium) at 5 years.
config::Spread aged_health(bool lithium, double years);
// Resistance of a 100 Ah battery, mohm: that of a new one times 1 + years / 5, at most 3 (AGM), or 1 + years / 20.
config::Spread aged_resistance_mohm(bool lithium, double years);

}  // namespace ridethrough::battery
