// The vehicle's alternator, whose voltage swings within minutes, in lanes.
#pragma once

#include "ridethrough/simd/pack.hpp"

namespace ridethrough::charging {

// Even between `swing_v` under and over the day's level; without a swing it stays there. Own choice: a smart alternator
// prefers the two ends, a conventional one the middle.
template <class V>
struct Alternator {
    using T = typename V::Scalar;
    V level_v, swing_v;

    // Share of the time for which it is at a voltage or above.
    RT_INLINE V share_from(V volts) const {
        const V zero(T(0)), one(T(1));
        const V share = simd::clamp((level_v + swing_v - volts) / range_v(), zero, one);
        return simd::select(swing_v > zero, share, simd::select(level_v >= volts, one, zero));
    }
    // Mean of it where it is above a voltage and of that voltage elsewhere; where it never crosses it, its own level.
    RT_INLINE V mean_above(V volts) const {
        const V above_v = level_v + swing_v - volts;
        const auto crosses = simd::abs(level_v - volts) < swing_v;
        return simd::select(crosses, volts + V(T(0.5)) * above_v * above_v / range_v(), level_v);
    }

  private:
    RT_INLINE V range_v() const { return simd::max(swing_v + swing_v, V(T(1e-9))); }
};

}  // namespace ridethrough::charging
