// A 12 V battery in lanes: two wells of charge (KiBaM), a rest-voltage table read at the available well, resistance and
// one polarisation voltage. AGM and LFP are the same equations with other numbers. Charge in Ah, time in h, discharge
// current positive.
#pragma once

#include "ridethrough/base/math.hpp"
#include "ridethrough/simd/pack.hpp"

namespace ridethrough::battery {

// Piecewise-linear function as a sum of kinks, so that lanes need no branch: y = y0 + s0 x + sum dk max(0, x - xk).
template <class T>
struct Curve {
    static constexpr int kMost = 16;
    int kinks;
    T y0, s0;
    T at[kMost], change[kMost];

    template <class V>
    RT_INLINE V operator()(V x) const {
        V y = V(y0) + V(s0) * x;
        for (int k = 0; k < kinks; ++k) y += V(change[k]) * max(x - V(at[k]), V(T(0)));
        return y;
    }
    template <class V>
    RT_INLINE V slope(V x) const {
        V y = V(s0);
        for (int k = 0; k < kinks; ++k) y += simd::select(x > V(at[k]), V(change[k]), V(T(0)));
        return y;
    }
};

// What is the same for every trial. Sources: battery/schemas.cpp and python/docs/method.md.
template <class T>
struct BatteryKind {
    bool lithium;
    Curve<T> rest_v;    // over the relative head
    Curve<T> cold;      // share of the cold loss at a temperature: 1 at 0 degC, 0 at 25 degC and above
    T c, k;             // share of the available well; rate between the wells, 1/h
    T floor_v, back_v;  // brown-out or BMS cut-off, and return
    T charge_block_c, charge_full_c, hot_reduce_c, hot_block_c;
};

// What a trial draws.
template <class V>
struct BatteryTrial {
    V q_max_ah;     // both wells, aged
    V capacity_ah;  // 20-hour capacity, aged: the base of C rates
    V resistance_ohm;
    V offset_v;
    V polarisation;  // share of Copetti's overvoltages and charge losses; 0 for lithium
    V capacity_factor_0c;
    V acceptance;  // AGM: 1/h of what is missing; lithium: charge C rate
    V coulombic;   // lithium only; AGM follows Copetti
};

template <class V>
struct BatteryState {
    V q_ah;            // sum of both wells
    V head_ah;         // head of the available well minus head of the bound one
    V polarisation_v;  // lowers the terminal voltage when positive, raises it (surface charge) when negative
    V temp_c;
};

template <class T, class V>
RT_INLINE V available_head(const BatteryKind<T>& kind, const BatteryTrial<V>& p, const BatteryState<V>& s) {
    return (s.q_ah + V(T(1) - kind.c) * s.head_ah) / p.q_max_ah;
}

// Share of the capacity that is there at the battery's temperature.
template <class T, class V>
RT_INLINE V capacity_factor(const BatteryKind<T>& kind, const BatteryTrial<V>& p, V temp_c) {
    return max(V(T(1)) - (V(T(1)) - p.capacity_factor_0c) * kind.cold(temp_c), V(T(0.3)));
}

// Voltage behind resistance and polarisation. A cold battery under load is empty before its wells are: the table is
// read at the head above (1 - factor); the correction fades out at rest (load share 0 to 1).
template <class T, class V>
RT_INLINE V source_voltage(const BatteryKind<T>& kind, const BatteryTrial<V>& p, V head, V factor, V load_share) {
    const V cold_head = (head - (V(T(1)) - factor)) / factor;
    // Far below empty the table means nothing; every cut-out has acted by then.
    return max(kind.rest_v(head + load_share * (cold_head - head)) + p.offset_v, V(T(6)));
}

// Copetti, Lorenzo & Chenlo 1993, per cell, at the state of charge of their larger capacity (1.67 of the 10-hour one).
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

// What an AGM shows of the losses that were fitted to vented cells is one share, `polarisation`, for the overvoltages
// and for the charge that is not stored. The slope holds up to gassing only; nearer to full the acceptance law rules.
constexpr double kGassingState = 0.9;

template <class V>
RT_INLINE V agm_charge_ohm(const BatteryTrial<V>& p, V relative, V temp_c) {
    using T = typename V::Scalar;
    const V state = min(copetti_charge_state(relative), V(T(kGassingState)));
    return p.resistance_ohm + V(T(600)) * p.polarisation * copetti_charge_slope(state, temp_c) / p.capacity_ah;
}
template <class V>
RT_INLINE V agm_stored_share(const BatteryTrial<V>& p, V relative, V i10) {
    using T = typename V::Scalar;
    return V(T(1)) - min(p.polarisation, V(T(1))) * (V(T(1)) - max(copetti_coulombic(relative, i10), V(T(0.1))));
}

// The wells after h hours at a constant current out of them (Manwell & McGowan 1993). The sum and the head difference
// are advanced, which keeps the sum exact in single precision too.
template <class T, class V>
RT_INLINE void advance_wells(const BatteryKind<T>& kind, V out_a, V hours, V& q_ah, V& head_ah) {
    const V decay = simd::exp(-V(kind.k) * hours);
    q_ah -= out_a * hours;
    head_ah = head_ah * decay - out_a * V(T(1) / (kind.c * kind.k)) * (V(T(1)) - decay);
}

// Largest mean current into the wells over h hours that leaves the available well no more than full.
template <class T, class V>
RT_INLINE V well_charge_limit(const BatteryKind<T>& kind, const BatteryTrial<V>& p, const BatteryState<V>& s, V hours) {
    const V decay = simd::exp(-V(kind.k) * hours);
    const V room = p.q_max_ah - s.q_ah - V(T(1) - kind.c) * s.head_ah * decay;
    return max(room, V(T(0))) / (hours + V((T(1) - kind.c) / (kind.c * kind.k)) * (V(T(1)) - decay));
}

// Mean terminal current that the battery accepts over h hours, voltage limit apart.
template <class T, class V>
RT_INLINE V acceptance_a(const BatteryKind<T>& kind, const BatteryTrial<V>& p, const BatteryState<V>& s, V coulombic,
                         V hours) {
    const V zero(T(0)), one(T(1));
    V limit = well_charge_limit(kind, p, s, hours) / coulombic;
    const V missing = max(p.q_max_ah - s.q_ah, zero);
    if (kind.lithium) {
        const V near_full = clamp((one - s.q_ah / p.q_max_ah) * V(T(20)), zero, one);
        const V cold = clamp((s.temp_c - V(kind.charge_block_c)) * V(T(1) / (kind.charge_full_c - kind.charge_block_c)),
                             zero, one);
        const V hot =
            clamp((V(kind.hot_block_c) - s.temp_c) * V(T(1) / (kind.hot_block_c - kind.hot_reduce_c)), zero, one);
        limit = min(limit, p.acceptance * p.capacity_ah * near_full * cold * hot);
    } else {
        const V rate = p.acceptance * coulombic;  // of the wells' own exponential approach to full
        limit = min(limit, missing * (one - simd::exp(-rate * hours)) / (hours * coulombic));
    }
    return max(limit, zero);
}

// Polarisation after h hours at a terminal current. Discharge: towards the part of Copetti's overvoltage that neither
// the resistance nor the emptied available well explains, within about half an hour. Charge: towards a surface charge
// that decays in 4 h at rest and at once when a load takes it.
template <class T, class V>
RT_INLINE V next_polarisation(const BatteryKind<T>& kind, const BatteryTrial<V>& p, const BatteryState<V>& s, V head,
                              V out_a, V hours) {
    const V zero(T(0));
    if (kind.lithium) return zero;
    const V relative = s.q_ah / p.q_max_ah;
    const V i100 = out_a * V(T(100)) / p.capacity_ah;
    const auto moves = hours > zero;  // what a lane at rest would get is not worked out
    const auto discharging = moves & (out_a > zero), charging = moves & (out_a < zero);
    V target = zero;
    if (any(discharging)) {
        const V over = V(T(6)) * p.polarisation *
                       copetti_discharge_overvoltage(max(i100, zero), copetti_charge_state(relative), s.temp_c);
        const V explained = out_a * p.resistance_ohm + kind.rest_v(relative) - kind.rest_v(head);
        target = select(discharging, max(over - explained, zero), zero);
    }
    if (any(charging)) {
        const V surface = -V(T(6)) * p.polarisation * copetti_charge_remainder(max(-i100, zero));
        target = select(charging, surface, target);
    }
    const V settle(T(2));  // 1 / (0.5 h)
    const V surface_decay = V(T(0.25)) + max(out_a, zero) / (V(T(0.015)) * p.capacity_ah);
    const V rate = select((s.polarisation_v < zero) & (out_a >= zero), surface_decay, settle);
    return target + (s.polarisation_v - target) * simd::exp(-rate * hours);
}

}  // namespace ridethrough::battery
