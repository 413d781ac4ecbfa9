// Air in the cabin without a heater, in lanes: warmer than outdoors by the people's heat and by the sun.
#pragma once

#include "ridethrough/random/parameters.hpp"

namespace ridethrough::cabin {

struct AirModel {
    random::ParameterIndex sun_rise_k_per_w_m2, lived_in_rise_k, heat_loss_w_per_k;
};

template <class V>
RT_INLINE V unheated_c(const AirModel& m, random::Parameters<V> x, V outdoor_c, V ghi_w_m2) {
    return outdoor_c + x[m.sun_rise_k_per_w_m2] * ghi_w_m2 + x[m.lived_in_rise_k];
}

}  // namespace ridethrough::cabin
