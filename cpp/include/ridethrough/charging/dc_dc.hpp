// A DC-DC charger behind its cable, in lanes.
#pragma once

#include "ridethrough/base/nominal_volts.hpp"
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

// Output current of the DC-DC charger that is asked for `wanted_a`. The input voltage under load decides whether it
// holds. With a restart level it must also be able to start: without load its input is at the alternator's voltage. One
// that starts and drops out goes on cycling, and gives its cycling share.
template <class V>
RT_INLINE V dc_dc_current_a(const AlternatorModel& m, random::Parameters<V> x, V wanted_a) {
    using T = typename V::Scalar;
    const V zero(T(0));
    const V input_w = wanted_a * V(T(base::kNominalDcDcOutputV)) / x[m.efficiency];
    const V input_v = supply_input_v(x[m.alternator_v], x[m.supply_mohm], input_w);
    const auto holds = (input_v > zero) & (input_v >= x[m.lockout_v]);
    V amps = simd::select(holds, wanted_a, zero);
    if (m.restart_v) {
        const V cycling = V(T(m.cycling_share)) * wanted_a;
        amps = simd::select(x[m.alternator_v] >= x[m.restart_v], simd::select(holds, wanted_a, cycling), zero);
    }
    return amps;
}

}  // namespace ridethrough::charging
