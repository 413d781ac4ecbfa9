// Heat balance of a compressor fridge in lanes: one node for air and contents, exact exponentials between the
// thermostat's switches. Temperatures in degC, heat in W and Wh, time in h.
#pragma once

#include "ridethrough/base/math.hpp"
#include "ridethrough/simd/pack.hpp"

namespace ridethrough::fridge {

using simd::any;
using simd::max;
using simd::min;
using simd::select;

constexpr double kEvaporatorC = -12, kCondenserRiseK = 13;  // own choice, typical

template <class V>
struct FridgeTrial {
    V ua_w_per_k;
    V capacity_wh_per_k;
    V compressor_w;
    V carnot_share;
    V carnot_share_loss_per_k;
    V vent_rise_k;
    V low_c, high_c;  // the thermostat switches here
    V evaporator_k = V(typename V::Scalar(kEvaporatorC + 273.15));
    V lift_k = V(typename V::Scalar(kCondenserRiseK - kEvaporatorC));  // condenser's rise less the evaporator
};

// What holds for one step: the fridge's surroundings.
template <class V>
struct FridgeStep {
    V off_equilibrium_c;  // temperature it would reach with the compressor off
    V on_equilibrium_c;   // and with it on
    V tau_h;
};

// Coefficient of performance with the air around the fridge at a temperature.
template <class V>
RT_INLINE V performance(const FridgeTrial<V>& p, V around_c) {
    using T = typename V::Scalar;
    const V lift = max(around_c + p.lift_k, V(T(10)));
    const V zero(T(0)), lost = p.carnot_share_loss_per_k * max(around_c - V(T(20)), zero);
    const V share = p.carnot_share * max(V(T(1)) - lost, zero);
    return share * p.evaporator_k / lift;
}

// heat_w: from doors and warm food. The box stands in the cabin; only the condenser feels the vent's rise.
template <class V>
RT_INLINE FridgeStep<V> surroundings(const FridgeTrial<V>& p, V cabin_c, V heat_w) {
    const V cooling_w = p.compressor_w * performance(p, cabin_c + p.vent_rise_k);
    FridgeStep<V> s;
    s.off_equilibrium_c = cabin_c + heat_w / p.ua_w_per_k;
    s.on_equilibrium_c = s.off_equilibrium_c - cooling_w / p.ua_w_per_k;
    s.tau_h = p.capacity_wh_per_k / p.ua_w_per_k;
    return s;
}

// Hours until the inside gets from one temperature to another on its way to `target_c`; a large number where never.
template <class V>
RT_INLINE V hours_until(V from_c, V to_c, V target_c, V tau_h) {
    using T = typename V::Scalar;
    const V ratio = (from_c - target_c) / (to_c - target_c);
    const auto reached = ratio > V(T(1));
    return select(reached, tau_h * simd::log(select(reached, min(ratio, V(T(1e30))), V(T(2)))), V(T(1e6)));
}

template <class V>
RT_INLINE V inside_after(V from_c, V target_c, V tau_h, V hours) {
    return target_c + (from_c - target_c) * simd::exp(-hours / tau_h);
}

// Hours of a segment spent above a temperature, given that the inside moves one way within it.
template <class V>
RT_INLINE V hours_above(V level_c, V from_c, V to_c, V target_c, V tau_h, V hours) {
    using T = typename V::Scalar;
    const V zero(T(0));
    const auto starts = from_c > level_c, ends = to_c > level_c;
    V above = select(starts & ends, hours, zero);
    const auto crosses = (starts & !ends) | (ends & !starts);
    if (any(crosses)) {
        const V until = min(hours_until(from_c, level_c, target_c, tau_h), hours);
        const V at = select((from_c >= level_c) & !starts, zero, until);  // it begins at the level and rises
        above = select(crosses, select(starts, at, hours - at), above);
    }
    return above;
}

}  // namespace ridethrough::fridge
