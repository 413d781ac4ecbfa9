// What a step is given, and what the van's sources offer at a time within it, in lanes.
#pragma once

#include "ridethrough/battery/battery.hpp"
#include "ridethrough/charging/alternator_cable.hpp"
#include "ridethrough/charging/dc_dc.hpp"
#include "ridethrough/circuit/bus.hpp"
#include "ridethrough/circuit/nominal_volts.hpp"
#include "ridethrough/fridge/food.hpp"
#include "ridethrough/fridge/model.hpp"
#include "ridethrough/trip/plan.hpp"

namespace ridethrough::engine {

using simd::all;
using simd::any;
using simd::clamp;
using simd::max;
using simd::min;
using simd::select;

// What a pack of trials has drawn for the whole trip, and what the plan says in the kernel's number type.
template <class V>
struct Trial {
    battery::Battery<V> battery;
    fridge::Fridge<V> fridge;
    V shared_ohm, branch_ohm;
    V disconnect_v, reconnect_v, disconnect_delay_h;  // where one is fitted
};

template <class V>
RT_INLINE Trial<V> of_trials(const trip::Plan& plan, random::Parameters<V> x) {
    using T = typename V::Scalar;
    const V milli(T(0.001)), zero(T(0));
    const bool fitted = plan.disconnect.fitted;
    return {battery::of_trials(plan.battery, x),
            fridge::of_trials(plan.fridge, x),
            x[plan.wiring.shared_mohm] * milli,
            x[plan.wiring.branch_mohm] * milli,
            fitted ? x[plan.disconnect.cutout_v] : zero,
            fitted ? x[plan.disconnect.restart_v] : zero,
            V(T(plan.disconnect.delay_h))};
}

// Hours within a step; the same for every lane.
template <class T>
struct Span {
    T on_h = 0, off_h = 0;

    RT_INLINE bool any() const { return off_h > on_h; }
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
// Of a step in one of the plan's tables; none where there is no table.
template <class T>
RT_INLINE Span<T> span_of(const double* spans, int step) {
    if (!spans) return {};
    return {T(spans[2 * step]), T(spans[2 * step + 1])};
}

// What the step is given: constant over it.
template <class V>
struct StepInput {
    V distribution_a, terminal_a, event_a, event_on_h, event_off_h, event_at_terminals;
    V solar_w, solar_a, dc_dc_a, mains_a;  // solar_a: of PWM regulators, beside solar_w
    Span<typename V::Scalar> drive, powered, idle, generator;
    V idle_a, generator_a, alternator_v, cable_ohm;  // cable: where the plan has a plain cable to the alternator
    bool waking;
    V cabin_c, heat_w;
    V from_start_h;  // hours since the trip's start
};

template <class V>
struct Supplies {
    V solar_w, solar_a, dc_dc_a, mains_a;  // dc_dc_a of a plain cable: the most that it carries
};

// What is offered `t` hours into the step.
template <class V>
RT_INLINE Supplies<V> supplies_at(const trip::Plan& plan, const StepInput<V>& in, V t) {
    using T = typename V::Scalar;
    using charging::InputPriority;
    const V zero(T(0));
    V dc_dc_a = zero, mains_a = zero;
    if (in.drive.any()) dc_dc_a = select(in.drive.holds(t), in.dc_dc_a, zero);
    if (in.powered.any()) mains_a = select(in.powered.holds(t), in.mains_a, zero);
    if (in.idle.any()) dc_dc_a = select(in.idle.holds(t) & (!in.drive.holds(t)), in.idle_a, dc_dc_a);
    if (in.generator.any()) mains_a = select(in.generator.holds(t) & (!in.powered.holds(t)), in.generator_a, mains_a);
    V sun_w = in.solar_w, sun_a = in.solar_a;  // one charger with two inputs uses one at a time
    if (plan.alternator.priority == InputPriority::solar_first)
        dc_dc_a =
            select(sun_w + sun_a * V(T(circuit::kNominalChargingV)) >= V(T(charging::kSolarInputW)), zero, dc_dc_a);
    if (plan.alternator.priority == InputPriority::alternator_first) {
        sun_w = select(dc_dc_a > zero, zero, sun_w);
        sun_a = select(dc_dc_a > zero, zero, sun_a);
    }
    return {sun_w, sun_a, dc_dc_a, mains_a};
}

// Loads less supplies, before the bus is solved.
template <class V>
RT_INLINE V nominal_net_a(const circuit::BusInput<V>& bus) {
    using T = typename V::Scalar;
    return bus.distribution_a + bus.terminal_a + bus.fridge_w * V(T(1.0 / 12)) -
           (bus.solar_w * V(T(1 / circuit::kNominalChargingV)) + bus.solar_a + bus.dc_dc_a + bus.mains_a);
}

// A plain cable to the alternator is no charger: out of the bus's, with what it is about to give in `net_a`.
template <class V>
RT_INLINE charging::Cable<V> take_cable(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in, V available,
                                        V factor, circuit::BusInput<V>& bus, V& net_a) {
    using T = typename V::Scalar;
    const V zero(T(0));
    if (!plan.alternator.cable) return {zero, V(T(1)), zero};
    const V idle_v = battery::source_voltage(c.battery, available, factor, zero);
    const charging::Cable<V> cable{select(bus.dc_dc_a > zero, in.alternator_v, zero), in.cable_ohm, bus.dc_dc_a};
    net_a += bus.dc_dc_a;
    net_a -= clamp((cable.volts - idle_v) / (in.cable_ohm + c.battery.resistance_ohm), zero, cable.most_a);
    bus.dc_dc_a = zero;
    return cable;
}

}  // namespace ridethrough::engine
