// When things happen on a trip: its intervals, and the same step by step for the kernel. Internal to the layer.
#pragma once

#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/trip/clock.hpp"
#include "ridethrough/trip/interval.hpp"

namespace ridethrough::trip {

struct Schedule {
    std::vector<Interval> intervals;  // in the order of time
    // [steps][2] hours within the step in which it begins and ends; none where equal. Idle and generator: empty for
    // none.
    std::vector<double> drive, powered, idle, generator;
    std::vector<double> warm_food;              // [steps] 1 where warm food goes in
    std::vector<double> battery_rise_k;         // [steps] of the engine's heat around the battery; empty for none
    std::vector<double> stationary;             // [days of the clock] 1 where nothing is driven
    std::vector<unsigned char> water_refilled;  // [days of the clock] filled and emptied that morning
    double storage_days = 0;                    // before the trip, on average
};

// InputError where something is planned that the van cannot do; what lies outside the trip is warned of.
Schedule compile_schedule(const config::Configuration& van, const config::Configuration& trip, const ClockSteps& steps,
                          std::vector<std::string>& warnings);

}  // namespace ridethrough::trip
