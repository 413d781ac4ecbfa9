// Shade where the van stands, and the weeks before the trip. Internal to the layer.
#pragma once

#include "ridethrough/random/parameter_table.hpp"
#include "ridethrough/trip/storage.hpp"

namespace ridethrough::trip {

struct SiteShade {
    random::ParameterIndex beam, sky;
};
// As given, or of the kind of place that Trip.surroundings names.
SiteShade compile_shade(const config::Configuration& trip, random::ParameterTable& table);
// What Trip says of shade twice is an InputError.
void check_shade(const config::Configuration& trip);

// `first_day`: of the trip, as sun::day_number has it; `mean_days`: of standing before it, as the schedule has them.
StorageModel compile_storage(const config::Configuration& storage, const config::Configuration& climate, int first_day,
                             double mean_days, double self_discharge_per_month, random::ParameterTable& table);

}  // namespace ridethrough::trip
