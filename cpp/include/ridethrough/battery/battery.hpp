// A 12 V battery in lanes: two wells of charge, a table of the open-circuit voltage read at the available well,
// resistance and one polarisation voltage. All chemistries are the same equations with other numbers and laws. Charge
// in Ah, time in h, discharge current positive.
#pragma once

#include "ridethrough/battery/copetti.hpp"
#include "ridethrough/battery/model.hpp"

namespace ridethrough::battery {

template <class V>
struct BatteryState {
    V q_ah;                  // sum of both wells
    V height_difference_ah;  // available of the available well minus available of the bound one
    V polarisation_v;        // lowers the terminal voltage when positive, raises it (surface charge) when negative
    V temp_c;
};

template <class V>
RT_INLINE V available_charge(const Battery<V>& p, const BatteryState<V>& s) {
    using T = typename V::Scalar;
    return (s.q_ah + V(T(1) - p.wells.c) * s.height_difference_ah) / p.q_max_ah;
}

// Share of the capacity that is there at the battery's temperature.
template <class V>
RT_INLINE V capacity_factor(const Battery<V>& p, V temp_c) {
    using T = typename V::Scalar;
    V factor = V(T(1)) - (V(T(1)) - p.capacity_factor_0c) * p.cold(temp_c);
    if (p.laws.slow_in_cold) factor -= p.deep_cold_loss * max(-temp_c, V(T(0))) * V(T(1.0 / 20));
    return max(factor, V(T(0.3)));
}

// Resistance and polarisation at a temperature, over those at 25 degC; no less than these in the heat.
template <class V>
RT_INLINE V slowness(const Battery<V>& p, V temp_c) {
    using T = typename V::Scalar;
    if (!p.laws.slow_in_cold) return V(T(1));
    return simd::exp(p.slowness_per_k * max(V(T(25)) - temp_c, V(T(0))));
}

// How far it is into the last tenth of its charge: 0 above, 1 where it is empty.
template <class V>
RT_INLINE V last_tenth(V available) {
    using T = typename V::Scalar;
    return clamp(V(T(1)) - V(T(10)) * available, V(T(0)), V(T(1)));
}

// Voltage behind resistance and polarisation. A cold battery under load is empty before its wells are: the table is
// read at the available above (1 - factor); the correction fades out at rest (load share 0 to 1).
template <class V>
RT_INLINE V source_voltage(const Battery<V>& p, V available, V factor, V load_share) {
    using T = typename V::Scalar;
    const V cold_available = (available - (V(T(1)) - factor)) / factor;
    // Far below empty the table means nothing; every cut-out has acted by then.
    V volts = p.open_circuit_v(available + load_share * (cold_available - available)) + p.offset_v;
    if (p.end_of_discharge_drop_v > T(0))  // the table has it, as under load
        volts += (V(T(1)) - load_share) * V(p.end_of_discharge_drop_v) * last_tenth(available);
    return max(volts, V(T(6)));
}

// What an AGM shows of the losses that were fitted to vented cells is one share, `polarisation`, for the overvoltages
// and for the charge that is not stored. The slope holds up to gassing only; nearer to full the acceptance law rules.
constexpr double kGassingState = 0.9;

template <class V>
RT_INLINE V agm_charge_ohm(const Battery<V>& p, V relative, V temp_c) {
    using T = typename V::Scalar;
    const V state = min(copetti_charge_state(relative), V(T(kGassingState)));
    return p.resistance_ohm + V(T(600)) * p.polarisation * copetti_charge_slope(state, temp_c) / p.capacity_ah;
}
template <class V>
RT_INLINE V agm_stored_share(const Battery<V>& p, V relative, V i10) {
    using T = typename V::Scalar;
    return V(T(1)) - min(p.polarisation, V(T(1))) * (V(T(1)) - max(copetti_coulombic(relative, i10), V(T(0.1))));
}

// Largest mean current into the wells over h hours that leaves the available well no more than full.
template <class V>
RT_INLINE V well_charge_limit(const Battery<V>& p, const BatteryState<V>& s, V hours) {
    using T = typename V::Scalar;
    const V decay = simd::exp(-V(p.wells.k) * hours);
    const V room = p.q_max_ah - s.q_ah - V(T(1) - p.wells.c) * s.height_difference_ah * decay;
    return max(room, V(T(0))) / (hours + V((T(1) - p.wells.c) / (p.wells.c * p.wells.k)) * (V(T(1)) - decay));
}

// A C rate, or the share of the missing charge that is accepted an hour where the chargers hold `set_v`. Acceptance is
// declared for 14.4 V at 25 degC. It rises with a power of what the voltage is above the open-circuit voltage, and
// falls exponentially in the cold. A higher voltage and heat help it to at most half as much again (own choice).
constexpr double kAcceptanceV = 14.4, kMostWilling = 1.5;

template <class V>
RT_INLINE V acceptance_rate(const Battery<V>& p, V relative, V temp_c, V set_v) {
    using T = typename V::Scalar;
    if (p.laws.rate_limited) return p.acceptance;
    const V rest_v = p.open_circuit_v(relative) + p.offset_v;
    const V over = max(set_v - rest_v, V(T(1e-3))) / max(V(T(kAcceptanceV)) - rest_v, V(T(0.1)));
    const V willing = simd::exp(p.acceptance_exponent * simd::log(over) + p.acceptance_per_k * (temp_c - V(T(25))));
    return p.acceptance * min(willing, V(T(kMostWilling)));
}

// Mean terminal current that the battery accepts over h hours, voltage limit apart; `acceptance` as of the above.
template <class V>
RT_INLINE V acceptance_a(const Battery<V>& p, const BatteryState<V>& s, V acceptance, V coulombic, V hours) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1));
    V limit = well_charge_limit(p, s, hours) / coulombic;
    const V missing = max(p.q_max_ah - s.q_ah, zero);
    if (p.laws.rate_limited) {
        const V near_full = clamp((one - s.q_ah / p.q_max_ah) * V(T(20)), zero, one);
        const V cold =
            clamp((s.temp_c - V(p.charge_block_c)) * V(T(1) / (p.charge_full_c - p.charge_block_c)), zero, one);
        const V hot = clamp((V(p.hot_block_c) - s.temp_c) * V(T(1) / (p.hot_block_c - p.hot_reduce_c)), zero, one);
        limit = min(limit, acceptance * p.capacity_ah * near_full * cold * hot);
    } else {
        const V rate = acceptance * coulombic;  // of the wells' own exponential approach to full
        limit = min(limit, missing * (one - simd::exp(-rate * hours)) / (hours * coulombic));
    }
    return max(limit, zero);
}

// How fast the overvoltage follows the current, 1/h, and the rate at which that of lithium is half of its most; both
// from memory.
constexpr double kRelaxesPerH = 2, kHalfPolarisedCRate = 0.05;

// Current into lithium that is held at `set_v` for h hours: what its overvoltage, as it stands at the end of them, and
// its resistance leave. R I + b I / (I + I0) = a.
template <class V>
RT_INLINE V held_current_a(const Battery<V>& p, const BatteryState<V>& s, V open_circuit_v, V slowness, V set_v,
                           V hours) {
    using T = typename V::Scalar;
    const V zero(T(0)), left = simd::exp(V(T(-kRelaxesPerH)) * hours);
    const V ohm = p.resistance_ohm * slowness, half_a = V(T(kHalfPolarisedCRate)) * p.capacity_ah;
    const V a = max(set_v - open_circuit_v + left * s.polarisation_v, zero);
    const V b = (V(T(1)) - left) * p.charge_polarisation * slowness;
    const V m = ohm * half_a + b - a, root = sqrt(m * m + V(T(4)) * ohm * a * half_a);
    return select(m > zero, V(T(2)) * a * half_a / max(m + root, V(T(1e-12))), (root - m) / (V(T(2)) * ohm));
}

// Current out of lithium that is above `set_v` at rest and is held there: its voltage follows the charge of its
// available well down to it within the h hours, or as fast as resistance and overvoltage let it. Polarisation of a
// charge goes by itself.
template <class V>
RT_INLINE V falling_current_a(const Battery<V>& p, const BatteryState<V>& s, V available, V open_circuit_v, V slowness,
                              V set_v, V hours) {
    using T = typename V::Scalar;
    const V zero(T(0)), left = simd::exp(V(T(-kRelaxesPerH)) * hours);
    const V follows_ohm = p.open_circuit_v.slope(available) * hours / (V(p.wells.c) * p.q_max_ah);
    const V rises_ohm = (V(T(1)) - left) * p.polarisation * slowness / (V(T(kHalfPolarisedCRate)) * p.capacity_ah);
    const V above_v = open_circuit_v - set_v - left * max(s.polarisation_v, zero);
    return max(above_v, zero) / (max(p.resistance_ohm * slowness, follows_ohm) + rises_ohm);
}

// Polarisation after h hours at a terminal current. Discharge: towards the part of Copetti's overvoltage that neither
// the resistance nor the emptied available well explains, within about half an hour. Charge: towards a surface charge
// that decays in 4 h at rest and at once when a load takes it. Lithium: towards a bounded overvoltage in either
// direction.
template <class V>
RT_INLINE V next_polarisation(const Battery<V>& p, const BatteryState<V>& s, V available, V slowness, V out_a,
                              V hours) {
    using T = typename V::Scalar;
    const V zero(T(0)), relaxation_per_h = V(T(kRelaxesPerH));
    if (!p.laws.polarises) {
        const V rate = out_a / p.capacity_ah;
        const V most = select(out_a > zero, p.polarisation, p.charge_polarisation) * slowness;
        const V bounded = most * rate / (simd::abs(rate) + V(T(kHalfPolarisedCRate)));
        return bounded + (s.polarisation_v - bounded) * simd::exp(-relaxation_per_h * hours);
    }
    const V relative = s.q_ah / p.q_max_ah;
    const V i100 = out_a * V(T(100)) / p.capacity_ah;
    const auto moves = hours > zero;  // what a lane at rest would get is not worked out
    const auto discharging = moves & (out_a > zero), charging = moves & (out_a < zero);
    V target = zero;
    if (any(discharging)) {
        const V over = V(T(6)) * p.polarisation *
                       copetti_discharge_overvoltage(max(i100, zero), copetti_charge_state(relative), s.temp_c);
        const V explained = out_a * p.resistance_ohm + p.open_circuit_v(relative) - p.open_circuit_v(available);
        target = select(discharging, max(over - explained, zero), zero);
    }
    if (any(charging)) {
        const V surface = -V(T(6)) * p.polarisation * copetti_charge_remainder(max(-i100, zero));
        target = select(charging, surface, target);
    }
    const V surface_decay = V(T(0.25)) + max(out_a, zero) / (V(T(0.015)) * p.capacity_ah);
    const V rate = select((s.polarisation_v < zero) & (out_a >= zero), surface_decay, relaxation_per_h);
    return target + (s.polarisation_v - target) * simd::exp(-rate * hours);
}

}  // namespace ridethrough::battery
