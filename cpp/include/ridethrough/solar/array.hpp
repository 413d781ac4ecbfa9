// From light on the array's plane to power at the battery terminals, in lanes.
#pragma once

#include "ridethrough/base/math.hpp"
#include "ridethrough/simd/pack.hpp"
#include "ridethrough/solar/module.hpp"

namespace ridethrough::solar {

template <class V>
struct ArrayTrial {
    V rated_w;
    V light_share;  // left by dirt
    V power_share;  // left by wiring, mismatch, ageing and the regulator
    V shade_beam, shade_sky;
    V rise_k_per_w_m2;
};

// Relative power of a crystalline module at an irradiance and cell temperature: the equation of Huld et al. 2011 with
// the coefficients that Chatzipanagi et al. 2025 (Prog. Photovolt. 33, 905-917) call current. They carry both the
// temperature and the low-light loss.
template <class V>
RT_INLINE V huld_relative(V irradiance_w_m2, V cell_c) {
    using T = typename V::Scalar;
    const V g = irradiance_w_m2 * V(T(0.001)), dt = cell_c - V(T(25));
    const V l = simd::log(max(g, V(T(1e-4))));
    const V factor = V(T(1)) + V(T(-0.017237)) * l + V(T(-0.040465)) * l * l + V(T(-0.004702)) * dt +
                     V(T(0.000149)) * dt * l + V(T(0.000170)) * dt * l * l + V(T(0.000005)) * dt * dt;
    return max(g * factor, V(T(0)));
}

// beam and sky: light on the plane, W/m2, unshaded.
template <class V>
RT_INLINE V light_left(const ArrayTrial<V>& p, V beam, V sky) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1));
    return max(beam, zero) * (one - p.shade_beam) + max(sky, zero) * (one - p.shade_sky);
}

// The light of an hour on an array and what its modules could do with it, whatever the battery's voltage.
template <class V>
struct ArrayLight {
    V on_plane, used;  // W/m2 after shade, and what of it passes the dirt
    V cell_c;
    V peak_w;       // of the modules at their maximum-power point
    V power_share;  // left of that by all that does not depend on the battery
};

template <class V>
RT_INLINE ArrayLight<V> light_on_array(const ArrayTrial<V>& p, V beam, V sky, V air_c) {
    using T = typename V::Scalar;
    const V zero(T(0)), light = light_left(p, beam, sky), used = light * p.light_share;
    const V cell_c = air_c + p.rise_k_per_w_m2 * light;
    if (!any(light > zero)) return {light, used, cell_c, zero, p.power_share};
    return {light, used, cell_c, p.rated_w * huld_relative(used, cell_c), p.power_share};
}

template <class V>
RT_INLINE V array_power_w(const ArrayLight<V>& a) {
    return a.peak_w * a.power_share;
}

// Current of the same array where a PWM regulator holds it at `volts` (of battery and drop): its power at the
// maximum-power point times what the single-diode module gives at that voltage over its own most. `volts_ratio`: of the
// 36-cell module over this one.
template <class V>
RT_INLINE V clamped_current_a(const ArrayLight<V>& a, V volts, V volts_ratio) {
    using T = typename V::Scalar;
    const V zero(T(0)), least(T(2));
    if (!any(a.used > least)) return zero;
    const ModuleState<V> m = module_at(max(a.used, least), a.cell_c);
    const V amps = module_current_a(m, volts * volts_ratio) * volts_ratio / module_peak(m).watts;
    return select(a.used > least, array_power_w(a) * amps, zero);
}

// Share of the power at the maximum-power point that a down-converter still gets where that point lies below the
// battery's voltage: the module then works at battery voltage. open: the module's open voltage.
template <class V>
RT_INLINE V share_above_battery(const ModuleState<V>& m, V open, V battery_v) {
    const V one(typename V::Scalar(1));
    const ModulePeak<V> peak = module_peak(m, open);
    if (!any(peak.volts < battery_v)) return one;
    return select(peak.volts < battery_v, battery_v * module_current_a(m, battery_v) / peak.watts, one);
}

// How the modules of an array stand together under a hard shadow.
struct Strings {
    int modules = 1, substrings = 2;
    bool series = false;
    double module_vmp_v = 18;
};
// Lowest voltage of a string that a regulator can still charge from. From memory.
inline constexpr double kLeastStringV = 15;

// Share of an array's power left when one piece `area` of it has diffuse light only (`diffuse_share` of the full).
// In series the regulator takes the better of two: the touched substrings bypassed, or all at the current of the
// shaded. In parallel a touched module cannot keep the others' voltage on fewer substrings and gives its diffuse only.
template <class V>
RT_INLINE V share_beside_shadow(const Strings& s, V area, V diffuse_share) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1));
    // A thousandth of a part is not touched; round(x + 0.499) is the next whole number above.
    const auto touched = [&](int parts) {
        return min(simd::detail::round_even(area * V(T(parts)) + V(T(0.499))) * V(T(1) / T(parts)), one);
    };
    if (!s.series && s.modules > 1) return one - touched(s.modules) * (one - diffuse_share);
    if (s.substrings == 0) return select(touched(s.modules) > zero, diffuse_share, one);
    const V bypassed = one - touched(s.modules * s.substrings);
    const V volts = bypassed * V(T(s.modules * s.module_vmp_v));
    return max(select(volts >= V(T(kLeastStringV)), bypassed, zero), diffuse_share);
}

}  // namespace ridethrough::solar
