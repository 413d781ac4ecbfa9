// Days at several places, for the kernel: whose climate a day has and whose shade an hour.
#pragma once

#include "ridethrough/weather/generator.hpp"

namespace ridethrough::engine {

// Null pointers: one place throughout.
template <class T>
struct StopDays {
    const int* shade_slot = nullptr;  // [hours of all days][2] slots of the beam's and the sky's shade
    const int* lag_slot = nullptr;    // [drawn days] slots of the clearness' persistence
    const int* scale_slot = nullptr;  // [drawn days] slots of the climate's error
    const T* air_lag1 = nullptr;      // [drawn days]
};

// weather::daily_weather with each day's own climate. The scores carry over: a spell goes with the van.
template <class T, class V>
RT_INLINE void weather_of_stops(const weather::WeatherView<T>& w, const StopDays<T>& stops, const V* x,
                                const std::uint64_t* clearness_words, const std::uint64_t* temperature_words,
                                V* clearness, V* air_mean_c) {
    weather::DayScores<V> s{V(T(0)), V(T(0))};
    for (int d = 0; d < w.days; ++d) {
        const weather::WeatherInputs<V> in{x[stops.lag_slot[d]], V(stops.air_lag1[d]), x[stops.scale_slot[d]]};
        weather::next_scores(w, d, in, random::normal_of<V>(clearness_words + d * V::width),
                             random::normal_of<V>(temperature_words + d * V::width), s);
        clearness[d] = weather::day_clearness(w, d, in, s.clearness);
        air_mean_c[d] = weather::day_air_mean(w, d, s.air);
    }
}

}  // namespace ridethrough::engine
