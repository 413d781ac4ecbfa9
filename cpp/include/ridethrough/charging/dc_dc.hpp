// A DC-DC charger behind its cable, in lanes.
#pragma once

#include "ridethrough/base/nominal_volts.hpp"
#include "ridethrough/charging/alternator.hpp"
#include "ridethrough/charging/model.hpp"
#include "ridethrough/simd/pack.hpp"

namespace ridethrough::charging {

// Voltage at the input of a charger that takes constant power over a cable; 0 where the cable cannot carry it.
template <class V>
RT_INLINE V supply_input_v(V alternator_v, V supply_mohm, V input_w) {
    using T = typename V::Scalar;
    const V left = alternator_v * alternator_v - V(T(0.004)) * supply_mohm * input_w;
    const V input_v = V(T(0.5)) * (alternator_v + simd::sqrt(simd::max(left, V(T(0)))));
    return simd::select(left > V(T(0)), input_v, V(T(0)));
}

// The alternator's voltage from which that charger's input is at `input_v` or above.
template <class V>
RT_INLINE V least_alternator_v(V supply_mohm, V input_w, V input_v) {
    using T = typename V::Scalar;
    const V watt_ohm = V(T(0.001)) * supply_mohm * input_w;  // below the root of it the cable carries less
    const V lowest_v = simd::max(input_v, simd::sqrt(watt_ohm));
    return lowest_v + watt_ohm / lowest_v;
}

// Share of its current that the DC-DC charger gives which is asked for `wanted_a`, on average over the alternator's
// swing. It starts where its input without load, the alternator's voltage, is at the restart level, and holds while its
// input under load is above lock-out. What is between the two finds it as it was before: it comes from above with the
// chance that those have. Where it starts and cannot hold, it gives its cycling share.
template <class V>
RT_INLINE V dc_dc_share(const AlternatorModel& m, random::Parameters<V> x, V wanted_a) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1));
    const V input_w = wanted_a * V(T(base::kNominalDcDcOutputV)) / x[m.efficiency];
    const V holds_v = least_alternator_v(x[m.supply_mohm], input_w, x[m.lockout_v]);
    const V starts_v = m.restart_v ? x[m.restart_v] : x[m.lockout_v] + V(T(kRestartAboveLockoutV));
    const Alternator<V> alternator{x[m.alternator_v], x[m.swing_v]};
    const V starts = alternator.share_from(simd::max(starts_v, holds_v)), drops = one - alternator.share_from(holds_v);
    const V cycles = simd::max(alternator.share_from(starts_v) - starts, zero);
    return starts / simd::max(starts + drops, V(T(1e-30))) + x[m.cycling_share] * cycles;
}

}  // namespace ridethrough::charging
