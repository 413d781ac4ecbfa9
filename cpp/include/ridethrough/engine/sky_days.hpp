// The weather of a trial, by the days of the sky (time that passes) and as a day of the clock meets it.
#pragma once

#include "ridethrough/engine/plan_view.hpp"

namespace ridethrough::engine {

template <class V>
class SkyDays {
    using T = typename V::Scalar;

  public:
    SkyDays(const PlanView<T>& view, random::Draws<V> draws, const V* clearness, const V* air_mean_c,
            const std::int32_t* replay_start)
        : view_(view),
          plan_(view.plan),
          draws_(draws),
          clearness_(clearness),
          air_mean_c_(air_mean_c),
          replay_start_(replay_start) {}

    // Of a day of the sky; holds until another is asked for, of two days that the clock lies across until a third is.
    RT_INLINE const weather::HourlyWeather<V>& day(int d) {
        const int at = plan_.sky_hour ? d & 1 : 0;
        if (held_[at] != d) make(d, weather_[at]);
        held_[at] = d;
        return weather_[at];
    }
    // Clearness, sun and air by the hours of a day of the clock; nothing else where these are not the sky's.
    RT_INLINE const weather::HourlyWeather<V>& clock_day(int d) { return plan_.sky_hour ? met_on(d) : day(d); }

  private:
    void make(int d, weather::HourlyWeather<V>& out) const {
        if (plan_.replay) {
            weather::replay_weather(view_.skies.replay, d, replay_start_, out);
            return;
        }
        const int before = d > 0 ? d - 1 : 0;
        weather::hourly_weather(view_.skies.weather, d, clearness_[d], air_mean_c_[before], air_mean_c_[d],
                                air_mean_c_[d + 1], draws_.at(plan_.weather.cloud, d), out);
    }
    const weather::HourlyWeather<V>& met_on(int d) {
        const int* hour = plan_.sky_hour + 24 * d;
        for (int h = 0; h < 24; ++h) {
            const weather::HourlyWeather<V>& w = day(hour[h] / 24);
            met_.air[h] = w.air[hour[h] % 24];
            met_.ghi[h] = w.ghi[hour[h] % 24];
            met_.direct[h] = w.direct[hour[h] % 24];
            met_.diffuse[h] = w.diffuse[hour[h] % 24];
            if (h == 12) met_.clearness = w.clearness;
        }
        return met_;
    }

    const PlanView<T>& view_;
    const trip::Plan& plan_;
    random::Draws<V> draws_;
    const V *clearness_, *air_mean_c_;
    const std::int32_t* replay_start_;
    int held_[2] = {-1, -1};
    weather::HourlyWeather<V> weather_[2], met_;
};

}  // namespace ridethrough::engine
