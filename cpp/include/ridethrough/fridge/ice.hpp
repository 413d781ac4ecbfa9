// Ice in a fridge, in lanes: while any is left, a sink at 0 degC behind a conductance G.
//
//   C dT/dt = U (Ta - T) + G (0 - T) + q - Q        L dm/dt = -G T
//
// It melts while the inside is above 0 degC and is left out while it is not: what has melted does not freeze again, and
// what is colder than 0 degC keeps no more cold for it. Both are less help than real ice gives. A segment ends where
// the ice is used up and where the inside meets 0 degC.
#pragma once

#include "ridethrough/fridge/fridge.hpp"

namespace ridethrough::fridge {

// Heat of melting of water at 0 degC: 333.55 kJ/kg, the usual value of handbooks.
constexpr double kMeltingWhPerKg = 333.55 / 3.6;

// The surroundings of a fridge with ice: the sink pulls both equilibria towards its 0 degC, and all goes faster.
template <class V>
RT_INLINE FridgeStep<V> with_ice(const FridgeStep<V>& s, V ua_w_per_k, V ice_w_per_k) {
    const V share = ua_w_per_k / (ua_w_per_k + ice_w_per_k);
    return {share * s.off_equilibrium_c, share * s.on_equilibrium_c, share * s.tau_h};
}

// The inside from a segment's beginning on: held for some hours, then on its way to a temperature.
template <class V>
struct HeldApproach {
    V from_c, target_c, tau_h, held_h;

    RT_INLINE V at(V hours) const {
        return inside_after(from_c, target_c, tau_h, max(hours - held_h, V(typename V::Scalar(0))));
    }
    // Kelvin hours above 0 degC: by the heat balance what the approach has not gone is still to come.
    RT_INLINE V kelvin_hours(V hours) const {
        const V held = min(held_h, hours), moving = hours - held;
        return from_c * held + target_c * moving + tau_h * (from_c - at(hours));
    }
};

// Hours until so many kelvin hours have come together, which they have by `horizon`; the inside is above 0 degC.
template <class V>
RT_INLINE V until_kelvin_hours(const HeldApproach<V>& inside, V kelvin_hours, V horizon) {
    using T = typename V::Scalar;
    const V half(T(0.5)), tiny(T(1e-6));
    V lo(T(0)), hi = horizon, t = half * hi;
    for (int i = 0; i < 14; ++i) {
        const V missing = kelvin_hours - inside.kelvin_hours(t);
        const auto before = missing > V(T(0));
        lo = select(before, t, lo);
        hi = select(before, hi, t);
        const V newton = t + missing / max(inside.at(t), tiny);
        t = select((newton >= lo) & (newton <= hi), newton, half * (lo + hi));
    }
    return t;
}

}  // namespace ridethrough::fridge
