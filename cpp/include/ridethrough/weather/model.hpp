// What a trip's weather is made of, as compiled: its draws and the numbers of its climate.
#pragma once

#include "ridethrough/random/parameters.hpp"

namespace ridethrough::weather {

struct Model {
    random::DrawIndex clearness, temperature, cloud;  // 1, 1 and 24 a day
    random::ParameterIndex ghi_scale, clearness_lag1, air_temp_offset_k;
    double air_temp_lag1 = 0;
};

}  // namespace ridethrough::weather
