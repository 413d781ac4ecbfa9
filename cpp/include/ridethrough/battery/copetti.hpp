// Overvoltages and charge losses of vented lead-acid cells, in lanes: Copetti, Lorenzo & Chenlo 1993.
#pragma once

#include "ridethrough/simd/elementary.hpp"

namespace ridethrough::battery {

using simd::clamp;
using simd::max;
using simd::min;

// Per cell, at the state of charge of their larger capacity (1.67 of the 10-hour one).
template <class V>
RT_INLINE V copetti_charge_state(V relative) {
    using T = typename V::Scalar;
    return clamp(V(T(1)) - V(T(0.63)) * (V(T(1)) - relative), V(T(0.2)), V(T(0.985)));
}
// Overvoltage of discharge, V per cell, at I amperes of a 100 Ah battery.
template <class V>
RT_INLINE V copetti_discharge_overvoltage(V i100, V state, V temp_c) {
    using T = typename V::Scalar;
    const V one(T(1));
    const V rate = V(T(4)) / (one + simd::pow(max(i100, V(T(1e-6))), V(T(1.3))));
    const V depth = V(T(0.27)) / (state * sqrt(state));
    return i100 * V(T(0.01)) * (rate + depth + V(T(0.02))) * (one - V(T(0.007)) * (temp_c - V(T(25))));
}
// Slope of the charging overvoltage with current, ohm per cell of a 100 Ah battery; its bounded remainder is below.
template <class V>
RT_INLINE V copetti_charge_slope(V state, V temp_c) {
    using T = typename V::Scalar;
    const V one(T(1));
    return V(T(0.01)) * (V(T(0.48)) * simd::pow(one - state, V(T(-1.2))) + V(T(0.036))) *
           (one - V(T(0.025)) * (temp_c - V(T(25))));
}
template <class V>
RT_INLINE V copetti_charge_remainder(V i100) {
    using T = typename V::Scalar;
    const V i = max(i100, V(T(1e-6)));
    return V(T(0.06)) * i / (V(T(1)) + simd::pow(i, V(T(0.86))));
}
// Ah stored per Ah charged: near one below 70 % and falling towards full.
template <class V>
RT_INLINE V copetti_coulombic(V relative, V i10) {
    using T = typename V::Scalar;
    return V(T(1)) - simd::exp(V(T(20.73)) * (min(relative, V(T(1))) - V(T(1))) / (i10 + V(T(0.55))));
}

}  // namespace ridethrough::battery
