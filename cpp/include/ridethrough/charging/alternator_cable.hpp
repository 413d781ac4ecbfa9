// Balance of the bus with a plain cable to the vehicle's alternator at the battery posts: a source of fixed voltage
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
struct Link {
    V volts;  // of the alternator; 0 where the relay is open
    V ohm;    // of the loop
    V most_a;
};

template <class V>
RT_INLINE V link_a(const Link<V>& link, V posts_v) {
    using T = typename V::Scalar;
    return simd::clamp((link.volts - posts_v) / link.ohm, V(T(0)), link.most_a);
}

namespace detail {
// Posts voltage where v = source - ohm (fixed + fridge(v) - regulator(v)): the root for powers at the posts, and from
// there Newton.
template <class V>
RT_INLINE V posts_voltage(const BusInput<V>& in, V source_v, V ohm, V fixed_a) {
    using T = typename V::Scalar;
    V ignored;
    const V idle_a = circuit::detail::compressor_a(in, source_v, ignored);
    const V half = V(T(0.5)) * (source_v - ohm * fixed_a);
    V v = half + sqrt(max(half * half - ohm * (idle_a * source_v - in.solar_w), V(T(0))));
    for (int i = 0; i < 4; ++i) {
        V fridge_slope, solar_slope;
        const V net = fixed_a + circuit::detail::compressor_a(in, v, fridge_slope) -
                      circuit::detail::regulator_a(in, v, solar_slope);
        v -= (v - source_v + ohm * net) / (V(T(1)) + ohm * (fridge_slope - solar_slope));
    }
    return v;
}
}  // namespace detail

// As balance(), whose words it uses; what the link gives is told as the drive's (dc_dc_a). Demand at the posts rises
// with their voltage and supply falls, so each case is found by looking at the voltage where the next begins.
template <class V>
RT_INLINE BusState<V> balance_with_link(const BusInput<V>& in, const Link<V>& link) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V zero(T(0));
    BusState<V> out;
    V ignored;

    // At the regulators' voltage: does the link or the battery lift the posts above it, or do all together reach it?
    const V accept = circuit::detail::accepted_a(in);
    const V held_v = circuit::detail::held_voltage(in, accept);
    const V held_need = in.distribution_a + in.posts_a + circuit::detail::compressor_a(in, held_v, ignored) + accept;
    const V held_link = link_a(link, held_v);
    const V held_rest = circuit::detail::regulator_a(in, held_v, ignored) + in.solar_a + in.dc_dc_a + in.mains_a;
    const Bool pushed = held_link > held_need;
    const Bool held = (!pushed) & (held_link + held_rest >= held_need) & (held_rest > zero);

    // Kirchhoff otherwise. Above their voltage the regulators rest.
    const BusInput<V> part = circuit::detail::resting(in, pushed);
    const V fixed = in.distribution_a + in.posts_a - part.solar_a - part.dc_dc_a - part.mains_a;
    const auto net_a = [&](V v) {
        return fixed + circuit::detail::compressor_a(part, v, ignored) - circuit::detail::regulator_a(part, v, ignored);
    };
    const V ohm = select(net_a(in.source_v) - link_a(link, in.source_v) < zero, in.charge_ohm, in.discharge_ohm);
    // The posts settle above the alternator's voltage, or so low that the link carries its most.
    const Bool none = (link.volts <= zero) | (link.volts - in.source_v + ohm * net_a(link.volts) < zero);
    const V full_v = link.volts - link.ohm * link.most_a;
    const Bool most = (!none) & (full_v - in.source_v + ohm * (net_a(full_v) - link.most_a) > zero);
    const Bool direct = none | most;
    const V both = ohm + link.ohm;
    V v = detail::posts_voltage(part, select(direct, in.source_v, (in.source_v * link.ohm + link.volts * ohm) / both),
                                select(direct, ohm, ohm * link.ohm / both), select(most, fixed - link.most_a, fixed));
    // A battery that accepts less than that lets the posts rise towards the alternator's voltage.
    const Bool unwilling = (!none) & (!held) & (v - in.source_v > ohm * in.acceptance_a);
    if (any(unwilling))
        v = select(unwilling, detail::posts_voltage(part, link.volts, link.ohm, fixed + in.acceptance_a), v);
    out.limited = held | unwilling;
    out.posts_v = select(held, held_v, v);

    out.fridge_a = circuit::detail::compressor_a(in, out.posts_v, ignored);
    const V load = in.distribution_a + in.posts_a + out.fridge_a;
    const V from_link = link_a(link, out.posts_v);
    const V solar_most = circuit::detail::regulator_a(part, out.posts_v, ignored) + part.solar_a;
    V rest = load + accept - from_link;  // the link cannot hold back: the others do
    out.solar_a = select(held, min(solar_most, rest), solar_most);
    rest -= out.solar_a;
    const V dc_dc = select(held, min(in.dc_dc_a, rest), part.dc_dc_a);
    rest -= dc_dc;
    out.mains_a = select(held, min(in.mains_a, rest), part.mains_a);
    out.dc_dc_a = dc_dc + from_link;
    circuit::detail::settle(in, load, accept, ohm, out);
    return out;
}

}  // namespace ridethrough::charging
