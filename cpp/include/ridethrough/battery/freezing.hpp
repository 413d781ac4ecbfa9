// When a lead-acid battery's electrolyte freezes: the emptier, the sooner.
#pragma once

#include "ridethrough/simd/pack.hpp"

namespace ridethrough::battery {

// Freezing point at a share of full charge: -10 degC empty, -16, -25, -38 at a quarter, half, three quarters, -57 full
// (densities 1.12 to 1.265). Battery handbooks, from memory; vented cells.
template <class V>
RT_INLINE V freezing_c(V charge) {
    using T = typename V::Scalar;
    const V zero(T(0)), c = simd::clamp(charge, zero, V(T(1)));
    return V(T(-10)) - V(T(24)) * c - V(T(12)) * simd::max(c - V(T(0.25)), zero) -
           V(T(16)) * simd::max(c - V(T(0.5)), zero) - V(T(24)) * simd::max(c - V(T(0.75)), zero);
}
// No charge freezes above this.
constexpr double kWarmestFreezingC = -10;

}  // namespace ridethrough::battery
