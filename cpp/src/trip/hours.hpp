// Hours of a trip, laid into its steps. Internal to the layer.
#pragma once

#include <vector>

#include "tables.hpp"

namespace ridethrough::trip {

// The plan's steps and days, on the clock.
void lay_clock(const ClockSteps& steps, Draft& draft);
// Marks the hours [from, from + length) after midnight of day 0, on the start's clock, in the steps that they touch:
// where in each step they begin and end. False where they lie outside the trip.
bool mark_hours(const engine::Plan<double>& plan, double from_h, double length_h, std::vector<double>& spans);

}  // namespace ridethrough::trip
