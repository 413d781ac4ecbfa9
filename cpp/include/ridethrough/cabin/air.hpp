// Air in the cabin, in lanes. Sun, people and a heater warm it; its walls cool it, and where it gets hot so do the
// windows, which people open and leave partly open to sleep, and the roof fan. One node: C dT/dt = gains - UA (1 + v)
// (T - outdoors), by its exponential over a step with the ventilation v held.
#pragma once

#include "ridethrough/random/parameters.hpp"
#include "ridethrough/simd/elementary.hpp"
#include "ridethrough/simd/pack.hpp"

namespace ridethrough::cabin {

// By which the cabin's temperature before the first step is found, to some thousandths of a kelvin. Own choice.
constexpr int kSettlingHalvings = 14;

struct AirModel {
    random::ParameterIndex sun_rise_k_per_w_m2, person_heat_w, heat_loss_w_per_k, lag_h;  // shut
    random::ParameterIndex window_ventilation;
    double persons = 2;  // none: parked, with nobody to open a window or to let the fan run
    double open_above_c = 24, wide_above_c = 30, open_at_night = 0.5, open_when_out = 0.25;
    double out_from_h = 24, out_to_h = 24, out_share = 0;
};

// Share of a device that follows the heat: none at one temperature, all at another.
template <class V>
RT_INLINE V share_between(V cabin_c, double none_c, double all_c) {
    using T = typename V::Scalar;
    return simd::clamp((cabin_c - V(T(none_c))) * V(T(1 / (all_c - none_c))), V(T(0)), V(T(1)));
}

template <class V>
RT_INLINE typename V::Bool out_hours(const AirModel& m, V clock_h) {
    using T = typename V::Scalar;
    return (clock_h >= V(T(m.out_from_h))) & (clock_h < V(T(m.out_to_h)));
}

// Kelvins over the outdoor air at which the shut cabin would settle without a heater, at a clock hour.
template <class V>
RT_INLINE V shut_rise_k(const AirModel& m, random::Parameters<V> x, V clock_h, V ghi_w_m2) {
    using T = typename V::Scalar;
    const V persons = simd::select(out_hours(m, clock_h), V(T(m.persons * (1 - m.out_share))), V(T(m.persons)));
    return x[m.sun_rise_k_per_w_m2] * ghi_w_m2 + persons * x[m.person_heat_w] / x[m.heat_loss_w_per_k];
}

// Windows at a cabin temperature, in parts of the walls' heat loss.
template <class V>
RT_INLINE V windows_at(const AirModel& m, random::Parameters<V> x, V cabin_c, typename V::Bool waking, V clock_h) {
    using T = typename V::Scalar;
    if (!(m.persons > 0)) return V(T(0));
    const V open = x[m.window_ventilation] * share_between(cabin_c, m.open_above_c, m.wide_above_c);
    const V by_day = simd::select(out_hours(m, clock_h), V(T(1 - m.out_share * (1 - m.open_when_out))), V(T(1)));
    return open * simd::select(waking, by_day, V(T(m.open_at_night)));
}

// A step of the cabin's temperature towards where it would settle.
template <class V>
struct AirStep {
    V tau_h, kept, mean_kept;  // time constant; of the distance to it: at the step's end, and on its mean

    RT_INLINE V mean(V from_c, V settles_c) const { return settles_c + (from_c - settles_c) * mean_kept; }
    RT_INLINE V end(V from_c, V settles_c) const { return settles_c + (from_c - settles_c) * kept; }
};
template <class V>
RT_INLINE AirStep<V> air_step(const AirModel& m, random::Parameters<V> x, V ventilation, typename V::Scalar step_h) {
    const V one(typename V::Scalar(1)), tau_h = x[m.lag_h] / (one + ventilation), passed = V(step_h) / tau_h;
    const V lost = -simd::expm1(-passed);
    return {tau_h, one - lost, lost / passed};
}

}  // namespace ridethrough::cabin
