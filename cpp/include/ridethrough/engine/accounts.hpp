// What a segment adds to a trial's results and balances. An inactive lane has no hours and adds nothing.
#pragma once

#include "ridethrough/engine/segment.hpp"

namespace ridethrough::engine {

// Food warms above this; a cabin below this is cold to live and sleep in.
constexpr double kWarmFoodC = 5, kColdCabinC = 10;

// Time of a segment for which the inside is above a temperature while it moves. Passed by value and not inlined by
// force, so that the compiler may keep the segment in registers.
template <class V>
V hours_above_one_node(V level_c, V from_c, V to_c, V equilibrium_c, V tau_h, V hours) {
    return fridge::hours_above(level_c, from_c, to_c, equilibrium_c, tau_h, hours);
}
template <class V>
V hours_above_two_nodes(V level_c, fridge::Motion<V> moves, V hours) {
    return fridge::hours_above(level_c, moves, hours);
}
template <class V>
RT_INLINE V moving_above(const trip::Plan& plan, const TrialState<V>& s, const Segment<V>& g, V level_c) {
    if (plan.fridge.freezer_box()) return hours_above_two_nodes(level_c, g.inside_moves, g.moving_h);
    return hours_above_one_node(level_c, s.inside_c, g.inside, g.inside_equilibrium_c, g.inside_tau_h, g.moving_h);
}
// The same with the time for which it is held, above a temperature and not above it: of a lane that never meets the
// temperature exactly all or nothing, so that none hangs on whether its neighbours do.
template <class V>
RT_INLINE V hours_above(const trip::Plan& plan, const TrialState<V>& s, const Segment<V>& g, V level_c) {
    return select(s.inside_c > level_c, g.held_h, V(typename V::Scalar(0))) + moving_above(plan, s, g, level_c);
}
template <class V>
RT_INLINE V hours_below(const trip::Plan& plan, const TrialState<V>& s, const Segment<V>& g, V level_c) {
    return select(s.inside_c > level_c, V(typename V::Scalar(0)), g.held_h) +
           (g.moving_h - moving_above(plan, s, g, level_c));
}

template <class V>
RT_INLINE void account_food(const trip::Plan& plan, const Trial<V>& c, V freezer_c, TrialState<V>& s, Segment<V>& g) {
    using T = typename V::Scalar;
    const V zero(T(0)), warm_c = V(T(kWarmFoodC));
    if (plan.fridge.freezer_box()) {
        s.freezer_c = select(g.active, freezer_c, s.freezer_c);
        s.column[kWarmestFreezerC] =
            select(g.active, max(s.column[kWarmestFreezerC], freezer_c), s.column[kWarmestFreezerC]);
    }
    g.warm_h = hours_above(plan, s, g, warm_c);
    // A thermostat that turns back at just this temperature does not end a spell.
    const V spell = select(s.inside_c >= warm_c, s.warm_spell_h, zero) + g.warm_h;
    s.column[kLongestWarmSpellH] =
        select(g.active, max(s.column[kLongestWarmSpellH], spell), s.column[kLongestWarmSpellH]);
    s.warm_spell_h = select(g.active, select(g.inside >= warm_c, spell, zero), s.warm_spell_h);
    if (any(g.coldest < V(T(1)))) s.column[kFrozenFoodH] += hours_below(plan, s, g, zero);
    if (plan.fridge.medicine()) {  // a place is above a temperature when the node is above that less its offset
        const V cold = c.fridge.coldest_k, hot = c.fridge.warmest_k;
        s.column[kMedicineOutColdestH] +=
            hours_below(plan, s, g, V(T(2)) - cold) + hours_above(plan, s, g, V(T(8)) - cold);
        s.column[kMedicineOutWarmestH] +=
            hours_below(plan, s, g, V(T(2)) - hot) + hours_above(plan, s, g, V(T(8)) - hot);
        s.column[kMedicineFrozenH] += hours_below(plan, s, g, -cold);
    }
    s.column[kHoursAbove5c] += g.warm_h;
    s.column[kWarmestFoodC] = select(g.active, max(s.column[kWarmestFoodC], g.warmest), s.column[kWarmestFoodC]);
}

template <class V>
RT_INLINE void account_energy(const Trial<V>& c, const StepInput<V>& in, TrialState<V>& s, const Segment<V>& g,
                              StepMeans<V>* means) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1)), h = g.h;
    const circuit::BusInput<V>& bus = g.bus;
    const circuit::BusState<V>& b = g.solved;
    const V other_wh = h * (bus.distribution_a * b.distribution_v + bus.terminal_a * b.terminal_v);
    const V shared_a = bus.distribution_a + b.fridge_a;
    const V fridge_wh = h * b.fridge_v * b.fridge_a;
    const V solar_wh = h * b.solar_a * b.terminal_v, dc_dc_wh = h * b.dc_dc_a * b.terminal_v,
            mains_wh = h * b.mains_a * b.terminal_v;
    const V curtailed_wh = h * max(in.solar_w + (in.solar_a - b.solar_a) * b.terminal_v, zero);
    const V wiring_wh = h * (c.shared_ohm * shared_a * shared_a + c.branch_ohm * b.fridge_a * b.fridge_a);
    const V charge_a = max(-b.battery_a, zero), off_h = select(g.fridge_ready, zero, h);
    const V battery_loss_wh = h * (b.battery_a * (b.resistance_ohm * b.battery_a + g.polarisation_v - b.overvoltage_v) +
                                   g.open_circuit_v * charge_a * (one - g.coulombic));
    s.column[kSolarWh] += solar_wh;
    s.column[kDcDcWh] += dc_dc_wh;
    s.column[kMainsWh] += mains_wh;
    s.column[kCurtailedWh] += curtailed_wh;
    s.column[kFridgeWh] += fridge_wh;
    s.column[kOtherLoadsWh] += other_wh;
    s.column[kUnservedAh] +=
        h * (g.asked_distribution_a - bus.distribution_a + g.asked_terminal_a - (bus.terminal_a - g.heater_a));
    s.column[kHoursOff] += off_h;
    s.off_spell_h = select(g.fridge_ready, zero, s.off_spell_h + off_h);
    if (any(s.off_spell_h > zero)) s.column[kLongestOffH] = max(s.column[kLongestOffH], s.off_spell_h);
    s.column[kHoursBelowHalf] += select(g.relative < V(T(0.5)), h, zero);
    s.column[kMinSoc] = select(g.active, min(s.column[kMinSoc], g.relative_end), s.column[kMinSoc]);
    s.wiring_wh += wiring_wh;
    s.battery_loss_wh += battery_loss_wh;
    s.source_wh += solar_wh + dc_dc_wh + mains_wh;
    s.chemical_wh += h * g.open_circuit_v * g.out_a;
    s.out_ah += h * max(b.battery_a, zero);
    s.in_ah += h * charge_a;
    s.stored_ah += h * g.coulombic * charge_a;
    if (!means) return;
    means->terminal_v += h * b.terminal_v;
    means->fridge_v += h * max(b.fridge_v, zero);
    means->solar_w += solar_wh;
    means->dc_dc_w += dc_dc_wh;
    means->mains_w += mains_wh;
    means->curtailed_w += curtailed_wh;
    means->fridge_w += fridge_wh;
    means->other_w += other_wh;
    means->wiring_w += wiring_wh;
    means->battery_w += h * b.battery_a * b.terminal_v;
    means->battery_a += h * b.battery_a;
    means->off += off_h;
    const V lowest_v = max(g.fridge_end_v, zero);  // under 0 V it says what dropping a load gives back
    means->lowest_running_v =
        select(g.active & g.runs, min(means->lowest_running_v, lowest_v), means->lowest_running_v);
    means->lowest_idle_v = select(g.active & !g.runs, min(means->lowest_idle_v, lowest_v), means->lowest_idle_v);
}

}  // namespace ridethrough::engine
