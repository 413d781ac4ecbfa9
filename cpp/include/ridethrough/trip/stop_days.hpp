// Days at several places, for the kernel: whose climate a day has and whose shade an hour.
#pragma once

#include "ridethrough/random/parameters.hpp"
#include "ridethrough/weather/generator.hpp"

namespace ridethrough::trip {

// Null pointers: one place throughout.
struct StopDays {
    const random::ParameterIndex* shade = nullptr;       // [hours of all days][2] of the beam and of the sky
    const random::ParameterIndex* lag = nullptr;         // [drawn days] the clearness' persistence
    const random::ParameterIndex* scale = nullptr;       // [drawn days] the climate's error
    const double* air_lag1 = nullptr;                    // [drawn days]
    const random::ParameterIndex* air_offset = nullptr;  // [drawn days] the error of its temperature, K
};

// weather::daily_weather with each day's own climate. The scores carry over: a spell goes with the van.
template <class T, class V>
RT_INLINE void weather_of_stops(const weather::WeatherView<T>& w, const StopDays& stops, random::Parameters<V> x,
                                const std::uint64_t* clearness_draws, const std::uint64_t* temperature_draws,
                                V* clearness, V* air_mean_c) {
    weather::DayScores<V> s{V(T(0)), V(T(0))};
    for (int d = 0; d < w.days; ++d) {
        const weather::WeatherInputs<V> in{x[stops.lag[d]], V(T(stops.air_lag1[d])), x[stops.scale[d]],
                                           x[stops.air_offset[d]]};
        weather::next_scores(w, d, in, random::normal_of<V>(clearness_draws + d * V::width),
                             random::normal_of<V>(temperature_draws + d * V::width), s);
        clearness[d] = weather::day_clearness(w, d, in, s.clearness);
        air_mean_c[d] = weather::day_air_mean(w, d, in, s.air);
    }
}

}  // namespace ridethrough::trip
