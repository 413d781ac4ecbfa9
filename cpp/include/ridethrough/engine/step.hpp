// One step of the trip in lanes, cut in time order at the thermostat's switches and at the start and end of the step's
// largest event. Each segment has its real current and exact ampere-hours; volts are tested at its end.
#pragma once

#include "ridethrough/fridge/fridge.hpp"
#include "ridethrough/battery/battery.hpp"
#include "ridethrough/circuit/bus.hpp"
#include "ridethrough/charging/alternator_cable.hpp"
#include "ridethrough/engine/supplies.hpp"

namespace ridethrough::engine {

// Most cuts of one step. Small fridges switch about four times an hour; with an event that makes seven segments. A
// drive or shore power that begins or ends within the step cuts it too.
constexpr int kMostSegments = 10;
// A regulator or charger wakes a battery that its BMS has cut off when it gives this much more than the loads ask for
// (less, and it drops out again at once), and not sooner than this after the cut-off. Both from memory.
constexpr double kWakingCurrentA = 1.0, kBmsWaitH = 0.25;
// A battery gives nothing below empty: the step is cut where it is about to get there.
constexpr double kEmptyShare = 0.004, kShortestEmptyH = 0.02;
// Food warms above this; a cabin below this is cold to sleep in.
constexpr double kWarmFoodC = 5, kColdCabinC = 10;
// Cells that come to their target are warm, on whichever side of it rounding leaves them.
constexpr double kWarmEnoughK = 0.01;

template <class V>
struct TrialState {
    battery::BatteryState<V> battery;
    V inside_c, freezer_c, food_wh, waited_h, absorbed_h, fridge_low_h, system_low_h;
    V warm_spell_h;  // for which the inside has been above 5 degC without a break
    V posts_v;  // of the last segment
    typename V::Bool running, fridge_open, system_open, bus_open, floating, full_today;
    // What the trial comes to.
    V column[kColumns];
    // Both ledgers: charge, and energy at the bus.
    V in_ah, out_ah, stored_ah, source_wh, chemical_wh, wiring_wh, battery_loss_wh;
};

constexpr double kNoVolts = 1e6;  // of a state in which the step was not

template <class V>
struct StepMeans {  // means over the step, for paths
    using T = typename V::Scalar;
    V posts_v{T(0)}, fridge_v{T(0)}, solar_w{T(0)}, dc_dc_w{T(0)}, mains_w{T(0)}, curtailed_w{T(0)}, fridge_w{T(0)},
        other_w{T(0)}, wiring_w{T(0)}, battery_w{T(0)}, battery_a{T(0)}, off{T(0)};
    V lowest_running_v{T(kNoVolts)}, lowest_resting_v{T(kNoVolts)};  // at the fridge's terminals, at segments' ends
};

// Lowest voltage of an hour at the fridge's terminals: with its compressor running, where it ran at all.
template <class V>
struct LowestFridgeVolts {
    using T = typename V::Scalar;
    V running{T(kNoVolts)}, resting{T(kNoVolts)};

    RT_INLINE void add(const StepMeans<V>& step, bool new_hour) {
        if (new_hour) running = resting = V(T(kNoVolts));
        running = min(running, step.lowest_running_v);
        resting = min(resting, step.lowest_resting_v);
    }
    RT_INLINE V value() const { return select(running < V(T(kNoVolts)), running, resting); }
};

template <class T, class V>
RT_INLINE void run_step(const Plan<T>& plan, const TrialConstants<V>& c, const StepInput<V>& in, TrialState<V>& s,
                        StepMeans<V>* means) {
    using Bool = typename V::Bool;
    const V zero(T(0)), one(T(1)), whole(plan.step_h);
    const battery::BatteryKind<T>& kind = plan.battery;
    const fridge::FridgeStep<V> around = fridge::surroundings(c.fridge, in.cabin_c, in.heat_w);
    fridge::FreezerStep<V> box{};
    if (plan.fridge.freezer_box()) box = fridge::two_nodes(c.fridge, c.fridge_extras.freezer, in.cabin_c, in.heat_w);
    V fridge_w = c.fridge.compressor_w;
    if (plan.fridge.fan_a >= 0) fridge_w += c.fridge_extras.fan_w;
    const V factor = battery::capacity_factor(kind, c.battery, s.battery.temp_c);
    V t = zero;
    V head = battery::available_head(kind, c.battery, s.battery), relative = s.battery.q_ah / c.battery.q_max_ah;

    for (int segment = 0; segment < kMostSegments; ++segment) {
        const V remaining = whole - t;
        const Bool active = remaining > V(T(1e-7));
        if (!any(active)) break;

        // Switch positions.
        const Bool alive = !s.bus_open;
        const Bool distribution_on = alive & !s.system_open;
        const Bool fridge_ready = distribution_on & !s.fridge_open;
        const Bool runs =
            fridge_ready & ((s.inside_c >= c.fridge.high_c) | (s.running & (s.inside_c > c.fridge.low_c)));
        const Bool in_event = (t >= in.event_on_h) & (t < in.event_off_h);

        // How long they hold.
        const V heading = select(runs, around.run_c, around.rest_c);
        const V bound = select(runs, c.fridge.low_c, c.fridge.high_c);
        fridge::Motion<V> inside_moves{}, box_moves{};
        V to_switch;
        if (plan.fridge.freezer_box()) {
            box.motions(s.inside_c, s.freezer_c, runs, inside_moves, box_moves);
            to_switch = select(fridge_ready, fridge::first_meets(inside_moves, bound, remaining), V(T(1e6)));
        } else {
            to_switch = select(fridge_ready, fridge::hours_until(s.inside_c, bound, heading, around.tau_h), V(T(1e6)));
        }
        const V to_event =
            select(t < in.event_on_h, in.event_on_h - t, select(in_event, in.event_off_h - t, V(T(1e6))));
        V h = min(remaining, to_event);
        if (in.drive.any()) h = min(h, in.drive.until_change(t));
        if (in.powered.any()) h = min(h, in.powered.until_change(t));
        if (in.idle.any()) h = min(h, in.idle.until_change(t));
        if (in.generator.any()) h = min(h, in.generator.until_change(t));
        h = min(h, to_switch);
        const Supplies<V> offer = supplies_at(plan, in, t);

        // Currents that are asked for and those that are served.
        const V event = select(in_event, in.event_a, zero);
        const V asked_distribution = in.distribution_a + event * (one - in.event_at_posts);
        const V asked_posts = in.posts_a + event * in.event_at_posts;
        circuit::BusInput<V> bus;
        bus.distribution_a = select(distribution_on, asked_distribution, zero);
        bus.posts_a = select(alive, asked_posts, zero);
        bus.fridge_w = select(runs, fridge_w, zero);
        const Bool connected = kind.lithium ? alive : Bool::all(true);
        bus.solar_w = select(connected, offer.solar_w, zero);
        bus.solar_a = select(connected, offer.solar_a, zero);
        bus.dc_dc_a = select(connected, offer.dc_dc_a, zero);
        bus.mains_a = select(connected, offer.mains_a, zero);

        V net_a = nominal_net_a(bus);
        const charging::Link<V> link = take_link(plan, c, in, head, factor, bus, net_a);
        V heater_a = zero;
        if (plan.vehicle.heater_w > T(0)) {
            const Bool cold = alive & (s.battery.temp_c < V(plan.vehicle.heated_to_c - T(kWarmEnoughK)));
            heater_a = select(cold, clamp(-net_a, zero, V(plan.vehicle.heater_w * T(1 / 13.5))), zero);
            const V to_warm = (V(plan.vehicle.heated_to_c) - s.battery.temp_c) * c.cells_wh_per_k /
                              (max(heater_a, V(T(1e-3))) * V(T(13.5)));
            h = select(heater_a > zero, min(h, max(to_warm, V(T(kShortestEmptyH)))), h);
            net_a += heater_a;
            bus.posts_a += heater_a;
        }
        const V load_share = clamp(net_a * V(T(100)) / c.battery.capacity_ah, zero, one);
        // The available well empties the faster, the less time the bound one has to follow.
        const V left_head = head - load_share * (one - factor) - V(T(kEmptyShare));
        const V all_h = left_head * c.battery.q_max_ah / max(net_a, V(T(1e-3)));
        const V follows = V(kind.k) * max(all_h, zero);
        const V to_empty = all_h * (V(kind.c) + V(T(1) - kind.c) * follows / (one + follows));
        h = select(net_a > zero, min(h, max(to_empty, V(T(kShortestEmptyH)))), h);
        if (segment == kMostSegments - 1) h = remaining;
        h = select(active, h, zero);
        const V h_safe = max(h, V(T(1e-6)));
        const Bool switches = active & (to_switch <= h);

        // Chargers' set voltage: the highest of those at work.
        V set_v = zero;
        const V offered[kSources] = {bus.solar_w + bus.solar_a, bus.dc_dc_a, bus.mains_a};
        for (int k = 0; k < kSources; ++k) {
            const V v = select(s.floating, V(plan.stages[k].float_v), V(plan.stages[k].absorption_v));
            set_v = select(offered[k] > zero, max(set_v, v), set_v);
        }
        bus.set_v = set_v;
        if (plan.vehicle.link) set_v = max(set_v, link.volts);  // from here on: whether anything charges

        // The battery's side.
        const bool charges = any(active & (set_v > zero));  // else what is for charging only is left out
        V coulombic = c.battery.coulombic;
        bus.discharge_ohm = bus.charge_ohm = c.battery.resistance_ohm;
        if (!kind.lithium && charges) {
            const V missing = max(c.battery.q_max_ah - s.battery.q_ah, zero);
            const V i10 = clamp(-net_a, zero, c.battery.acceptance * missing) * V(T(10)) / c.battery.capacity_ah;
            coulombic = battery::agm_stored_share(c.battery, relative, i10);
            bus.charge_ohm = battery::agm_charge_ohm(c.battery, relative, s.battery.temp_c);
        }
        const V rest_v = battery::source_voltage(kind, c.battery, head, factor, load_share);
        const V polarisation_v = s.battery.polarisation_v;
        bus.source_v = rest_v - polarisation_v;
        // Its voltage follows its charge: that is what it gives on the way down.
        if (kind.lithium && any((bus.set_v > zero) & (bus.set_v < bus.source_v)))
            bus.fall_ohm = max(bus.discharge_ohm, kind.rest_v.slope(head) * h_safe / (V(kind.c) * c.battery.q_max_ah));
        bus.shared_ohm = c.shared_ohm;
        bus.branch_ohm = c.branch_ohm;
        bus.acceptance_a = zero;
        if (charges)
            bus.acceptance_a =
                select(set_v > zero, battery::acceptance_a(kind, c.battery, s.battery, coulombic, h_safe), zero);
        const circuit::BusState<V> b = plan.vehicle.link ? charging::balance_with_link(bus, link) : circuit::balance(bus);

        // Move the battery and the fridge to the segment's end.
        const V out_a = select(b.battery_a > zero, b.battery_a, coulombic * b.battery_a);
        battery::BatteryState<V> next = s.battery;
        battery::advance_wells(kind, out_a, h, next.q_ah, next.head_ah);
        const V next_head = battery::available_head(kind, c.battery, next);
        const V mean_head = V(T(0.5)) * (head + next_head);
        next.polarisation_v = battery::next_polarisation(kind, c.battery, s.battery, mean_head, b.battery_a, h);
        s.battery.q_ah = select(active, next.q_ah, s.battery.q_ah);
        s.battery.head_ah = select(active, next.head_ah, s.battery.head_ah);
        s.battery.polarisation_v = select(active, next.polarisation_v, s.battery.polarisation_v);
        if (plan.vehicle.heater_w > T(0)) {
            const V warmed = s.battery.temp_c + heater_a * b.posts_v * h / c.cells_wh_per_k;
            s.battery.temp_c = select(active, warmed, s.battery.temp_c);
        }
        V inside, warmest;
        if (plan.fridge.freezer_box()) {
            inside = select(switches, bound, inside_moves.at(h));
            warmest = max(inside, inside_moves.at(fridge::turning_h(inside_moves, h)));
            const V box_c = box_moves.at(h);
            s.freezer_c = select(active, box_c, s.freezer_c);
            s.column[kWarmestFreezerC] =
                select(active, max(s.column[kWarmestFreezerC], box_c), s.column[kWarmestFreezerC]);
        } else {
            inside = fridge::inside_after(s.inside_c, heading, around.tau_h, h);
            inside = select(switches, bound, inside);
            warmest = inside;
        }
        const auto hours_above = [&](V level_c) {
            return plan.fridge.freezer_box() ? fridge::hours_above(level_c, inside_moves, h)
                                             : fridge::hours_above(level_c, s.inside_c, inside, heading, around.tau_h, h);
        };
        const V warm = hours_above(V(T(kWarmFoodC)));
        // A thermostat that turns back at just this temperature does not end a spell.
        const V spell = select(s.inside_c >= V(T(kWarmFoodC)), s.warm_spell_h, zero) + warm;
        s.column[kLongestWarmSpellH] =
            select(active, max(s.column[kLongestWarmSpellH], spell), s.column[kLongestWarmSpellH]);
        s.warm_spell_h = select(active, select(inside >= V(T(kWarmFoodC)), spell, zero), s.warm_spell_h);
        if (any(min(s.inside_c, inside) < V(T(1)))) s.column[kFrozenFoodH] += h - hours_above(zero);
        if (plan.fridge.medicine()) {  // a place is above a temperature when the node is above that less its offset
            const V cold = c.fridge_extras.coldest_k, hot = c.fridge_extras.warmest_k;
            s.column[kMedicineOutColdestH] += h - hours_above(V(T(2)) - cold) + hours_above(V(T(8)) - cold);
            s.column[kMedicineOutWarmestH] += h - hours_above(V(T(2)) - hot) + hours_above(V(T(8)) - hot);
            s.column[kMedicineFrozenH] += h - hours_above(-cold);
        }

        // Accounts. An inactive lane has h = 0 and adds nothing.
        const V other_wh = h * (bus.distribution_a * b.distribution_v + bus.posts_a * b.posts_v);
        const V shared_a = bus.distribution_a + b.fridge_a;
        const V fridge_wh = h * b.fridge_v * b.fridge_a;
        const V solar_wh = h * b.solar_a * b.posts_v, dc_dc_wh = h * b.dc_dc_a * b.posts_v,
                mains_wh = h * b.mains_a * b.posts_v;
        const V curtailed_wh = h * max(in.solar_w + (in.solar_a - b.solar_a) * b.posts_v, zero);
        const V wiring_wh = h * (c.shared_ohm * shared_a * shared_a + c.branch_ohm * b.fridge_a * b.fridge_a);
        const V charge_a = max(-b.battery_a, zero);
        const V battery_loss_wh =
            h * (b.battery_a * (b.resistance_ohm * b.battery_a + polarisation_v - b.overvoltage_v) +
                 rest_v * charge_a * (one - coulombic));
        s.column[kSolarWh] += solar_wh;
        s.column[kDcDcWh] += dc_dc_wh;
        s.column[kMainsWh] += mains_wh;
        s.column[kCurtailedWh] += curtailed_wh;
        s.column[kFridgeWh] += fridge_wh;
        s.column[kOtherLoadsWh] += other_wh;
        s.column[kUnservedAh] += h * (asked_distribution - bus.distribution_a + asked_posts - (bus.posts_a - heater_a));
        s.column[kHoursOff] += select(fridge_ready, zero, h);
        s.column[kHoursAbove5c] += warm;
        s.column[kHoursBelowHalf] += select(relative < V(T(0.5)), h, zero);
        s.wiring_wh += wiring_wh;
        s.battery_loss_wh += battery_loss_wh;
        s.source_wh += solar_wh + dc_dc_wh + mains_wh;
        s.chemical_wh += h * rest_v * out_a;
        s.out_ah += h * max(b.battery_a, zero);
        s.in_ah += h * charge_a;
        s.stored_ah += h * coulombic * charge_a;
        if (means) {
            means->posts_v += h * b.posts_v;
            means->fridge_v += h * b.fridge_v;
            means->solar_w += solar_wh;
            means->dc_dc_w += dc_dc_wh;
            means->mains_w += mains_wh;
            means->curtailed_w += curtailed_wh;
            means->fridge_w += fridge_wh;
            means->other_w += other_wh;
            means->wiring_w += wiring_wh;
            means->battery_w += h * b.battery_a * b.posts_v;
            means->battery_a += h * b.battery_a;
            means->off += select(fridge_ready, zero, h);
        }

        // Volts at the end, with this segment's currents.
        const V relative_end = s.battery.q_ah / c.battery.q_max_ah;
        head = select(active, next_head, head);
        const V rest_end = battery::source_voltage(kind, c.battery, head, factor, load_share);
        const V posts_end =
            select(b.limited, b.posts_v, rest_end - s.battery.polarisation_v - b.resistance_ohm * b.battery_a);
        const V distribution_end = posts_end - (b.posts_v - b.distribution_v);
        const V fridge_end = distribution_end - (b.distribution_v - b.fridge_v);
        if (means) {
            means->lowest_running_v =
                select(active & runs, min(means->lowest_running_v, fridge_end), means->lowest_running_v);
            means->lowest_resting_v =
                select(active & !runs, min(means->lowest_resting_v, fridge_end), means->lowest_resting_v);
        }
        s.column[kLowestCharge] = select(active, min(s.column[kLowestCharge], relative_end), s.column[kLowestCharge]);
        s.column[kWarmestFoodC] = select(active, max(s.column[kWarmestFoodC], warmest), s.column[kWarmestFoodC]);

        // Latches. A delay counts the segments in a row that end below the threshold. The fridge's own cut-out is met
        // first on the way down: the system or the battery opens with it only if the volts stay low without the fridge.
        const Bool fridge_low = runs & (fridge_end < c.cutout_v);
        s.fridge_low_h = select(active, select(fridge_low, s.fridge_low_h + h, zero), s.fridge_low_h);
        const Bool drops_fridge = active & fridge_low & (s.fridge_low_h >= V(plan.fridge_delay_h));
        const V relief_a = select(drops_fridge, b.fridge_a, zero);
        const V posts_without = posts_end + b.resistance_ohm * relief_a;
        Bool drops_system = Bool::all(false);
        if (plan.has_disconnect) {
            const V distribution_without = distribution_end + (b.resistance_ohm + c.shared_ohm) * relief_a;
            const Bool low = distribution_on & (distribution_without < c.disconnect_v) & (b.battery_a > zero);
            s.system_low_h = select(active, select(low, s.system_low_h + h, zero), s.system_low_h);
            drops_system = active & low & (s.system_low_h >= V(plan.disconnect_delay_h));
        }
        const Bool drops_bus = active & alive & (posts_without < V(kind.floor_v));
        const Bool dropped = fridge_ready & (drops_fridge | drops_system | drops_bus);
        const Bool first = dropped & (s.column[kDevice] == zero);
        const V device = select(drops_fridge, V(T(kFridgeCutout)),
                                select(drops_system, V(T(kSystemDisconnect)), V(T(kBatteryCutoff))));
        s.column[kDevice] = select(first, device, s.column[kDevice]);
        s.column[kFirstCutoutH] = select(first, in.from_start_h + t + h, s.column[kFirstCutoutH]);

        const Bool opened = drops_fridge | drops_system | drops_bus;
        s.waited_h = select(opened, zero, s.waited_h + h);
        const Bool waited = active & !opened & (s.waited_h >= V(plan.restart_wait_h));
        Bool bus_back;
        if (kind.lithium) {
            // A charger on a drive or the mains wakes it; the sun alone does so by itself or with somebody's help.
            const V spare_a = offer.solar_w * V(T(1.0 / 13)) + offer.solar_a + offer.dc_dc_a + offer.mains_a -
                              asked_distribution - asked_posts;
            bus_back = (spare_a >= V(T(kWakingCurrentA))) & (s.waited_h >= V(T(kBmsWaitH))) &
                       ((offer.dc_dc_a + offer.mains_a > zero) | c.wakes_itself | Bool::all(in.waking));
        } else {
            bus_back = posts_end >= V(kind.back_v);
        }
        s.bus_open = drops_bus | (s.bus_open & !(waited & bus_back));
        s.system_open = drops_system | (s.system_open & !(waited & alive & (posts_end >= c.reconnect_v)));
        s.fridge_open =
            drops_fridge | (s.fridge_open & !(waited & distribution_on & (distribution_end >= c.restart_v)));
        s.running = select(active, runs, s.running);
        s.posts_v = select(active, posts_end, s.posts_v);
        s.inside_c = select(active, inside, s.inside_c);

        // Charge stages: absorption until the tail current or the time limit, then float; a sagging bus starts again.
        const Bool absorbing = active & b.limited & !s.floating;
        // The time limit of a lithium profile starts where its current starts to fall.
        s.absorbed_h += select(absorbing & (kind.lithium ? relative_end >= V(T(0.9)) : Bool::all(true)), h, zero);
        const Stages<T>& st = plan.stages[in.powered.any() || in.generator.any() ? kMains
                                          : in.drive.any() || in.idle.any()      ? kDcDc
                                                                                 : kSolar];
        const Bool tail =
            absorbing & (-b.battery_a <= V(st.tail_c_rate) * c.battery.capacity_ah) & (relative_end >= V(T(0.9)));
        s.full_today = s.full_today | tail;
        s.floating = (s.floating | tail | (absorbing & (s.absorbed_h >= V(st.absorption_limit_h)))) &
                     !(active & (posts_end < V(T(12.8))));
        relative = relative_end;
        t += h;
    }
}

}  // namespace ridethrough::engine
