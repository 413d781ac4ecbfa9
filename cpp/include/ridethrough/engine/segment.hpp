// A segment: a part of a step in which no switch moves. Here in the order in which its parts are worked out.
#pragma once

#include "ridethrough/base/nominal_volts.hpp"
#include "ridethrough/engine/state.hpp"
#include "ridethrough/engine/supplies.hpp"

namespace ridethrough::engine {

// Most cuts of one step. Small fridges switch about four times an hour; an event, a drive or shore power and an
// inverter that comes back cut it too. After the closing ones nothing that has opened closes in it, so that some are
// left.
constexpr int kMostSegments = 14, kClosingSegments = 9;
// A battery gives nothing below empty: the step is cut where it gets there, late in it not before a share of its rest.
constexpr double kEmptyShare = 0.004, kShortestEmptyH = 0.02, kLateEmptyShare = 0.25;
// A charger wakes a battery that its BMS has cut off when it gives this much more than the loads ask for, and not
// sooner than this after the cut-off; both from memory. A segment ends just past that time, or soon where it has
// passed.
constexpr double kWakingCurrentA = 1.0, kBmsWaitH = 0.25, kPastWaitH = 1e-6, kShortestWaitH = 1.0 / 60;
// A BMS that has opened on current closes after this, once what is asked for is less again. From memory.
constexpr double kOvercurrentWaitH = 1.0 / 60;
// Cells that come to their target are warm, on whichever side of it rounding leaves them.
constexpr double kWarmEnoughK = 0.01;

// What holds for the whole step.
template <class V>
struct StepFrame {
    V whole_h;
    fridge::FridgeStep<V> surroundings, with_ice;
    fridge::FreezerStep<V> box;
    V fridge_w;         // of the running compressor and its fan
    V capacity_factor;  // share of the battery's capacity that is there
    V slowness;         // of the battery in the cold
    SourcesGiven given;
};

template <class V>
RT_INLINE StepFrame<V> step_frame(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in,
                                  const TrialState<V>& s) {
    using T = typename V::Scalar;
    StepFrame<V> f{V(T(plan.step_h)),
                   fridge::surroundings(c.fridge, in.cabin_c, in.heat_w),
                   {},
                   {},
                   c.fridge.compressor_w,
                   battery::capacity_factor(c.battery, s.battery.temp_c),
                   battery::slowness(c.battery, s.battery.temp_c),
                   SourcesGiven(in)};
    if (plan.fridge.freezer_box()) f.box = fridge::two_nodes(c.fridge, c.fridge.freezer, in.cabin_c, in.heat_w);
    if (plan.fridge.ice()) f.with_ice = fridge::with_ice(f.surroundings, c.fridge.ua_w_per_k, c.fridge.ice_w_per_k);
    if (plan.fridge.fan_a) f.fridge_w += c.fridge.fan_w;
    return f;
}

template <class V>
struct Segment {
    using Bool = typename V::Bool;
    bool may_close, last;      // of those that a step may have
    V t, available, relative;  // at its beginning: hours into the step; the available well's, share of the full charge
    Bool active;               // lanes that are not yet through with the step

    Bool alive, distribution_on, inverter_on, fridge_ready, runs, in_event;
    // Demand and offer: what is asked for, and what the bus is given of it.
    V asked_distribution_a, asked_terminal_a, asked_inverter_a;  // the last one is part of the second
    V inverter_a;                                                // what it is given
    Supplies<V> offer;
    circuit::BusInput<V> bus;
    charging::Cable<V> cable;
    V net_a, heater_a, load_share;
    // Its length, and what the temperature inside the fridge moves to and switches at, once the compressor has run for
    // what its start costs.
    V h, start_left_h, inside_equilibrium_c, inside_tau_h, switch_at_c;
    V until_melted_h{}, until_freezing_h{};  // where there is ice: until none is left, until the inside is at 0 degC
    Bool melts = Bool::all(false);
    Bool switches;  // the thermostat, at its end
    fridge::Motion<V> inside_moves{}, box_moves{};
    // The battery's side of the bus, and the solved bus.
    V coulombic, open_circuit_v, polarisation_v;
    circuit::BusState<V> solved;
    Bool over = Bool::all(false);  // more is drawn than a BMS allows
    // At its end.
    V out_a;             // of the wells
    V held_h, moving_h;  // of its length: for which the inside is held, and for which it moves
    V inside, coldest, warmest, warm_h;
    V available_end, relative_end, terminal_end_v, distribution_end_v, fridge_end_v;
};

template <class V>
RT_INLINE void set_switches(const Trial<V>& c, const StepInput<V>& in, const TrialState<V>& s, Segment<V>& g) {
    g.alive = !s.bus_open;
    if (g.last) g.alive = g.alive & !(g.available < V(typename V::Scalar(kEmptyShare)));  // it gives nothing any more
    g.distribution_on = g.alive & !s.system_open;
    g.inverter_on = g.alive & !s.inverter_open;
    g.fridge_ready = g.distribution_on & !s.fridge_open;
    g.runs = g.fridge_ready & ((s.inside_c >= in.high_c) | (s.running & (s.inside_c > in.low_c)));
    g.start_left_h = select(g.runs, select(s.running, s.start_left_h, c.fridge.start_loss_h), V(typename V::Scalar(0)));
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
    V event = select(g.in_event, in.event_a, zero);
    if (g.last) {  // it takes what is left of the step, and of the event its mean over that
        const V left_h = max(in.event_off_h - max(in.event_on_h, g.t), zero);
        event = in.event_a * left_h / max(f.whole_h - g.t, V(T(1e-7)));
    }
    g.asked_distribution_a = in.distribution_a + event * (one - in.event_at_terminals);
    g.asked_inverter_a = in.inverter_a + event * in.event_at_terminals;
    g.asked_terminal_a = in.terminal_a + g.asked_inverter_a;
    g.inverter_a = select(g.inverter_on, g.asked_inverter_a, zero);
    g.bus.distribution_a = select(g.distribution_on, g.asked_distribution_a, zero);
    g.bus.terminal_a = select(g.alive, in.terminal_a, zero) + g.inverter_a;
    g.bus.fridge_w = select(g.runs & g.active, f.fridge_w, zero);
    const Bool connected = c.battery.laws.has_bms ? g.alive & g.active : g.active;  // an inactive lane asks for no work
    g.bus.solar_w = select(connected, g.offer.solar_w, zero);
    g.bus.solar_a = select(connected, g.offer.solar_a, zero);
    g.bus.dc_dc_a = select(connected, g.offer.dc_dc_a, zero);
    g.bus.mains_a = select(connected, g.offer.mains_a, zero);
    g.net_a = nominal_net_a(g.bus);
    g.cable = take_cable(plan, c, in, g.available, f.capacity_factor, g.bus, g.net_a);
    g.heater_a = zero;
    if (c.battery.heater_w > T(0)) {  // takes what the chargers give beyond the loads
        const Bool cold = g.alive & (s.battery.temp_c < V(c.battery.heated_to_c - T(kWarmEnoughK)));
        g.heater_a = select(cold, clamp(-g.net_a, zero, V(c.battery.heater_w * T(1 / base::kNominalChargingV))), zero);
    }
}

// Whether a charger wakes a battery that its BMS has cut off, its waiting apart: on a drive or the mains always, the
// sun alone by itself or with somebody's help.
template <class V>
RT_INLINE typename V::Bool wakes(const Trial<V>& c, const StepInput<V>& in, const Segment<V>& g) {
    using T = typename V::Scalar;
    const V spare_a = g.offer.solar_w * V(T(1 / base::kNominalWakingV)) + g.offer.solar_a + g.offer.dc_dc_a +
                      g.offer.mains_a - g.asked_distribution_a - g.asked_terminal_a;
    return (spare_a >= V(T(kWakingCurrentA))) &
           ((g.offer.dc_dc_a + g.offer.mains_a > V(T(0))) | c.battery.wakes_itself | in.waking);
}

// Whether a BMS that has opened on current would find less of it now; what the chargers give is not counted.
template <class V>
RT_INLINE typename V::Bool load_is_gone(const Trial<V>& c, const TrialState<V>& s, const Segment<V>& g) {
    const V lost_a = select(s.inverter_open, g.asked_inverter_a, V(typename V::Scalar(0)));
    return g.asked_distribution_a + g.asked_terminal_a - lost_a <= c.battery.max_discharge_a;
}

// Hours until a switch that is open may close whatever the volts are now: a bus that its BMS has opened, the fridge on
// it, the inverter.
template <class V>
RT_INLINE V until_closing(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in, const TrialState<V>& s,
                          const Segment<V>& g, V h) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V past_h = V(T(kPastWaitH)), shortest_h = V(T(kShortestWaitH)), fridge_h = c.fridge.restart_wait_h;
    if (!g.may_close) return h;
    if (c.battery.laws.has_bms && any(s.bus_open)) {
        const Bool on_current = s.bus_open & s.overcurrent_open;
        const V bms_h = select(on_current, V(T(kOvercurrentWaitH)), V(T(kBmsWaitH)));
        const Bool closes = s.bus_open & select(on_current, load_is_gone(c, s, g), wakes(c, in, g));
        h = select(closes, min(h, max(max(bms_h, fridge_h) - s.waited_h + past_h, shortest_h)), h);
    }
    if (plan.inverter.given && any(s.inverter_open)) {
        const V wait_h = V(T(plan.inverter.restart_wait_h)) - s.inverter_waited_h;
        const Bool wanted = s.inverter_open & g.alive & (g.asked_inverter_a > V(T(0)));
        h = select(wanted & (wait_h > V(T(0))), min(h, wait_h + past_h), h);
    }
    return h;
}

// Where the inside is heading, and the hours until the thermostat switches.
template <class V>
RT_INLINE V set_inside(const trip::Plan& plan, const StepInput<V>& in, const TrialState<V>& s, const StepFrame<V>& f,
                       V remaining, Segment<V>& g) {
    using T = typename V::Scalar;
    const V zero(T(0)), never(T(1e6));
    g.inside_equilibrium_c = select(g.runs, f.surroundings.on_equilibrium_c, f.surroundings.off_equilibrium_c);
    g.inside_tau_h = f.surroundings.tau_h;
    g.switch_at_c = select(g.runs, in.low_c, in.high_c);
    V moving_h;
    if (plan.fridge.freezer_box()) {
        f.box.motions(s.inside_c, s.freezer_c, g.runs, g.inside_moves, g.box_moves);
        moving_h = fridge::first_meets(g.inside_moves, g.switch_at_c, remaining);
    } else {
        if (plan.fridge.ice()) {  // its sign is the same with ice and without
            g.melts =
                (s.ice_wh > zero) & ((s.inside_c > zero) | ((s.inside_c >= zero) & (g.inside_equilibrium_c > zero)));
            const V melting_c = select(g.runs, f.with_ice.on_equilibrium_c, f.with_ice.off_equilibrium_c);
            g.inside_equilibrium_c = select(g.melts, melting_c, g.inside_equilibrium_c);
            g.inside_tau_h = select(g.melts, f.with_ice.tau_h, g.inside_tau_h);
        }
        moving_h = fridge::hours_until(s.inside_c, g.switch_at_c, g.inside_equilibrium_c, g.inside_tau_h);
    }
    return select(g.fridge_ready, g.start_left_h + moving_h, never);
}

// The hours until the ice is used up, or until the inside meets 0 degC while some is left, where that is before `h`.
template <class V>
RT_INLINE V until_ice_changes(const Trial<V>& c, const TrialState<V>& s, V h, Segment<V>& g) {
    using T = typename V::Scalar;
    const V never(T(1e6));
    g.until_melted_h = g.until_freezing_h = never;
    const auto left = g.active & (s.ice_wh > V(T(0)));
    if (!any(left)) return h;
    const V meets_h = fridge::hours_until(s.inside_c, V(T(0)), g.inside_equilibrium_c, g.inside_tau_h);
    g.until_freezing_h = select(left, g.start_left_h + meets_h, never);
    h = min(h, g.until_freezing_h);
    const fridge::HeldApproach<V> inside{s.inside_c, g.inside_equilibrium_c, g.inside_tau_h, g.start_left_h};
    const V kelvin_hours = s.ice_wh / c.fridge.ice_w_per_k;
    const auto ends = g.active & g.melts & (inside.kelvin_hours(h) >= kelvin_hours);
    if (!any(ends)) return h;
    g.until_melted_h = select(ends, fridge::until_kelvin_hours(inside, kelvin_hours, h), never);
    return min(h, g.until_melted_h);
}

// How long the switches hold: to the end of the step, an event, a source's beginning or end, the thermostat, warm
// cells, a battery that a charger wakes, a fridge that may restart on it, or an empty battery.
template <class V>
RT_INLINE void set_length(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in, const TrialState<V>& s,
                          const StepFrame<V>& f, Segment<V>& g) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1)), never(T(1e6)), remaining = f.whole_h - g.t;
    const V to_switch = set_inside(plan, in, s, f, remaining, g);
    const V to_event =
        select(g.t < in.event_on_h, in.event_on_h - g.t, select(g.in_event, in.event_off_h - g.t, never));
    V h = min(remaining, to_event);
    if (f.given.drive) h = min(h, in.drive.until_change(g.t));
    if (f.given.powered) h = min(h, in.powered.until_change(g.t));
    if (f.given.idle) h = min(h, in.idle.until_change(g.t));
    if (f.given.generator) h = min(h, in.generator.until_change(g.t));
    h = min(h, to_switch);
    if (plan.fridge.ice()) h = until_ice_changes(c, s, h, g);
    h = until_closing(plan, c, in, s, g, h);
    if (c.battery.heater_w > T(0)) {
        const V to_warm = (V(c.battery.heated_to_c) - s.battery.temp_c) * c.battery.cells_wh_per_k /
                          (max(g.heater_a, V(T(1e-3))) * V(T(base::kNominalChargingV)));
        h = select(g.heater_a > zero, min(h, max(to_warm, V(T(kShortestEmptyH)))), h);
        g.net_a += g.heater_a;
        g.bus.terminal_a += g.heater_a;
    }
    g.load_share = clamp(g.net_a * V(T(100)) / c.battery.capacity_ah, zero, one);
    // The available well empties the faster, the less time the bound one has to follow.
    const V left_ah = (g.available - g.load_share * (one - f.capacity_factor) - V(T(kEmptyShare))) * c.battery.q_max_ah;
    const V asked_a = max(g.net_a, V(T(1e-3)));
    if (any((g.net_a > zero) & (left_ah * V(T(0.99) * c.battery.wells.c) < asked_a * h))) {
        const V all_h = left_ah / asked_a, follows = V(c.battery.wells.k) * max(all_h, zero);
        const V to_empty = all_h * (V(c.battery.wells.c) + V(T(1) - c.battery.wells.c) * follows / (one + follows));
        V shortest_h = V(T(kShortestEmptyH));
        if (!g.may_close) shortest_h = max(shortest_h, V(T(kLateEmptyShare)) * remaining);
        h = select(g.net_a > zero, min(h, max(to_empty, shortest_h)), h);
    }
    if (g.last) h = remaining;
    g.h = select(g.active, h, zero);
    g.switches = g.active & (to_switch <= g.h);
}

// The chargers' set voltage: the highest of those at work.
template <class V>
RT_INLINE V charge_voltage(const trip::Plan& plan, const circuit::BusInput<V>& bus, typename V::Bool floating,
                           V battery_c) {
    using T = typename V::Scalar;
    const V zero(T(0));
    V set_v = zero;
    const V offered[charging::kSources] = {bus.solar_w + bus.solar_a, bus.dc_dc_a, bus.mains_a};
    for (int k = 0; k < charging::kSources; ++k) {
        V v = select(floating, V(T(plan.stages[k].float_v)), V(T(plan.stages[k].absorption_v)));
        if (plan.stages[k].compensation_v_per_k != 0) v += charging::compensation(plan.stages[k], battery_c);
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
    V set_v = bus.set_v = charge_voltage(plan, bus, s.floating, s.battery.temp_c);
    if (plan.alternator.cable) set_v = max(set_v, g.cable.volts);  // from here on: whether anything charges
    const bool charges = any(g.active & (set_v > zero));           // else what is for charging only is left out
    g.coulombic = c.battery.coulombic;
    bus.discharge_ohm = bus.charge_ohm = c.battery.resistance_ohm * f.slowness;
    V acceptance = zero;
    if (charges) acceptance = battery::acceptance_rate(c.battery, g.relative, s.battery.temp_c, set_v);
    if (c.battery.laws.polarises && charges) {
        const V missing = max(c.battery.q_max_ah - s.battery.q_ah, zero);
        const V i10 = clamp(-g.net_a, zero, acceptance * missing) * V(T(10)) / c.battery.capacity_ah;
        g.coulombic = battery::agm_stored_share(c.battery, g.relative, i10);
        bus.charge_ohm = battery::agm_charge_ohm(c.battery, g.relative, s.battery.temp_c);
    }
    g.open_circuit_v = battery::source_voltage(c.battery, g.available, f.capacity_factor, g.load_share);
    g.polarisation_v = s.battery.polarisation_v;
    bus.source_v = g.open_circuit_v - g.polarisation_v;
    if (c.battery.laws.falls_to_float && any((bus.set_v > zero) & (bus.set_v < bus.source_v))) {
        const V given_a = battery::falling_current_a(c.battery, s.battery, g.available, g.open_circuit_v, f.slowness,
                                                     bus.set_v, h_safe);
        const V above_v = bus.source_v - bus.set_v;
        bus.fall_ohm = select((given_a > zero) & (above_v > zero), above_v / max(given_a, V(T(1e-12))), bus.fall_ohm);
    }
    bus.shared_ohm = c.shared_ohm;
    bus.branch_ohm = c.branch_ohm;
    bus.acceptance_a = zero;
    if (charges)
        bus.acceptance_a =
            select(set_v > zero, battery::acceptance_a(c.battery, s.battery, acceptance, g.coulombic, h_safe), zero);
    if (!c.battery.laws.polarises && any(bus.set_v > zero)) {
        const V held_a = battery::held_current_a(c.battery, s.battery, g.open_circuit_v, f.slowness, bus.set_v, h_safe);
        bus.acceptance_a = select(bus.set_v > zero, min(bus.acceptance_a, held_a), bus.acceptance_a);
    }
    g.solved = plan.alternator.cable ? charging::balance_with_cable(bus, g.cable) : circuit::balance(bus);
    if (c.battery.laws.has_bms) g.over = g.alive & (g.solved.battery_a > c.battery.max_discharge_a);
    g.out_a = select(g.solved.battery_a > zero, g.solved.battery_a, g.coulombic * g.solved.battery_a);
}

// What a segment of `h` hours makes of the battery, and its terminals then, with the segment's currents.
template <class V>
struct BatteryEnd {
    battery::BatteryState<V> state;
    V available, terminal_v;
};
template <class V>
RT_INLINE BatteryEnd<V> battery_after(const Trial<V>& c, const StepFrame<V>& f, const TrialState<V>& s,
                                      const Segment<V>& g, V h) {
    const circuit::BusState<V>& b = g.solved;
    BatteryEnd<V> end{s.battery, {}, {}};
    battery::advance_wells(c.battery.wells, g.out_a, h, end.state.q_ah, end.state.height_difference_ah);
    end.available = battery::available_charge(c.battery, end.state);
    const V mean_available = V(typename V::Scalar(0.5)) * (g.available + end.available);
    end.state.polarisation_v =
        battery::next_polarisation(c.battery, s.battery, mean_available, f.slowness, b.battery_a, h);
    const V rest_v = battery::source_voltage(c.battery, end.available, f.capacity_factor, g.load_share);
    end.terminal_v =
        select(b.limited, b.terminal_v, rest_v - end.state.polarisation_v - b.resistance_ohm * b.battery_a);
    return end;
}

template <class V>
RT_INLINE void advance_battery(const Trial<V>& c, const BatteryEnd<V>& end, TrialState<V>& s, Segment<V>& g) {
    using T = typename V::Scalar;
    const circuit::BusState<V>& b = g.solved;
    s.battery.q_ah = select(g.active, end.state.q_ah, s.battery.q_ah);
    s.battery.height_difference_ah = select(g.active, end.state.height_difference_ah, s.battery.height_difference_ah);
    s.battery.polarisation_v = select(g.active, end.state.polarisation_v, s.battery.polarisation_v);
    if (c.battery.heater_w > T(0)) {
        const V warmed = s.battery.temp_c + g.heater_a * b.terminal_v * g.h / c.battery.cells_wh_per_k;
        s.battery.temp_c = select(g.active, warmed, s.battery.temp_c);
    }
    g.relative_end = s.battery.q_ah / c.battery.q_max_ah;
    g.available_end = select(g.active, end.available, g.available);
    g.terminal_end_v = end.terminal_v;
    g.distribution_end_v = g.terminal_end_v - (b.terminal_v - b.distribution_v);
    g.fridge_end_v = g.distribution_end_v - (b.distribution_v - b.fridge_v);
}

// What melts in a segment; the inside is at 0 degC just where it meets that.
template <class V>
RT_INLINE void melt(const Trial<V>& c, TrialState<V>& s, Segment<V>& g) {
    using T = typename V::Scalar;
    const V zero(T(0));
    g.inside = select(g.active & (g.until_freezing_h <= g.h), zero, g.inside);
    const fridge::HeldApproach<V> inside{s.inside_c, g.inside_equilibrium_c, g.inside_tau_h, g.start_left_h};
    const V left_wh = max(s.ice_wh - c.fridge.ice_w_per_k * inside.kelvin_hours(g.h), zero);
    s.ice_wh = select(g.active & g.melts, select(g.until_melted_h <= g.h, zero, left_wh), s.ice_wh);
}

// Where the inside and the freezer box get to. The state's inside is that of the beginning until the accounts are made.
template <class V>
RT_INLINE void advance_fridge(const trip::Plan& plan, const Trial<V>& c, TrialState<V>& s, Segment<V>& g,
                              V& freezer_c) {
    using T = typename V::Scalar;
    freezer_c = s.freezer_c;
    g.held_h = min(g.start_left_h, g.h);
    g.moving_h = g.h - g.held_h;
    s.start_left_h = select(g.active, g.start_left_h - g.held_h, s.start_left_h);
    // A start would hold it where rounding puts it above the thermostat's temperature or its own beginning.
    const auto moves = g.moving_h > V(T(0));
    const V most_c = select(g.fridge_ready & !g.runs, g.switch_at_c, V(T(1e6)));
    if (plan.fridge.freezer_box()) {
        g.inside = min(select(moves, g.inside_moves.at(g.moving_h), s.inside_c), most_c);
        g.inside = select(g.switches, g.switch_at_c, g.inside);
        const V turned = g.inside_moves.at(fridge::turning_h(g.inside_moves, g.moving_h));
        g.coldest = min(min(s.inside_c, g.inside), turned);
        g.warmest = max(g.inside, turned);
        freezer_c = g.box_moves.at(g.moving_h);
    } else {
        g.inside = fridge::inside_after(s.inside_c, g.inside_equilibrium_c, g.inside_tau_h, g.moving_h);
        g.inside = min(select(moves, g.inside, s.inside_c), most_c);
        if (plan.fridge.ice()) melt(c, s, g);
        g.inside = select(g.switches, g.switch_at_c, g.inside);
        g.coldest = min(s.inside_c, g.inside);
        g.warmest = g.inside;
    }
}

}  // namespace ridethrough::engine
