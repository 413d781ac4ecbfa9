// Where a segment ends sooner than its switches say: where a falling voltage passes the limit of what cuts out, with
// the delay of a cut-out that is past its limit, and where what is open finds the volts to close. What a charger is
// about to give was worked out for the longer segment, and is hardly less.
#pragma once

#include "ridethrough/engine/segment.hpp"

namespace ridethrough::engine {

// Moments are found to one part in 256. Own choice.
constexpr int kHalvings = 8;

// Hours until `holds` is true at the terminals, which it is at the segment's end in the lanes `sought`.
template <class V, class Holds>
RT_INLINE V until_terminals(const Trial<V>& c, const StepFrame<V>& f, const TrialState<V>& s, const Segment<V>& g,
                            typename V::Bool sought, const Holds& holds) {
    using T = typename V::Scalar;
    V before(T(0)), after = g.h;
    for (int i = 0; i < kHalvings && any(sought); ++i) {
        const V middle = V(T(0.5)) * (before + after);
        const auto already = holds(battery_after(c, f, s, g, middle).terminal_v);
        after = select(already, middle, after);
        before = select(already, before, middle);
    }
    return select(sought, after, V(T(1e6)));
}

// What cuts out at a voltage, as it stands at the segment's beginning.
template <class V>
struct Limit {
    typename V::Bool watched;
    V above_v;  // over the limit; it falls as the terminals do
    V delay_h;  // that it may still be below

    // Volts that the terminals may fall, and hours that it may be below; far more where it is not so.
    RT_INLINE V fall_v() const {
        return select(watched & (above_v > V(typename V::Scalar(0))), above_v, V(typename V::Scalar(1e6)));
    }
    RT_INLINE V low_h() const {
        using T = typename V::Scalar;
        const V wait_h = max(delay_h, V(T(0))) + V(T(kPastWaitH));
        return select(watched & (above_v < V(T(0))), wait_h, V(T(1e6)));
    }
};

// Hours until the first of fridge, inverter, disconnect and bus passes its limit, or has been past it for its delay.
template <class V>
RT_INLINE V until_limit(const trip::Plan& plan, const Trial<V>& c, const StepFrame<V>& f, const TrialState<V>& s,
                        const Segment<V>& g, V terminal_end_v) {
    using T = typename V::Scalar;
    const circuit::BusState<V>& b = g.solved;
    const V zero(T(0));
    const auto falls = g.active & !b.limited & (b.battery_a > zero);
    V fall_v(T(1e6)), low_h(T(1e6));
    const auto watch = [&](typename V::Bool watched, V above_v, V delay_h) {
        const Limit<V> limit{falls & watched, above_v, delay_h};
        fall_v = min(fall_v, limit.fall_v());
        low_h = min(low_h, limit.low_h());
    };
    watch(g.runs, b.fridge_v - c.fridge.cutout_v, c.fridge.cutout_delay_h - s.fridge_low_h);
    watch(g.alive, b.terminal_v - V(c.battery.cutoff_v), zero);
    if (plan.disconnect.fitted)
        watch(g.distribution_on, b.distribution_v - c.disconnect_v, c.disconnect_delay_h - s.system_low_h);
    if (plan.inverter.given)
        watch(g.inverter_a > zero, b.terminal_v - c.inverter_ohm * g.inverter_a - c.inverter_v,
              c.inverter_delay_h - s.inverter_low_h);
    const auto passes = b.terminal_v - terminal_end_v > fall_v;
    return min(low_h, until_terminals(c, f, s, g, passes, [&](V then_v) { return b.terminal_v - then_v > fall_v; }));
}

// Whether something that is open finds the volts to close.
template <class V>
struct FindsVolts {
    const Trial<V>& c;
    const TrialState<V>& s;
    const Segment<V>& g;

    RT_INLINE typename V::Bool operator()(V terminal_v) const {
        using Bool = typename V::Bool;
        const V distribution_v = terminal_v - (g.solved.terminal_v - g.solved.distribution_v);
        const Bool fridge = s.fridge_open & g.distribution_on & (distribution_v >= c.fridge.restart_v);
        const Bool system = s.system_open & g.alive & (terminal_v >= c.reconnect_v);
        if (c.battery.laws.has_bms) return g.active & (fridge | system);
        return g.active & (fridge | system | (s.bus_open & (terminal_v >= V(c.battery.reconnect_v))));
    }
};

// Hours until it closes: its wait, where the volts are there already, as soon after a kettle; where they are there at
// the end, the moment at which they are.
template <class V>
RT_INLINE V until_volts(const Trial<V>& c, const StepFrame<V>& f, const TrialState<V>& s, const Segment<V>& g) {
    using T = typename V::Scalar;
    const V wait_h = max(c.fridge.restart_wait_h - s.waited_h, V(T(kShortestWaitH))) + V(T(kPastWaitH));
    const FindsVolts<V> finds{c, s, g};
    const auto already = finds(g.solved.terminal_v);
    const V until_h = select(already, wait_h, V(T(1e6)));
    const auto later = finds(battery_after(c, f, s, g, g.h).terminal_v) & !already;
    return min(until_h, max(until_terminals(c, f, s, g, later, finds), wait_h));
}

// `terminal_end_v`: at the end of the segment as it is. Whether it ends sooner.
template <class V>
RT_INLINE bool end_with_delays(const trip::Plan& plan, const Trial<V>& c, const StepFrame<V>& f, const TrialState<V>& s,
                               V terminal_end_v, Segment<V>& g) {
    using T = typename V::Scalar;
    V h = min(g.h, until_limit(plan, c, f, s, g, terminal_end_v));
    if (c.battery.laws.has_bms && any(g.over)) {
        const V wait_h = max(V(c.battery.overcurrent_delay_h) - s.overcurrent_h, V(T(0))) + V(T(kPastWaitH));
        h = select(g.over & !g.solved.limited, min(h, wait_h), h);
    }
    if (g.may_close && any(s.fridge_open | s.system_open | s.bus_open))
        h = select(g.active, min(h, until_volts(c, f, s, g)), h);
    const auto sooner = h < g.h;
    if (!any(sooner)) return false;
    g.switches = g.switches & !sooner;
    g.h = h;
    return true;
}

}  // namespace ridethrough::engine
