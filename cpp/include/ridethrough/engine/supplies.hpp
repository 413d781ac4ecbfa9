// What a step is given, and what the van's sources offer at a time within it, in lanes.
#pragma once

#include "ridethrough/base/nominal_volts.hpp"
#include "ridethrough/battery/battery.hpp"
#include "ridethrough/charging/alternator_cable.hpp"
#include "ridethrough/charging/dc_dc.hpp"
#include "ridethrough/circuit/bus.hpp"
#include "ridethrough/engine/row.hpp"
#include "ridethrough/fridge/model.hpp"
#include "ridethrough/trip/plan.hpp"

namespace ridethrough::engine {

// What a pack of trials has drawn for the whole trip, and what the plan says in the kernel's number type.
template <class V>
struct Trial {
    battery::Battery<V> battery;
    fridge::Fridge<V> fridge;
    V shared_ohm, branch_ohm;
    V disconnect_v, reconnect_v, disconnect_delay_h;                   // where one is fitted
    V inverter_v, inverter_restart_v, inverter_ohm, inverter_delay_h;  // where there is one
};

template <class V>
RT_INLINE Trial<V> of_trials(const trip::Plan& plan, random::Parameters<V> x) {
    using T = typename V::Scalar;
    const V milli(T(0.001)), zero(T(0));
    const bool fitted = plan.disconnect.fitted, inverter = plan.inverter.given;
    return {battery::of_trials(plan.battery, x),
            fridge::of_trials(plan.fridge, x),
            x[plan.wiring.shared_mohm] * milli,
            x[plan.wiring.branch_mohm] * milli,
            fitted ? x[plan.disconnect.cutout_v] : zero,
            fitted ? x[plan.disconnect.restart_v] : zero,
            V(T(plan.disconnect.delay_h)),
            inverter ? x[plan.inverter.cutout_v] : zero,
            inverter ? x[plan.inverter.restart_v] : zero,
            inverter ? x[plan.inverter.branch_mohm] * milli : zero,
            V(T(plan.inverter.cutout_delay_h))};
}

// What the step is given: constant over it.
template <class V>
struct StepInput {
    V distribution_a, terminal_a, inverter_a;
    V event_a, event_on_h, event_off_h, event_at_terminals;  // the latter: on the inverter
    V solar_w, solar_a, dc_dc_a, mains_a;                    // solar_a: of PWM charge controllers, beside solar_w
    Span<V> drive, powered, idle, generator;
    V idle_a, generator_a;
    V drive_share, idle_share;  // of the time for which a DC-DC charger works; its currents are means
    charging::Alternator<V> alternator;
    V cable_ohm;  // both where the plan has a plain cable to the alternator
    typename V::Bool waking;
    V cabin_c, heat_w;
    V low_c, high_c;  // at which the fridge's thermostat switches
    V from_start_h;   // hours since the trip's start
};

// Which sources the step has at all, in any lane.
struct SourcesGiven {
    bool drive, powered, idle, generator;

    template <class V>
    RT_INLINE explicit SourcesGiven(const StepInput<V>& in)
        : drive(any(in.drive.given())),
          powered(any(in.powered.given())),
          idle(any(in.idle.given())),
          generator(any(in.generator.given())) {}
};

template <class V>
struct Supplies {
    V solar_w, solar_a, dc_dc_a, mains_a;  // dc_dc_a of a plain cable: the most that it carries
};

// What is offered `t` hours into the step.
template <class V>
RT_INLINE Supplies<V> supplies_at(const trip::Plan& plan, const StepInput<V>& in, SourcesGiven given, V t) {
    using T = typename V::Scalar;
    using charging::InputPriority;
    const V zero(T(0));
    V dc_dc_a = zero, mains_a = zero;
    if (given.drive) dc_dc_a = select(in.drive.holds(t), in.dc_dc_a, zero);
    if (given.powered) mains_a = select(in.powered.holds(t), in.mains_a, zero);
    if (given.idle) dc_dc_a = select(in.idle.holds(t) & (!in.drive.holds(t)), in.idle_a, dc_dc_a);
    if (given.generator) mains_a = select(in.generator.holds(t) & (!in.powered.holds(t)), in.generator_a, mains_a);
    V sun_w = in.solar_w, sun_a = in.solar_a;  // one charger with two inputs uses one at a time
    if (plan.alternator.priority == InputPriority::solar_first)
        dc_dc_a = select(sun_w + sun_a * V(T(base::kNominalChargingV)) >= V(T(charging::kSolarInputW)), zero, dc_dc_a);
    if (plan.alternator.priority == InputPriority::alternator_first) {
        const V works = select(in.drive.holds(t), in.drive_share, in.idle_share);
        const V rest = select(dc_dc_a > zero, V(T(1)) - works, V(T(1)));
        sun_w *= rest;
        sun_a *= rest;
    }
    return {sun_w, sun_a, dc_dc_a, mains_a};
}

// Loads less supplies, before the bus is solved.
template <class V>
RT_INLINE V nominal_net_a(const circuit::BusInput<V>& bus) {
    using T = typename V::Scalar;
    return bus.distribution_a + bus.terminal_a + bus.fridge_w * V(T(1 / base::kNominalSystemV)) -
           (bus.solar_w * V(T(1 / base::kNominalChargingV)) + bus.solar_a + bus.dc_dc_a + bus.mains_a);
}

// A plain cable to the alternator is no charger: out of the bus's, with what it is about to give in `net_a`. Its
// voltage is the mean of what it has above the battery's under the loads, and of the battery's own, where nothing
// flows: with straight lines for battery and cable this gives the mean current. Chargers that lift the battery, fuse
// and acceptance are not looked at: the first makes it a little low, the others a little high.
template <class V>
RT_INLINE charging::Cable<V> take_cable(const trip::Plan& plan, const Trial<V>& c, const StepInput<V>& in, V available,
                                        V factor, circuit::BusInput<V>& bus, V& net_a) {
    using T = typename V::Scalar;
    const V zero(T(0));
    if (!plan.alternator.cable) return {zero, V(T(1)), zero};
    const V idle_v = battery::source_voltage(c.battery, available, factor, zero);
    net_a += bus.dc_dc_a;
    const V volts = in.alternator.mean_above(idle_v - c.battery.resistance_ohm * max(net_a, zero));
    const charging::Cable<V> cable{select(bus.dc_dc_a > zero, volts, zero), in.cable_ohm, bus.dc_dc_a};
    net_a -= clamp((cable.volts - idle_v) / (in.cable_ohm + c.battery.resistance_ohm), zero, cable.most_a);
    bus.dc_dc_a = zero;
    return cable;
}

}  // namespace ridethrough::engine
