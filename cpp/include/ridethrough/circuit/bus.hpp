// Balance of the 12 V bus for one segment of constant switch positions, in lanes. Places: the battery terminals, where
// the chargers and the inverter are; the distribution, behind the shared cable; the fridge terminals, behind its
// branch.
#pragma once

#include <limits>

#include "ridethrough/simd/pack.hpp"

namespace ridethrough::circuit {

using simd::any;
using simd::max;
using simd::min;
using simd::select;
using simd::sqrt;

template <class V>
struct BusInput {
    V source_v;  // battery voltage behind its resistance
    V discharge_ohm, charge_ohm;
    V shared_ohm, branch_ohm;
    V distribution_a, terminal_a;  // currents of the loads there
    V fridge_w;                    // constant power at the fridge terminals, 0 while the compressor rests
    V solar_w;                     // what the charge controller could deliver at the terminals
    V dc_dc_a, mains_a;            // what these could deliver
    V set_v;                       // voltage at which the chargers limit
    V acceptance_a;                // most that the battery takes
    // A battery above set_v gives (its voltage - set_v) / fall_ohm until it has come down to it; infinite: nothing.
    V fall_ohm = V(std::numeric_limits<typename V::Scalar>::infinity());
    V solar_a = V(typename V::Scalar(0));  // beside solar_w: of PWM charge controllers
};

template <class V>
struct BusState {
    V terminal_v, distribution_v, fridge_v;
    V battery_a;  // out of the battery positive
    V fridge_a;
    V solar_a, dc_dc_a, mains_a;  // taken
    V resistance_ohm;             // of the battery, in the direction of the current
    V overvoltage_v;           // of a battery held at the chargers' voltage or at 0 V, beyond resistance; 0 otherwise
    typename V::Bool limited;  // chargers hold the voltage, the surplus is curtailed
};

// Below this voltage electronics limit their current instead of holding their power. Own choice, under every cut-out.
constexpr double kCurrentLimitV = 8.5;

namespace detail {
// Current of the compressor behind its cable: constant power, and its current limit where the voltage is too low for
// that. `slope` is its change per volt at the terminals.
template <class V>
RT_INLINE V compressor_a(const BusInput<V>& in, V terminal_v, V& slope) {
    using T = typename V::Scalar;
    const V zero(T(0)), limit_a = in.fridge_w * V(T(1 / kCurrentLimitV));
    slope = zero;
    if (!any(in.fridge_w > zero)) return zero;
    const V open_v = terminal_v - in.shared_ohm * in.distribution_a;
    const V loop = in.shared_ohm + in.branch_ohm;
    const auto holds = open_v >= V(T(kCurrentLimitV)) + limit_a * loop;
    const V root = sqrt(max(open_v * open_v - V(T(4)) * in.fridge_w * loop, V(T(1))));
    const V amps = select(holds, V(T(2)) * in.fridge_w / max(open_v + root, V(T(1))), limit_a);
    slope = select(holds, -amps / root, zero);
    return amps;
}
template <class V>
RT_INLINE V tracker_current_a(const BusInput<V>& in, V terminal_v, V& slope) {
    using T = typename V::Scalar;
    slope = V(T(0));
    if (!any(in.solar_w > slope)) return slope;
    const V at_v = max(terminal_v, V(T(kCurrentLimitV)));
    const V amps = in.solar_w / at_v;
    slope = select(terminal_v > V(T(kCurrentLimitV)), -amps / at_v, V(T(0)));
    return amps;
}
// A step of Newton after which the next is within rounding.
template <class T>
constexpr T kLastStepV = static_cast<T>(sizeof(T) == sizeof(double) ? 1e-6 : 1e-3);
constexpr int kMoreSteps = 30;
// Terminal voltage where v = source - ohm (fixed + compressor(v) - tracker(v)). The start is the root for powers at
// the terminals, cable losses as at the source's voltage; from there three or four steps of Newton leave rounding only.
// The start itself is the root where there is no power; `known`: lanes whose voltage is known already.
template <class V>
RT_INLINE V solve_terminal_v(const BusInput<V>& in, V source_v, V ohm, V fixed_a, V fridge_at_source_a, int steps,
                             typename V::Bool known) {
    using T = typename V::Scalar;
    const V zero(T(0)), half = V(T(0.5)) * (source_v - ohm * fixed_a);
    const V start = half + sqrt(max(half * half - ohm * (fridge_at_source_a * source_v - in.solar_w), zero));
    const auto sought = ((in.fridge_w > zero) | (in.solar_w > zero)) & !known;
    if (!any(sought)) return start;
    V v = start, moved(T(0));
    const auto newton = [&] {
        V fridge_slope, solar_slope;
        const V net = fixed_a + compressor_a(in, v, fridge_slope) - tracker_current_a(in, v, solar_slope);
        moved = (v - source_v + ohm * net) / (V(T(1)) + ohm * (fridge_slope - solar_slope));
    };
    for (int i = 0; i < steps; ++i) {
        newton();
        v -= moved;
    }
    // Few lanes need more: a compressor near the most that its cable can carry.
    for (int i = 0; i < kMoreSteps && any(sought & (abs(moved) > V(kLastStepV<T>))); ++i) {
        const auto on = sought & (abs(moved) > V(kLastStepV<T>));
        newton();
        moved = select(on, moved, zero);
        v -= moved;
    }
    return select(sought, max(v, zero), start);
}
// What the battery takes at the chargers' voltage; negative: what it gives where it is above that.
template <class V>
RT_INLINE V accepted_a(const BusInput<V>& in) {
    const V zero(typename V::Scalar(0)), gap = in.set_v - in.source_v;
    const V above = select(in.set_v > zero, min(gap, zero), zero);
    return min(in.acceptance_a, max(gap, zero) / in.charge_ohm) + above / in.fall_ohm;
}
// Where the chargers hold the terminals: at their voltage, or the battery's own where that is higher and does not fall.
template <class V>
RT_INLINE V held_voltage(const BusInput<V>& in, V accept_a) {
    return select(accept_a < V(typename V::Scalar(0)), in.set_v, max(in.set_v, in.source_v));
}
// The same bus with its charge controllers and chargers off there.
template <class V>
RT_INLINE BusInput<V> with_sources_off(BusInput<V> in, typename V::Bool where) {
    const V zero(typename V::Scalar(0));
    in.solar_w = select(where, zero, in.solar_w);
    in.solar_a = select(where, zero, in.solar_a);
    in.dc_dc_a = select(where, zero, in.dc_dc_a);
    in.mains_a = select(where, zero, in.mains_a);
    return in;
}
// What follows from the terminal voltage and the currents that the sources give: the battery's and the other places'.
template <class V>
RT_INLINE void solve_node_voltages(const BusInput<V>& in, V load_a, V accept_a, V ohm, BusState<V>& out) {
    const V zero(typename V::Scalar(0));
    out.battery_a = load_a - out.solar_a - out.dc_dc_a - out.mains_a;
    out.resistance_ohm = select(out.limited, select(accept_a < zero, in.discharge_ohm, in.charge_ohm), ohm);
    const auto held = out.limited | (out.terminal_v <= zero);  // more than a battery can give brings it down to 0 V
    out.overvoltage_v = select(held, out.terminal_v - in.source_v + out.resistance_ohm * out.battery_a, zero);
    out.distribution_v = out.terminal_v - in.shared_ohm * (in.distribution_a + out.fridge_a);
    out.fridge_v = out.distribution_v - in.branch_ohm * out.fridge_a;
}
}  // namespace detail

template <class V>
RT_INLINE BusState<V> balance(const BusInput<V>& in) {
    using T = typename V::Scalar;
    const V zero(T(0));
    BusState<V> out;
    V ignored;

    // Could the chargers hold their voltage and still give all that is asked for?
    out.limited = V::Bool::all(false);
    V held_v = in.source_v, accept = zero;
    BusInput<V> connected = in;
    if (any(in.solar_w + in.solar_a + in.dc_dc_a + in.mains_a > zero)) {
        accept = detail::accepted_a(in);
        held_v = detail::held_voltage(in, accept);
        const V need = in.distribution_a + in.terminal_a + detail::compressor_a(in, held_v, ignored) + accept;
        const V held_supply = detail::tracker_current_a(in, held_v, ignored) + in.solar_a + in.dc_dc_a + in.mains_a;
        const auto battery_alone = need < zero;  // the battery alone holds the terminals above the chargers' voltage
        out.limited = (held_supply >= need) & (held_supply > zero) & !battery_alone;
        if (any(battery_alone)) connected = detail::with_sources_off(in, battery_alone);
    }

    // Otherwise Kirchhoff at the terminals: v = source - r (load(v) - supply(v)), with the resistance of the direction
    // that the current has at the open-circuit voltage.
    const V fixed = in.distribution_a + in.terminal_a - connected.solar_a - connected.dc_dc_a - connected.mains_a;
    const V fridge_at_source_a = detail::compressor_a(in, in.source_v, ignored);
    const V idle_net = fixed + fridge_at_source_a - detail::tracker_current_a(connected, in.source_v, ignored);
    const V ohm = select(idle_net < zero, in.charge_ohm, in.discharge_ohm);
    const V v = detail::solve_terminal_v(connected, in.source_v, ohm, fixed, fridge_at_source_a, 3, out.limited);
    out.terminal_v = select(out.limited, held_v, v);

    out.fridge_a = detail::compressor_a(in, out.terminal_v, ignored);
    const V load = in.distribution_a + in.terminal_a + out.fridge_a;
    const V solar_most = detail::tracker_current_a(connected, out.terminal_v, ignored) + connected.solar_a;
    // Curtailed: solar is taken first, then what the drive gives, then the mains.
    V rest = load + accept;
    out.solar_a = select(out.limited, min(solar_most, rest), solar_most);
    rest -= out.solar_a;
    out.dc_dc_a = select(out.limited, min(connected.dc_dc_a, rest), connected.dc_dc_a);
    rest -= out.dc_dc_a;
    out.mains_a = select(out.limited, min(connected.mains_a, rest), connected.mains_a);
    detail::solve_node_voltages(in, load, accept, ohm, out);
    return out;
}

}  // namespace ridethrough::circuit
