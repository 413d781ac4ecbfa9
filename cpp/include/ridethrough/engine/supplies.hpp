// What a step is given, and what the van's sources offer at a time within it, in lanes.
#pragma once

#include "ridethrough/fridge/fridge.hpp"
#include "ridethrough/battery/battery.hpp"
#include "ridethrough/circuit/bus.hpp"
#include "ridethrough/charging/alternator_cable.hpp"
#include "ridethrough/engine/plan.hpp"

namespace ridethrough::engine {

using simd::all;
using simd::any;
using simd::clamp;
using simd::max;
using simd::min;
using simd::select;

template <class V>
struct TrialConstants {
    battery::BatteryTrial<V> battery;
    fridge::FridgeTrial<V> fridge;
    fridge::FridgeExtras<V> fridge_extras;
    V shared_ohm, branch_ohm, cutout_v, restart_v, disconnect_v, reconnect_v;
    typename V::Bool wakes_itself;
    V cells_wh_per_k;  // of self-heating cells
};

// Hours within a step; the same for every lane.
template <class T>
struct Span {
    T on_h, off_h;

    bool any() const { return off_h > on_h; }
    template <class V>
    RT_INLINE typename V::Bool holds(V t) const {
        return (t >= V(on_h)) & (t < V(off_h));
    }
    // Hours from t to the next beginning or end.
    template <class V>
    RT_INLINE V until_change(V t) const {
        const V never(T(1e6));
        return select(t < V(on_h), V(on_h) - t, select(t < V(off_h), V(off_h) - t, never));
    }
};

// What the step is given: constant over it.
template <class V>
struct StepInput {
    V distribution_a, posts_a, event_a, event_on_h, event_off_h, event_at_posts;
    V solar_w, solar_a, dc_dc_a, mains_a;  // solar_a: of PWM regulators, beside solar_w
    Span<typename V::Scalar> drive, powered;
    Span<typename V::Scalar> idle{}, generator{};
    V idle_a, generator_a, link_v, link_ohm;  // link: where the plan has a plain cable to the alternator
    bool waking;
    V cabin_c, heat_w;
    V from_start_h;  // hours since the trip's start
};

template <class V>
struct Supplies {
    V solar_w, solar_a, dc_dc_a, mains_a;  // dc_dc_a of a plain cable: the most that it carries
};

// What is offered `t` hours into the step.
template <class T, class V>
RT_INLINE Supplies<V> supplies_at(const Plan<T>& plan, const StepInput<V>& in, V t) {
    const V zero(T(0));
    V dc_dc_a = zero, mains_a = zero;
    if (in.drive.any()) dc_dc_a = select(in.drive.holds(t), in.dc_dc_a, zero);
    if (in.powered.any()) mains_a = select(in.powered.holds(t), in.mains_a, zero);
    if (in.idle.any()) dc_dc_a = select(in.idle.holds(t) & (!in.drive.holds(t)), in.idle_a, dc_dc_a);
    if (in.generator.any()) mains_a = select(in.generator.holds(t) & (!in.powered.holds(t)), in.generator_a, mains_a);
    V sun_w = in.solar_w, sun_a = in.solar_a;  // one charger with two inputs uses one at a time
    if (plan.vehicle.priority == kSolarFirst)
        dc_dc_a = select(sun_w + sun_a * V(T(13.5)) >= V(T(kSolarInputW)), zero, dc_dc_a);
    if (plan.vehicle.priority == kAlternatorFirst) {
        sun_w = select(dc_dc_a > zero, zero, sun_w);
        sun_a = select(dc_dc_a > zero, zero, sun_a);
    }
    return {sun_w, sun_a, dc_dc_a, mains_a};
}

// Loads less supplies, before the bus is solved.
template <class V>
RT_INLINE V nominal_net_a(const circuit::BusInput<V>& bus) {
    using T = typename V::Scalar;
    return bus.distribution_a + bus.posts_a + bus.fridge_w * V(T(1.0 / 12)) -
           (bus.solar_w * V(T(1.0 / 13.5)) + bus.solar_a + bus.dc_dc_a + bus.mains_a);
}

// A plain cable to the alternator is no charger: out of the bus's, with what it is about to give in `net_a`.
template <class T, class V>
RT_INLINE charging::Link<V> take_link(const Plan<T>& plan, const TrialConstants<V>& c, const StepInput<V>& in, V head,
                                   V factor, circuit::BusInput<V>& bus, V& net_a) {
    const V zero(T(0));
    if (!plan.vehicle.link) return {zero, V(T(1)), zero};
    const V idle_v = battery::source_voltage(plan.battery, c.battery, head, factor, zero);
    const charging::Link<V> link{select(bus.dc_dc_a > zero, in.link_v, zero), in.link_ohm, bus.dc_dc_a};
    net_a += bus.dc_dc_a;
    net_a -= clamp((link.volts - idle_v) / (in.link_ohm + c.battery.resistance_ohm), zero, link.most_a);
    bus.dc_dc_a = zero;
    return link;
}

}  // namespace ridethrough::engine
