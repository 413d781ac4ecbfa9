// A fridge of two nodes in lanes: the main inside, which the thermostat feels, and a freezer box coupled to it.
//
//   C1 dT1/dt = U1 (Ta - T1) + G (T2 - T1) + q - (1 - s) Q        main inside
//   C2 dT2/dt = U2 (Ta - T2) + G (T1 - T2) - s Q                  box
//
// With the switch positions held, both are a constant and two exponentials; the time at which the main node meets a
// temperature is found by Newton's method inside a bracket (a bisection where Newton leaves it).
#pragma once

#include "ridethrough/fridge/fridge.hpp"

namespace ridethrough::fridge {

template <class V>
struct FreezerTrial {
    V capacity_wh_per_k;
    V coupling_w_per_k;
    V leak_share, cooling_share;
};

// rest + slow e^(-slow_rate t) + fast e^(-fast_rate t)
template <class V>
struct Motion {
    V rest, slow, fast, slow_rate, fast_rate;

    RT_INLINE V at(V hours) const {
        return rest + slow * simd::exp(-slow_rate * hours) + fast * simd::exp(-fast_rate * hours);
    }
};

// What holds for one step.
template <class V>
struct FreezerStep {
    V main_decay, main_gain, box_decay, box_gain;  // 1/h: the matrix of the two equations
    V slow_rate, fast_rate;                        // 1/h
    V main_off_equilibrium_c, box_off_equilibrium_c, main_on_equilibrium_c, box_on_equilibrium_c;

    // From the temperatures now, with the compressor on or off.
    RT_INLINE void motions(V main_c, V box_c, typename V::Bool runs, Motion<V>& main, Motion<V>& box) const {
        using T = typename V::Scalar;
        const V main_to = select(runs, main_on_equilibrium_c, main_off_equilibrium_c),
                box_to = select(runs, box_on_equilibrium_c, box_off_equilibrium_c);
        const V d1 = main_c - main_to, d2 = box_c - box_to;
        const V split = V(T(1)) / (fast_rate - slow_rate);
        const V slow_1 = (fast_rate * d1 - main_decay * d1 + main_gain * d2) * split;
        const V slow_2 = (fast_rate * d2 - box_decay * d2 + box_gain * d1) * split;
        main = {main_to, slow_1, d1 - slow_1, slow_rate, fast_rate};
        box = {box_to, slow_2, d2 - slow_2, slow_rate, fast_rate};
    }
};

template <class V>
RT_INLINE FreezerStep<V> two_nodes(const FridgeTrial<V>& p, const FreezerTrial<V>& f, V cabin_c, V heat_w) {
    using T = typename V::Scalar;
    const V one(T(1)), half(T(0.5));
    const V cooling_w = p.compressor_w * performance(p, cabin_c + p.vent_rise_k);
    const V main_ua = p.ua_w_per_k * (one - f.leak_share), box_ua = p.ua_w_per_k * f.leak_share;
    const V per_main = one / p.capacity_wh_per_k, per_box = one / f.capacity_wh_per_k;
    FreezerStep<V> s;
    s.main_decay = (main_ua + f.coupling_w_per_k) * per_main;
    s.main_gain = f.coupling_w_per_k * per_main;
    s.box_decay = (box_ua + f.coupling_w_per_k) * per_box;
    s.box_gain = f.coupling_w_per_k * per_box;
    const V apart = half * (s.main_decay - s.box_decay);
    s.fast_rate = half * (s.main_decay + s.box_decay) + sqrt(apart * apart + s.main_gain * s.box_gain);
    const V both_ua = main_ua * box_ua + f.coupling_w_per_k * (main_ua + box_ua);
    s.slow_rate = both_ua * per_main * per_box / s.fast_rate;
    // At rest: U1 (Ta - T1) + G (T2 - T1) + w1 = 0 and U2 (Ta - T2) + G (T1 - T2) + w2 = 0.
    const V per_both = one / both_ua;
    const auto equilibrium = [&](V w1, V w2, V& main_c, V& box_c) {
        main_c = cabin_c + ((box_ua + f.coupling_w_per_k) * w1 + f.coupling_w_per_k * w2) * per_both;
        box_c = cabin_c + ((main_ua + f.coupling_w_per_k) * w2 + f.coupling_w_per_k * w1) * per_both;
    };
    equilibrium(heat_w, V(T(0)), s.main_off_equilibrium_c, s.box_off_equilibrium_c);
    equilibrium(heat_w - (one - f.cooling_share) * cooling_w, -f.cooling_share * cooling_w, s.main_on_equilibrium_c,
                s.box_on_equilibrium_c);
    return s;
}

// Temperature of the box when the main node has long been held at `main_c` by the thermostat.
template <class V>
RT_INLINE V steady_box_c(const FridgeTrial<V>& p, const FreezerTrial<V>& f, V cabin_c, V main_c) {
    using T = typename V::Scalar;
    const V rest = V(T(1)) - f.cooling_share;
    const V main_ua = p.ua_w_per_k * (V(T(1)) - f.leak_share), box_ua = p.ua_w_per_k * f.leak_share;
    return (f.coupling_w_per_k * main_c - f.cooling_share * main_ua * (cabin_c - main_c) + rest * box_ua * cabin_c) /
           (f.coupling_w_per_k + rest * box_ua);
}

// The one moment within (0, horizon) at which a motion turns back, 0 where it does not.
template <class V>
RT_INLINE V turning_h(const Motion<V>& m, V horizon) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1));
    const V slow = m.slow * m.slow_rate, fast = m.fast * m.fast_rate;
    const auto opposed = ((slow > zero) & (fast < zero)) | ((slow < zero) & (fast > zero));
    const V ratio = select(opposed, -fast / select(opposed, slow, one), one);
    const auto turns = ratio > one;
    if (!any(turns)) return zero;
    const V at = simd::log(select(turns, min(ratio, V(T(1e30))), V(T(2)))) / (m.fast_rate - m.slow_rate);
    return select(turns & (at < horizon), at, zero);
}

// When the motion meets a level between two moments on different sides of it, with no turn between them.
template <class V>
RT_INLINE V meets_between(const Motion<V>& m, V level, V from_h, V to_h) {
    using T = typename V::Scalar;
    const V half(T(0.5)), tiny(T(1e-12));
    const auto starts_above = m.at(from_h) > level;
    V lo = from_h, hi = to_h, t = half * (lo + hi);
    for (int i = 0; i < 14; ++i) {  // bisection alone would leave under a second of an hour
        const V slow = m.slow * simd::exp(-m.slow_rate * t), fast = m.fast * simd::exp(-m.fast_rate * t);
        const V miss = m.rest + slow + fast - level;
        const V slope = -(m.slow_rate * slow + m.fast_rate * fast);
        const auto before = select(starts_above, miss > V(T(0)), miss <= V(T(0)));
        lo = select(before, t, lo);
        hi = select(before, hi, t);
        const auto steep = (slope > tiny) | (slope < -tiny);
        const V newton = t - miss / select(steep, slope, V(T(1)));
        const auto inside = steep & (newton >= lo) & (newton <= hi);
        t = select(inside, newton, half * (lo + hi));
    }
    return t;
}

// Hours until the main node first meets a level, which it may do after a turn; a large number where not by `horizon`.
template <class V>
RT_INLINE V first_meets(const Motion<V>& m, V level, V horizon) {
    using T = typename V::Scalar;
    const V never(T(1e6));
    const V turn = turning_h(m, horizon);
    const auto at_start = m.at(V(T(0))) > level, at_turn = m.at(turn) > level, at_end = m.at(horizon) > level;
    const auto other = [](typename V::Bool a, typename V::Bool b) { return (a & !b) | (b & !a); };
    const auto early = other(at_start, at_turn), late = other(at_turn, at_end) & !early;
    if (!any(early | late)) return never;
    const V found = meets_between(m, level, select(early, V(T(0)), turn), select(early, turn, horizon));
    return select(early | late, found, never);
}

// Hours of a segment in which the main node is above a level: none at all, or all of them, where that is so.
template <class V>
RT_INLINE V hours_above(V level, const Motion<V>& m, V hours) {
    using T = typename V::Scalar;
    const V zero(T(0));
    const V turn = turning_h(m, hours);
    const auto at_start = m.at(zero) > level, at_turn = m.at(turn) > level, at_end = m.at(hours) > level;
    const auto piece = [&](V from, V to, typename V::Bool starts, typename V::Bool ends) {
        V above = select(starts & ends, to - from, zero);
        const auto crosses = (starts & !ends) | (ends & !starts);
        if (any(crosses)) {
            const V at = meets_between(m, level, from, to);
            above = select(crosses, select(starts, at - from, to - at), above);
        }
        return above;
    };
    const V above = piece(zero, turn, at_start, at_turn) + piece(turn, hours, at_turn, at_end);
    return select(at_start & at_turn & at_end, hours, min(above, hours));
}

}  // namespace ridethrough::fridge
