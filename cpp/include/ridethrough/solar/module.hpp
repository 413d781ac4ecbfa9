// A crystalline module's current at a given voltage and its most power, in lanes: single-diode model after De Soto,
// Klein & Beckman 2006 (Solar Energy 80, 78-88), for a module of 36 cells: 100 W, Isc 6.00 A, Voc 21.8 V, Imp 5.56 A,
// Vmp 18.0 V at standard test conditions, 0.05 %/K of Isc, ideality 1.05; five parameters solved from these. The
// name-plate is our own choice of round figures for the kind, from memory: no module is meant that can be bought.
#pragma once

#include "ridethrough/simd/elementary.hpp"
#include "ridethrough/simd/pack.hpp"

namespace ridethrough::solar {

inline constexpr double kModuleA = 0.971179, kModuleLightA = 6.007428, kModuleSaturationA = 1.043487e-9,
                        kModuleSeriesOhm = 0.170117, kModuleShuntOhm = 137.4174, kModuleIscPerK = 0.003;
// Of these five at 1000 W/m2 and 25 degC: most power, and the share of it that a kelvin takes.
inline constexpr double kModuleRatedW = 100.0799582895674, kModuleLossPerK = 0.004903672902358;

template <class V>
struct ModuleState {
    V a, light_a, saturation_a, shunt_s;  // modified ideality [V], currents, conductance [S]
};

// The cells' temperature at which this module has lost what one of another temperature coefficient loses at `cell_c`.
template <class V>
RT_INLINE V equivalent_cell_c(V cell_c, V loss_per_k) {
    using T = typename V::Scalar;
    return V(T(25)) + (cell_c - V(T(25))) * loss_per_k * V(T(1 / kModuleLossPerK));
}

// irradiance > 0 W/m2. dark_share: of the shunt conductance at standard test conditions, what light does not change. De
// Soto's rule has it in proportion to the light, a share of 0; a leak past the cell is there in the dark as well.
template <class V>
RT_INLINE ModuleState<V> module_at(V irradiance_w_m2, V cell_c, V dark_share) {
    using T = typename V::Scalar;
    constexpr double reference_k = 298.15, gap_ev = 1.121, boltzmann_ev_k = 8.617333262e-5;
    const V sun = max(irradiance_w_m2, V(T(1e-3))) * V(T(0.001));
    const V rise = cell_c - V(T(25)), relative = (cell_c + V(T(273.15))) * V(T(1 / reference_k));
    const V gap = V(T(gap_ev)) * (V(T(1)) - V(T(0.0002677)) * rise);
    const V exponent = (V(T(gap_ev)) - gap / relative) * V(T(1 / (boltzmann_ev_k * reference_k)));
    const V shunt = sun + dark_share * (V(T(1)) - sun);
    return {V(T(kModuleA)) * relative, sun * (V(T(kModuleLightA)) + V(T(kModuleIscPerK)) * rise),
            V(T(kModuleSaturationA)) * relative * relative * relative * simd::exp(exponent),
            shunt * V(T(1 / kModuleShuntOhm))};
}

namespace detail {
// Current and its slope over the junction's voltage, which is the terminals' plus that of the series resistance.
template <class V>
RT_INLINE V junction_a(const ModuleState<V>& m, V junction_v, V& slope) {
    const V grown = m.saturation_a * simd::exp(junction_v / m.a);
    slope = -(grown / m.a) - m.shunt_s;
    return m.light_a - (grown - m.saturation_a) - junction_v * m.shunt_s;
}
}  // namespace detail

// Not below 0: the charge controller or its diode blocks the way back.
template <class V>
RT_INLINE V module_current_a(const ModuleState<V>& m, V volts) {
    using T = typename V::Scalar;
    const V ohm{T(kModuleSeriesOhm)}, one{T(1)};
    // Newton on the junction's voltage from its highest, where the curve is steepest: from there no step overshoots.
    V junction = volts + m.light_a * ohm;
    for (int i = 0; i < 8; ++i) {
        V slope;
        const V amps = detail::junction_a(m, junction, slope);
        junction -= (junction - volts - amps * ohm) / (one - slope * ohm);
    }
    V slope;
    return max(detail::junction_a(m, junction, slope), V(T(0)));
}

template <class V>
RT_INLINE V module_open_v(const ModuleState<V>& m) {
    using T = typename V::Scalar;
    // Newton from above both the diode's own and the shunt's own, where no step overshoots.
    V v = min(m.a * simd::log(m.light_a / m.saturation_a + V(T(1))), m.light_a / m.shunt_s);
    for (int i = 0; i < 6; ++i) {
        V slope;
        const V amps = detail::junction_a(m, v, slope);
        v -= amps / slope;
    }
    return v;
}

template <class V>
struct ModulePeak {
    V watts, volts;
};

// The maximum-power point: Newton on dP/dV by the junction's voltage. open: the open voltage.
template <class V>
RT_INLINE ModulePeak<V> module_peak(const ModuleState<V>& m, V open) {
    using T = typename V::Scalar;
    const V ohm{T(kModuleSeriesOhm)}, two{T(2)};
    V v = open - m.a * simd::log(open / m.a + V(T(1)));
    for (int i = 0; i < 5; ++i) {
        V slope;
        const V amps = detail::junction_a(m, v, slope);
        const V bend = (slope + m.shunt_s) / m.a;
        // f = I + I'(V - 2 I Rs), f' = 2 I' - 2 Rs I'^2 + I''(V - 2 I Rs)
        const V inner = v - two * amps * ohm;
        v -= (amps + slope * inner) / (two * slope - two * ohm * slope * slope + bend * inner);
    }
    V slope;
    const V amps = detail::junction_a(m, v, slope);
    return {(v - amps * ohm) * amps, v - amps * ohm};
}

template <class V>
RT_INLINE ModulePeak<V> module_peak(const ModuleState<V>& m) {
    return module_peak(m, module_open_v(m));
}

}  // namespace ridethrough::solar
