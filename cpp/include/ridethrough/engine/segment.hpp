// A segment: a part of a step in which no switch moves. Its parts in the order in which they are worked out: switches,
// demand, length, bus, battery and fridge at its end.
#pragma once

#include "ridethrough/engine/state.hpp"
#include "ridethrough/engine/supplies.hpp"

namespace ridethrough::engine {

// Most cuts of one step. Small fridges switch about four times an hour; with an event that makes seven segments. A
// drive or shore power that begins or ends within the step cuts it too.
constexpr int kMostSegments = 10;
// A battery gives nothing below empty: the step is cut where it is about to get there.
constexpr double kEmptyShare = 0.004, kShortestEmptyH = 0.02;
// Cells that come to their target are warm, on whichever side of it rounding leaves them.
constexpr double kWarmEnoughK = 0.01;

// What holds for the whole step.
template <class V>
struct StepFrame {
    V whole_h;
    fridge::FridgeStep<V> around;
    fridge::FreezerStep<V> box;
    V fridge_w;  // of the running compressor and its fan
    V factor;    // share of the battery's capacity that is there
    SourcesGiven given;
};

template <class V>
RT_INLINE StepFrame<V> step_frame(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in,
                                  const TrialState<V>& s) {
    using T = typename V::Scalar;
    StepFrame<V> f{V(T(plan.step_h)),     fridge::surroundings(c.fridge, in.cabin_c, in.heat_w), {},
                   c.fridge.compressor_w, battery::capacity_factor(c.battery, s.battery.temp_c), SourcesGiven(in)};
    if (plan.fridge.freezer_box()) f.box = fridge::two_nodes(c.fridge, c.fridge.freezer, in.cabin_c, in.heat_w);
    if (plan.fridge.fan_a) f.fridge_w += c.fridge.fan_w;
    return f;
}

template <class V>
struct Segment {
    using Bool = typename V::Bool;
    V t, available, relative;  // at its beginning: hours into the step; the available well's, share of the full charge
    Bool active;               // lanes that are not yet through with the step

    Bool alive, distribution_on, fridge_ready, runs, in_event;
    // Demand and offer: what is asked for, and what the bus is given of it.
    V asked_distribution_a, asked_terminal_a;
    Supplies<V> offer;
    circuit::BusInput<V> bus;
    charging::Cable<V> cable;
    V net_a, heater_a, load_share;
    // Its length, and where the fridge's inside is heading.
    V h, heading, bound;
    Bool switches;  // the thermostat, at its end
    fridge::Motion<V> inside_moves{}, box_moves{};
    // The battery's side of the bus, and the solved bus.
    V coulombic, open_circuit_v, polarisation_v;
    circuit::BusState<V> solved;
    // At its end.
    V out_a;  // of the wells
    V inside, coldest, warmest, warm_h;
    V available_end, relative_end, terminal_end_v, distribution_end_v, fridge_end_v;
};

template <class V>
RT_INLINE void set_switches(const StepInput<V>& in, const TrialState<V>& s, Segment<V>& g) {
    g.alive = !s.bus_open;
    g.distribution_on = g.alive & !s.system_open;
    g.fridge_ready = g.distribution_on & !s.fridge_open;
    g.runs = g.fridge_ready & ((s.inside_c >= in.high_c) | (s.running & (s.inside_c > in.low_c)));
    g.in_event = (g.t >= in.event_on_h) & (g.t < in.event_off_h);
}

// Currents that are asked for and those that are served. Chargers feed nothing where the BMS has opened.
template <class V>
RT_INLINE void set_demand(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in, const TrialState<V>& s,
                          const StepFrame<V>& f, Segment<V>& g) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V zero(T(0)), one(T(1));
    g.offer = supplies_at(plan, in, f.given, g.t);
    const V event = select(g.in_event, in.event_a, zero);
    g.asked_distribution_a = in.distribution_a + event * (one - in.event_at_terminals);
    g.asked_terminal_a = in.terminal_a + event * in.event_at_terminals;
    g.bus.distribution_a = select(g.distribution_on, g.asked_distribution_a, zero);
    g.bus.terminal_a = select(g.alive, g.asked_terminal_a, zero);
    g.bus.fridge_w = select(g.runs & g.active, f.fridge_w, zero);
    const Bool connected = c.battery.laws.has_bms ? g.alive & g.active : g.active;  // an inactive lane asks for no work
    g.bus.solar_w = select(connected, g.offer.solar_w, zero);
    g.bus.solar_a = select(connected, g.offer.solar_a, zero);
    g.bus.dc_dc_a = select(connected, g.offer.dc_dc_a, zero);
    g.bus.mains_a = select(connected, g.offer.mains_a, zero);
    g.net_a = nominal_net_a(g.bus);
    g.cable = take_cable(plan, c, in, g.available, f.factor, g.bus, g.net_a);
    g.heater_a = zero;
    if (c.battery.heater_w > T(0)) {  // takes what the chargers give beyond the loads
        const Bool cold = g.alive & (s.battery.temp_c < V(c.battery.heated_to_c - T(kWarmEnoughK)));
        g.heater_a =
            select(cold, clamp(-g.net_a, zero, V(c.battery.heater_w * T(1 / circuit::kNominalChargingV))), zero);
    }
}

// How long the switches hold: to the end of the step, an event, a source's beginning or end, the thermostat, warm
// cells, or an empty battery.
template <class V>
RT_INLINE void set_length(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in, const TrialState<V>& s,
                          const StepFrame<V>& f, bool last, Segment<V>& g) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1)), never(T(1e6)), remaining = f.whole_h - g.t;
    g.heading = select(g.runs, f.around.on_equilibrium_c, f.around.off_equilibrium_c);
    g.bound = select(g.runs, in.low_c, in.high_c);
    V to_switch;
    if (plan.fridge.freezer_box()) {
        f.box.motions(s.inside_c, s.freezer_c, g.runs, g.inside_moves, g.box_moves);
        to_switch = select(g.fridge_ready, fridge::first_meets(g.inside_moves, g.bound, remaining), never);
    } else {
        to_switch = select(g.fridge_ready, fridge::hours_until(s.inside_c, g.bound, g.heading, f.around.tau_h), never);
    }
    const V to_event =
        select(g.t < in.event_on_h, in.event_on_h - g.t, select(g.in_event, in.event_off_h - g.t, never));
    V h = min(remaining, to_event);
    if (f.given.drive) h = min(h, in.drive.until_change(g.t));
    if (f.given.powered) h = min(h, in.powered.until_change(g.t));
    if (f.given.idle) h = min(h, in.idle.until_change(g.t));
    if (f.given.generator) h = min(h, in.generator.until_change(g.t));
    h = min(h, to_switch);
    if (c.battery.heater_w > T(0)) {
        const V to_warm = (V(c.battery.heated_to_c) - s.battery.temp_c) * c.battery.cells_wh_per_k /
                          (max(g.heater_a, V(T(1e-3))) * V(T(circuit::kNominalChargingV)));
        h = select(g.heater_a > zero, min(h, max(to_warm, V(T(kShortestEmptyH)))), h);
        g.net_a += g.heater_a;
        g.bus.terminal_a += g.heater_a;
    }
    g.load_share = clamp(g.net_a * V(T(100)) / c.battery.capacity_ah, zero, one);
    // The available well empties the faster, the less time the bound one has to follow.
    const V left_ah = (g.available - g.load_share * (one - f.factor) - V(T(kEmptyShare))) * c.battery.q_max_ah;
    const V asked_a = max(g.net_a, V(T(1e-3)));
    if (any((g.net_a > zero) & (left_ah * V(T(0.99) * c.battery.wells.c) < asked_a * h))) {
        const V all_h = left_ah / asked_a, follows = V(c.battery.wells.k) * max(all_h, zero);
        const V to_empty = all_h * (V(c.battery.wells.c) + V(T(1) - c.battery.wells.c) * follows / (one + follows));
        h = select(g.net_a > zero, min(h, max(to_empty, V(T(kShortestEmptyH)))), h);
    }
    if (last) h = remaining;
    g.h = select(g.active, h, zero);
    g.switches = g.active & (to_switch <= g.h);
}

// The chargers' set voltage: the highest of those at work.
template <class V>
RT_INLINE V charge_voltage(const trip::Plan& plan, const circuit::BusInput<V>& bus, typename V::Bool floating) {
    using T = typename V::Scalar;
    const V zero(T(0));
    V set_v = zero;
    const V offered[charging::kSources] = {bus.solar_w + bus.solar_a, bus.dc_dc_a, bus.mains_a};
    for (int k = 0; k < charging::kSources; ++k) {
        const V v = select(floating, V(T(plan.stages[k].float_v)), V(T(plan.stages[k].absorption_v)));
        set_v = select(offered[k] > zero, max(set_v, v), set_v);
    }
    return set_v;
}

template <class V>
RT_INLINE void solve_bus(const trip::Plan& plan, const Trial<V>& c, const TrialState<V>& s, const StepFrame<V>& f,
                         Segment<V>& g) {
    using T = typename V::Scalar;
    const V zero(T(0)), h_safe = max(g.h, V(T(1e-6)));
    circuit::BusInput<V>& bus = g.bus;
    V set_v = bus.set_v = charge_voltage(plan, bus, s.floating);
    if (plan.alternator.cable) set_v = max(set_v, g.cable.volts);  // from here on: whether anything charges
    const bool charges = any(g.active & (set_v > zero));           // else what is for charging only is left out
    g.coulombic = c.battery.coulombic;
    bus.discharge_ohm = bus.charge_ohm = c.battery.resistance_ohm;
    if (c.battery.laws.polarises && charges) {
        const V missing = max(c.battery.q_max_ah - s.battery.q_ah, zero);
        const V i10 = clamp(-g.net_a, zero, c.battery.acceptance * missing) * V(T(10)) / c.battery.capacity_ah;
        g.coulombic = battery::agm_stored_share(c.battery, g.relative, i10);
        bus.charge_ohm = battery::agm_charge_ohm(c.battery, g.relative, s.battery.temp_c);
    }
    g.open_circuit_v = battery::source_voltage(c.battery, g.available, f.factor, g.load_share);
    g.polarisation_v = s.battery.polarisation_v;
    bus.source_v = g.open_circuit_v - g.polarisation_v;
    // Its voltage follows its charge: that is what it gives on the way down.
    if (c.battery.laws.falls_to_float && any((bus.set_v > zero) & (bus.set_v < bus.source_v)))
        bus.fall_ohm = max(bus.discharge_ohm, c.battery.open_circuit_v.slope(g.available) * h_safe /
                                                  (V(c.battery.wells.c) * c.battery.q_max_ah));
    bus.shared_ohm = c.shared_ohm;
    bus.branch_ohm = c.branch_ohm;
    bus.acceptance_a = zero;
    if (charges)
        bus.acceptance_a = select(set_v > zero, battery::acceptance_a(c.battery, s.battery, g.coulombic, h_safe), zero);
    g.solved = plan.alternator.cable ? charging::balance_with_cable(bus, g.cable) : circuit::balance(bus);
}

template <class V>
RT_INLINE void advance_battery(const Trial<V>& c, const StepFrame<V>& f, TrialState<V>& s, Segment<V>& g) {
    using T = typename V::Scalar;
    const circuit::BusState<V>& b = g.solved;
    g.out_a = select(b.battery_a > V(T(0)), b.battery_a, g.coulombic * b.battery_a);
    battery::BatteryState<V> next = s.battery;
    battery::advance_wells(c.battery.wells, g.out_a, g.h, next.q_ah, next.height_difference_ah);
    const V next_available = battery::available_charge(c.battery, next);
    const V mean_available = V(T(0.5)) * (g.available + next_available);
    next.polarisation_v = battery::next_polarisation(c.battery, s.battery, mean_available, b.battery_a, g.h);
    s.battery.q_ah = select(g.active, next.q_ah, s.battery.q_ah);
    s.battery.height_difference_ah = select(g.active, next.height_difference_ah, s.battery.height_difference_ah);
    s.battery.polarisation_v = select(g.active, next.polarisation_v, s.battery.polarisation_v);
    if (c.battery.heater_w > T(0)) {
        const V warmed = s.battery.temp_c + g.heater_a * b.terminal_v * g.h / c.battery.cells_wh_per_k;
        s.battery.temp_c = select(g.active, warmed, s.battery.temp_c);
    }
    // Volts at the end, with this segment's currents.
    g.relative_end = s.battery.q_ah / c.battery.q_max_ah;
    g.available_end = select(g.active, next_available, g.available);
    const V rest_end = battery::source_voltage(c.battery, g.available_end, f.factor, g.load_share);
    g.terminal_end_v =
        select(b.limited, b.terminal_v, rest_end - s.battery.polarisation_v - b.resistance_ohm * b.battery_a);
    g.distribution_end_v = g.terminal_end_v - (b.terminal_v - b.distribution_v);
    g.fridge_end_v = g.distribution_end_v - (b.distribution_v - b.fridge_v);
}

// Where the inside and the freezer box get to. The state's inside is that of the beginning until the accounts are made.
template <class V>
RT_INLINE void advance_fridge(const trip::Plan& plan, const TrialState<V>& s, const StepFrame<V>& f, Segment<V>& g,
                              V& freezer_c) {
    freezer_c = s.freezer_c;
    if (plan.fridge.freezer_box()) {
        g.inside = select(g.switches, g.bound, g.inside_moves.at(g.h));
        const V turned = g.inside_moves.at(fridge::turning_h(g.inside_moves, g.h));
        g.coldest = min(min(s.inside_c, g.inside), turned);
        g.warmest = max(g.inside, turned);
        freezer_c = g.box_moves.at(g.h);
    } else {
        g.inside = fridge::inside_after(s.inside_c, g.heading, f.around.tau_h, g.h);
        g.inside = select(g.switches, g.bound, g.inside);
        g.coldest = min(s.inside_c, g.inside);
        g.warmest = g.inside;
    }
}

}  // namespace ridethrough::engine
