// Balance of the bus with a plain cable to the vehicle's alternator at the battery terminals: a source of fixed voltage
// behind the cable's resistance, which carries no more than its fuse and lets nothing flow back.
#pragma once

#include "ridethrough/circuit/bus.hpp"

namespace ridethrough::charging {

using circuit::BusInput;
using circuit::BusState;
using simd::any;
using simd::max;
using simd::min;
using simd::select;
using simd::sqrt;

template <class V>
struct Cable {
    V volts;  // of the alternator; 0 where the relay is open
    V ohm;    // of the loop
    V most_a;
};

template <class V>
RT_INLINE V cable_a(const Cable<V>& cable, V terminal_v) {
    using T = typename V::Scalar;
    return simd::clamp((cable.volts - terminal_v) / cable.ohm, V(T(0)), cable.most_a);
}

// Where the Sun carries fixed currents and the compressor by itself: v (fixed + compressor(v)) = solar power, which is
// nearly straight, so that a few steps of Newton leave rounding only. Trackers limit their current below 8.5 V: no root
// there.
template <class V>
RT_INLINE V volts_of_sun_alone(const BusInput<V>& in, V fixed_a, V low_v, V high_v) {
    using T = typename V::Scalar;
    V v = low_v;
    for (int i = 0; i < 4; ++i) {
        V slope;
        const V amps = fixed_a + circuit::detail::compressor_a(in, v, slope);
        v -= (v * amps - in.solar_w) / max(amps + v * slope, V(T(1e-6)));
    }
    return simd::clamp(v, low_v, high_v);
}

// As balance(), whose terms it uses; what the cable gives is counted as the drive's (dc_dc_a). Demand at the terminals
// rises with their voltage and supply falls, so each case is found by looking at the voltage where the next begins.
template <class V>
RT_INLINE BusState<V> balance_with_cable(const BusInput<V>& in, const Cable<V>& cable) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V zero(T(0));
    BusState<V> out;
    V ignored;

    // At the charge controllers' voltage: does the cable or the battery lift the terminals above it, or do all together
    // reach it?
    const V accept = circuit::detail::accepted_a(in);
    const V held_v = circuit::detail::held_voltage(in, accept);
    const V held_need = in.distribution_a + in.terminal_a + circuit::detail::compressor_a(in, held_v, ignored) + accept;
    const V held_cable = cable_a(cable, held_v);
    const V held_rest = circuit::detail::tracker_current_a(in, held_v, ignored) + in.solar_a + in.dc_dc_a + in.mains_a;
    const Bool pushed = held_cable > held_need;
    const Bool held = (!pushed) & (held_cable + held_rest >= held_need) & (held_rest > zero);

    // Kirchhoff otherwise. Above their voltage the charge controllers rest.
    const BusInput<V> connected = circuit::detail::with_sources_off(in, pushed);
    const V fixed = in.distribution_a + in.terminal_a - connected.solar_a - connected.dc_dc_a - connected.mains_a;
    const auto net_a = [&](V v) {
        return fixed + circuit::detail::compressor_a(connected, v, ignored) -
               circuit::detail::tracker_current_a(connected, v, ignored);
    };
    const V ohm = select(net_a(in.source_v) - cable_a(cable, in.source_v) < zero, in.charge_ohm, in.discharge_ohm);
    // The terminals stay above the alternator's voltage, or so low that the cable carries its most.
    const Bool none = (cable.volts <= zero) | (cable.volts - in.source_v + ohm * net_a(cable.volts) < zero);
    const V full_v = cable.volts - cable.ohm * cable.most_a;
    const Bool most = (!none) & (full_v - in.source_v + ohm * (net_a(full_v) - cable.most_a) > zero);
    const Bool direct = none | most;
    const V both = ohm + cable.ohm;
    const V highest_v = max(select(pushed, max(held_v, cable.volts), held_v), in.source_v);
    const auto solve = [&](V source_v, V loop_ohm, V fixed_a) {
        const V fridge_at_source_a = circuit::detail::compressor_a(connected, source_v, ignored);
        return circuit::detail::solve_terminal_v(connected, source_v, loop_ohm, fixed_a, fridge_at_source_a, highest_v,
                                                 4, Bool::all(false));
    };
    V v = solve(select(direct, in.source_v, (in.source_v * cable.ohm + cable.volts * ohm) / both),
                select(direct, ohm, ohm * cable.ohm / both), select(most, fixed - cable.most_a, fixed));
    // A battery that accepts less than that lets the terminals rise towards the alternator's voltage, and above it
    // where the Sun alone gives more than that.
    const Bool unwilling = (!none) & (!held) & (v > zero) & (v - in.source_v > ohm * in.acceptance_a);
    if (any(unwilling)) {
        const V asked_a = fixed + in.acceptance_a;
        V risen_v = solve(cable.volts, cable.ohm, asked_a);
        const Bool idle = unwilling & (risen_v > cable.volts), full = unwilling & (risen_v < full_v);
        if (any(idle | full)) {
            const V given_a = select(full, cable.most_a, zero);
            const V low_v = select(full, v, cable.volts), high_v = select(full, full_v, max(held_v, cable.volts));
            risen_v = select(idle | full, volts_of_sun_alone(connected, asked_a - given_a, low_v, high_v), risen_v);
        }
        v = select(unwilling, risen_v, v);
    }
    out.limited = held | unwilling;
    out.terminal_v = select(held, held_v, v);

    out.fridge_a = circuit::detail::compressor_a(in, out.terminal_v, ignored);
    const V load = in.distribution_a + in.terminal_a + out.fridge_a;
    const V from_cable = cable_a(cable, out.terminal_v);
    const V solar_most = circuit::detail::tracker_current_a(connected, out.terminal_v, ignored) + connected.solar_a;
    V rest = load + accept - from_cable;  // the cable cannot hold back: the others do
    out.solar_a = select(held, min(solar_most, rest), solar_most);
    rest -= out.solar_a;
    const V dc_dc = select(held, min(in.dc_dc_a, rest), connected.dc_dc_a);
    rest -= dc_dc;
    out.mains_a = select(held, min(in.mains_a, rest), connected.mains_a);
    out.dc_dc_a = dc_dc + from_cable;
    circuit::detail::solve_node_voltages(in, load, accept, ohm, out);
    return out;
}

}  // namespace ridethrough::charging
