// Where a segment ends sooner than its switches say: with the delay of a cut-out that is past its limit, where a heavy
// load on the inverter passes one, and where what is open finds the volts to close. What a charger is about to give was
// worked out for the longer segment, and is hardly less.
#pragma once

#include "ridethrough/engine/segment.hpp"

namespace ridethrough::engine {

// A load on the inverter is heavy from this C rate on. Moments are found to one part in 256. Own choice.
constexpr double kHeavyCRate = 0.1;
constexpr int kHalvings = 8;
// What opens and closes again and again must leave segments for the rest of the step: none ends for a closing after
// these.
constexpr int kClosingSegments = 9;

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

// Whether inverter or fridge has passed its limit, by what each is above it at the segment's beginning.
template <class V>
struct LimitPassed {
    V terminal_v, inverter_v, fridge_v;

    RT_INLINE typename V::Bool operator()(V then_v) const {
        const V fall_v = terminal_v - then_v, zero(typename V::Scalar(0));
        return ((inverter_v > zero) & (fall_v > inverter_v)) | ((fridge_v > zero) & (fall_v > fridge_v));
    }
};

// Hours until the first of inverter and fridge passes its limit under a heavy load, or the fridge's delay where it is
// past it from the beginning on.
template <class V>
RT_INLINE V until_limit(const Trial<V>& c, const StepFrame<V>& f, const TrialState<V>& s, const Segment<V>& g) {
    using T = typename V::Scalar;
    const V zero(T(0));
    const circuit::BusState<V>& b = g.solved;
    const LimitPassed<V> passed{b.terminal_v, b.terminal_v - c.inverter_ohm * g.inverter_a - c.inverter_v,
                                select(g.runs, b.fridge_v - c.fridge.cutout_v, V(T(1e6)))};
    const auto passes = passed(battery_after(c, f, s, g, g.h).terminal_v);
    const V limit_h = until_terminals(c, f, s, g, passes, passed);
    const V delay_h = max(c.fridge.cutout_delay_h - s.fridge_low_h, zero) + V(T(kPastWaitH));
    return select(passed.fridge_v > zero, limit_h, min(limit_h, delay_h));
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
// the end, the moment at which they are. The latter is left out of a van without an inverter, which has no kettle.
template <class V>
RT_INLINE V until_volts(const trip::Plan& plan, const Trial<V>& c, const StepFrame<V>& f, const TrialState<V>& s,
                        const Segment<V>& g) {
    using T = typename V::Scalar;
    const V wait_h = max(c.fridge.restart_wait_h - s.waited_h, V(T(kShortestWaitH))) + V(T(kPastWaitH));
    const FindsVolts<V> finds{c, s, g};
    const auto already = finds(g.solved.terminal_v);
    const V until_h = select(already, wait_h, V(T(1e6)));
    if (!plan.inverter.given) return until_h;
    const auto later = finds(battery_after(c, f, s, g, g.h).terminal_v) & !already;
    return min(until_h, max(until_terminals(c, f, s, g, later, finds), wait_h));
}

template <class V>
RT_INLINE void end_with_delays(const trip::Plan& plan, const Trial<V>& c, const StepFrame<V>& f, const TrialState<V>& s,
                               int segment, Segment<V>& g) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const circuit::BusState<V>& b = g.solved;
    const V zero(T(0)), past_h = V(T(kPastWaitH));
    const bool on_inverter = plan.inverter.given && any(g.inverter_a > zero);
    const bool opens = c.battery.laws.has_bms && any(g.over),
               closes = segment < kClosingSegments && any(s.fridge_open | s.system_open | s.bus_open);
    if (!on_inverter && !opens && !closes) return;
    V h = g.h;
    if (on_inverter) {
        const Bool low = (g.inverter_a > zero) & (b.terminal_v - c.inverter_ohm * g.inverter_a < c.inverter_v);
        const Bool heavy = g.active & (g.inverter_a > V(T(kHeavyCRate)) * c.battery.capacity_ah) & !b.limited;
        if (any(heavy)) h = select(heavy, min(h, until_limit(c, f, s, g)), h);
        h = select(low & !b.limited, min(h, max(c.inverter_delay_h - s.inverter_low_h, zero) + past_h), h);
    }
    if (opens) {
        const V wait_h = max(V(c.battery.overcurrent_delay_h) - s.overcurrent_h, zero);
        h = select(g.over & !b.limited, min(h, wait_h + past_h), h);
    }
    if (closes) h = select(g.active, min(h, until_volts(plan, c, f, s, g)), h);
    g.switches = g.switches & !(h < g.h);
    g.h = h;
}

}  // namespace ridethrough::engine
