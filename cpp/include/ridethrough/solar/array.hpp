// From light on the array's plane to power at the battery posts, in lanes.
#pragma once

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/pack.hpp"

namespace ridethrough::solar {

template <class V>
struct ArrayTrial {
    V rated_w;
    V light_share;   // left by dirt
    V power_share;   // left by wiring, mismatch, ageing and the regulator
    V shade_beam, shade_sky;
    V rise_k_per_w_m2;
};

// Relative power of a crystalline module at an irradiance and cell temperature: Huld et al. 2011, whose coefficients
// carry both the temperature and the low-light loss.
template <class V>
RT_INLINE V huld_relative(V irradiance_w_m2, V cell_c) {
    using T = typename V::Scalar;
    const V g = irradiance_w_m2 * V(T(0.001)), dt = cell_c - V(T(25));
    const V l = base::log(max(g, V(T(1e-4))));
    const V factor = V(T(1)) + V(T(-0.017237)) * l + V(T(-0.040465)) * l * l + V(T(-0.004702)) * dt +
                     V(T(0.000149)) * dt * l + V(T(0.000170)) * dt * l * l + V(T(0.000005)) * dt * dt;
    return max(g * factor, V(T(0)));
}

// beam and sky: light on the plane, W/m2, unshaded.
template <class V>
RT_INLINE V array_power_w(const ArrayTrial<V>& p, V beam, V sky, V air_c) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1));
    const V light = max(beam, zero) * (one - p.shade_beam) + max(sky, zero) * (one - p.shade_sky);
    if (!any(light > zero)) return zero;
    const V cell_c = air_c + p.rise_k_per_w_m2 * light;
    return p.rated_w * huld_relative(light * p.light_share, cell_c) * p.power_share;
}

}  // namespace ridethrough::solar
