// One step of the trip in lanes, cut in time order at the thermostat's switches and at the start and end of the step's
// largest event. Each segment has its real current and exact ampere-hours; volts are tested at its end.
#pragma once

#include "ridethrough/engine/accounts.hpp"
#include "ridethrough/engine/segment_limits.hpp"

namespace ridethrough::engine {

// What opens at the segment's end. A delay counts the segments in a row that end below the threshold. The inverter's
// cut-out is met first on the way down, unless its delay is longer than the fridge's, then the fridge's own: all others
// open with them only if the volts stay low without what they have dropped.
template <class V>
struct Cutouts {
    typename V::Bool inverter, fridge, system, bus, current;  // current: the BMS opens on it
};

template <class V>
RT_INLINE typename V::Bool inverter_opens(const trip::Plan& plan, const Trial<V>& c, TrialState<V>& s,
                                          const Segment<V>& g) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    if (!plan.inverter.given) return Bool::all(false);
    const V zero(T(0));
    const Bool low = (g.inverter_a > zero) & (g.terminal_end_v - c.inverter_ohm * g.inverter_a < c.inverter_v);
    s.inverter_low_h = select(g.active, select(low, s.inverter_low_h + g.h, zero), s.inverter_low_h);
    return g.active & low & (s.inverter_low_h >= c.inverter_delay_h);
}

template <class V>
RT_INLINE typename V::Bool bms_opens_on_current(const Trial<V>& c, TrialState<V>& s, const Segment<V>& g,
                                                typename V::Bool relieved) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V zero(T(0));
    if (!any(g.over | (s.overcurrent_h > zero))) return g.over;
    const Bool over = g.over & !relieved;
    s.overcurrent_h = select(g.active, select(over, s.overcurrent_h + g.h, zero), s.overcurrent_h);
    return g.active & over & (s.overcurrent_h >= V(c.battery.overcurrent_delay_h));
}

template <class V>
RT_INLINE Cutouts<V> cutouts_at_end(const trip::Plan& plan, const Trial<V>& c, TrialState<V>& s, const Segment<V>& g) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V zero(T(0));
    const circuit::BusState<V>& b = g.solved;
    Cutouts<V> out;
    out.inverter = inverter_opens(plan, c, s, g);
    const V inverter_relief_v = b.resistance_ohm * select(out.inverter, g.inverter_a, zero);
    const bool first = plan.inverter.cutout_delay_h <= plan.fridge.cutout_delay_h;
    const V fridge_v = first ? g.fridge_end_v + inverter_relief_v : g.fridge_end_v;
    const Bool fridge_low = g.runs & (fridge_v < c.fridge.cutout_v);
    s.fridge_low_h = select(g.active, select(fridge_low, s.fridge_low_h + g.h, zero), s.fridge_low_h);
    out.fridge = g.active & fridge_low & (s.fridge_low_h >= c.fridge.cutout_delay_h);
    const V relief_a = select(out.fridge, b.fridge_a, zero);
    const V terminal_without_v = g.terminal_end_v + b.resistance_ohm * relief_a + inverter_relief_v;
    out.system = Bool::all(false);
    if (plan.disconnect.fitted) {
        const V distribution_without_v =
            g.distribution_end_v + (b.resistance_ohm + c.shared_ohm) * relief_a + inverter_relief_v;
        const Bool low = g.distribution_on & (distribution_without_v < c.disconnect_v) & (b.battery_a > zero);
        s.system_low_h = select(g.active, select(low, s.system_low_h + g.h, zero), s.system_low_h);
        out.system = g.active & low & (s.system_low_h >= c.disconnect_delay_h);
    }
    out.bus = g.active & g.alive & (terminal_without_v < V(c.battery.cutoff_v));
    out.current = Bool::all(false);
    if (c.battery.laws.has_bms) {
        out.bus = out.bus & (b.battery_a > zero);  // low cells may be charged
        out.current = bms_opens_on_current(c, s, g, out.inverter) & !out.bus;
    }
    return out;
}

// A dead bus comes back at a voltage; one that a BMS has opened, when a charger wakes it, or when the load is gone that
// was too much for it.
template <class V>
RT_INLINE typename V::Bool bus_comes_back(const Trial<V>& c, const StepInput<V>& in, const TrialState<V>& s,
                                          const Segment<V>& g) {
    using T = typename V::Scalar;
    if (!c.battery.laws.has_bms) return g.terminal_end_v >= V(c.battery.reconnect_v);
    const typename V::Bool woken = wakes(c, in, g) & (s.waited_h >= V(T(kBmsWaitH)));
    const typename V::Bool relieved = load_is_gone(c, s, g) & (s.waited_h >= V(T(kOvercurrentWaitH)));
    return (s.overcurrent_open & relieved) | (woken & !s.overcurrent_open);
}

template <class V>
RT_INLINE void set_inverter(const trip::Plan& plan, const Trial<V>& c, TrialState<V>& s, const Segment<V>& g,
                            typename V::Bool opens) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V zero(T(0));
    s.column[kInverterCutouts] += select(opens, V(T(1)), zero);
    s.column[kInverterUnservedAh] += select(s.inverter_open, g.h * g.asked_inverter_a, zero);
    s.inverter_waited_h = select(opens, zero, s.inverter_waited_h + g.h);
    const Bool waited =
        Bool::all(g.may_close) & g.active & !opens & (s.inverter_waited_h >= V(T(plan.inverter.restart_wait_h)));
    s.inverter_open = opens | (s.inverter_open & !(waited & g.alive & (g.terminal_end_v >= c.inverter_restart_v)));
}

template <class V>
RT_INLINE void set_latches(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in, TrialState<V>& s,
                           const Segment<V>& g) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V zero(T(0));
    const Cutouts<V> drops = cutouts_at_end(plan, c, s, g);
    const Bool inverter_stops = drops.inverter | (drops.bus & (g.inverter_a > zero));  // it has no supply then
    if (plan.inverter.given && any(inverter_stops | s.inverter_open)) set_inverter(plan, c, s, g, inverter_stops);
    const Bool opened = drops.fridge | drops.system | drops.bus | drops.current;
    if (!any(opened | s.fridge_open | s.system_open | s.bus_open)) {  // nothing opens, nothing can close
        s.waited_h += g.h;
        return;
    }
    const Bool first = g.fridge_ready & opened & (s.column[kCutoutCause] == zero);
    const V of_battery = select(drops.current, V(T(kBatteryOvercurrent)), V(T(kBatteryCutoff)));
    const V cutout_cause =
        select(drops.fridge, V(T(kFridgeCutout)), select(drops.system, V(T(kSystemDisconnect)), of_battery));
    s.column[kCutoutCause] = select(first, cutout_cause, s.column[kCutoutCause]);
    s.column[kFirstCutoutH] = select(first, in.from_start_h + g.t + g.h, s.column[kFirstCutoutH]);
    s.waited_h = select(opened, zero, s.waited_h + g.h);
    const Bool waited = Bool::all(g.may_close) & g.active & !opened & (s.waited_h >= c.fridge.restart_wait_h);
    const Bool back = s.bus_open & waited & bus_comes_back(c, in, s, g);
    if (c.battery.laws.has_bms) s.waited_h = select(back, zero, s.waited_h);  // the fridge waits anew
    s.overcurrent_open = drops.current | (s.overcurrent_open & !back & !drops.bus);
    s.bus_open = drops.bus | drops.current | (s.bus_open & !back);
    s.system_open = drops.system | (s.system_open & !(waited & g.alive & (g.terminal_end_v >= c.reconnect_v)));
    s.fridge_open =
        drops.fridge | (s.fridge_open & !(waited & g.distribution_on & (g.distribution_end_v >= c.fridge.restart_v)));
}

// A charge as long as the absorption's limit reaches it, whatever rounding makes of their sums. Own choice.
constexpr double kReachedH = 1e-4;

// Absorption until the tail current or the time limit, then float; a sagging bus starts again.
template <class V>
RT_INLINE void set_charge_stages(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in,
                                 const StepFrame<V>& f, TrialState<V>& s, const Segment<V>& g) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    if (!any(g.solved.limited | s.floating)) return;
    const V zero(T(0));
    const Bool absorbing = g.active & g.solved.limited & !s.floating;
    s.absorbed_h += select(absorbing & (g.relative_end >= V(T(c.battery.laws.absorption_counts_from))), g.h, zero);
    const charging::Stages &sun = plan.stages[charging::kSolar], &drive = plan.stages[charging::kDcDc],
                           &mains = plan.stages[charging::kMains];
    const Bool driven = in.drive.given() | in.idle.given(), powered = in.powered.given() | in.generator.given();
    V tail_c_rate(T(sun.tail_c_rate)), limit_h(T(sun.absorption_limit_h));
    if (f.given.drive || f.given.idle) {
        tail_c_rate = select(driven, V(T(drive.tail_c_rate)), tail_c_rate);
        limit_h = select(driven, V(T(drive.absorption_limit_h)), limit_h);
    }
    if (f.given.powered || f.given.generator) {
        tail_c_rate = select(powered, V(T(mains.tail_c_rate)), tail_c_rate);
        limit_h = select(powered, V(T(mains.absorption_limit_h)), limit_h);
    }
    const Bool tail =
        absorbing & (-g.solved.battery_a <= tail_c_rate * c.battery.capacity_ah) & (g.relative_end >= V(T(0.9)));
    s.full_today = s.full_today | tail;
    const Bool long_enough = absorbing & (s.absorbed_h + V(T(kReachedH)) >= limit_h);
    s.floating = (s.floating | tail | long_enough) & !(g.active & (g.terminal_end_v < V(T(base::kNominalRestingV))));
}

template <class V>
RT_INLINE void run_step(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in, TrialState<V>& s,
                        StepMeans<V>* means) {
    using T = typename V::Scalar;
    const StepFrame<V> f = step_frame(plan, c, in, s);
    V t(T(0)), available = battery::available_charge(c.battery, s.battery),
               relative = s.battery.q_ah / c.battery.q_max_ah;
    for (int segment = 0; segment < kMostSegments; ++segment) {
        Segment<V> g;  // of its own each time, so that nothing is carried on but what is said below
        g.may_close = segment < kClosingSegments;
        g.last = segment == kMostSegments - 1;
        g.t = t;
        g.available = available;
        g.relative = relative;
        g.active = f.whole_h - t > V(T(1e-7));
        if (!any(g.active)) break;
        set_switches(c, in, s, g);
        set_demand(plan, c, in, s, f, g);
        set_length(plan, c, in, s, f, g);
        solve_bus(plan, c, s, f, g);
        BatteryEnd<V> end = battery_after(c, f, s, g, g.h);
        if (!g.last && end_with_delays(plan, c, f, s, end.terminal_v, g)) end = battery_after(c, f, s, g, g.h);
        advance_battery(c, end, s, g);
        V freezer_c;
        advance_fridge(plan, c, s, g, freezer_c);
        account_food(plan, c, freezer_c, s, g);
        account_energy(c, in, s, g, means);
        set_latches(plan, c, in, s, g);
        set_charge_stages(plan, c, in, f, s, g);
        s.running = select(g.active, g.runs, s.running);
        s.terminal_v = select(g.active, g.terminal_end_v, s.terminal_v);
        s.inside_c = select(g.active, g.inside, s.inside_c);
        available = g.available_end;
        relative = g.relative_end;
        t += g.h;
    }
}

}  // namespace ridethrough::engine
