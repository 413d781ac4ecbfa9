// Starts of a heater, which need a voltage: one is decided in the step in which it falls, and succeeds in the lanes
// whose battery then holds the voltage up under the glow current; elsewhere the use is lost and counted.
#pragma once

#include "ridethrough/cabin/heater.hpp"
#include "ridethrough/engine/step.hpp"
#include "ridethrough/loads/events.hpp"

namespace ridethrough::engine {

// Voltage at the terminals of a load that begins at `t` within the step and draws `start_a` through `ohm` of its own,
// with the wells and the polarisation of the step's beginning and the currents of `t`.
template <class V>
RT_INLINE V voltage_at_start(const trip::Plan& plan, const Trial<V>& c, const TrialState<V>& s, const StepInput<V>& in,
                             V t, V start_a, V ohm) {
    using T = typename V::Scalar;
    const V zero(T(0));
    const auto in_event = (t >= in.event_on_h) & (t < in.event_off_h);
    const V event = select(in_event, in.event_a, zero);
    circuit::BusInput<V> bus;
    bus.distribution_a = in.distribution_a + event * (V(T(1)) - in.event_at_terminals) + start_a;
    bus.terminal_a = in.terminal_a + select(s.inverter_open, zero, in.inverter_a + event * in.event_at_terminals);
    const V fan_w = plan.fridge.fan_a ? c.fridge.fan_w : zero;
    bus.fridge_w = select(s.running & !s.fridge_open, c.fridge.compressor_w + fan_w, zero);
    const Supplies<V> offer = supplies_at(plan, in, SourcesGiven(in), t);
    bus.solar_w = offer.solar_w;
    bus.solar_a = offer.solar_a;
    bus.dc_dc_a = offer.dc_dc_a;
    bus.mains_a = offer.mains_a;
    const V factor = battery::capacity_factor(c.battery, s.battery.temp_c);
    const V available = battery::available_charge(c.battery, s.battery);
    V net_a = nominal_net_a(bus);
    const charging::Cable<V> cable = take_cable(plan, c, in, available, factor, bus, net_a);
    const V load_share = clamp(net_a * V(T(100)) / c.battery.capacity_ah, zero, V(T(1)));
    bus.source_v = battery::source_voltage(c.battery, available, factor, load_share) - s.battery.polarisation_v;
    bus.discharge_ohm = bus.charge_ohm = c.battery.resistance_ohm * battery::slowness(c.battery, s.battery.temp_c);
    bus.shared_ohm = c.shared_ohm;
    bus.branch_ohm = c.branch_ohm;
    bus.set_v = bus.acceptance_a = zero;  // chargers are counted by their current alone: the low side
    if (!plan.alternator.cable) return circuit::balance(bus).distribution_v - ohm * start_a;
    bus.acceptance_a = V(T(1e6));  // the battery then sets the voltage that the cable meets: the low side too
    return charging::balance_with_cable(bus, cable).distribution_v - ohm * start_a;
}

// Decides the starts that fall in the row's bin of the day and in those that have been passed over before it: those
// before the trip's first step, those that the clock skips. `in` holds the step's currents and supplies before them.
template <class V>
RT_INLINE void decide_starts(const trip::Plan& plan, const Trial<V>& c, TrialState<V>& s, const StepInput<V>& in,
                             random::Parameters<V> x, const Row<V>& row, const loads::DayBins<V>& bins, V* load_ah,
                             cabin::HeaterState<V>& heat) {
    using T = typename V::Scalar;
    const cabin::HeaterModel& h = plan.heater;
    const V zero(T(0)), step_h(T(plan.step_h));
    const V from = row.bin * step_h, to = (row.bin + V(T(1))) * step_h, earliest = row.first_bin_to_decide * step_h;
    for (int i = 0; i < cabin::kHeaterUses; ++i) {
        const auto on = i == cabin::kEvening ? goes_on(h, heat) : V::Bool::all(false);
        const V start = select(on, V(T(h.evening_from_h)), heat.today.start[i]), end(heat.today.end[i]);
        const auto begins = (row.first_time > zero) & (start >= earliest) & (start < to) & (end > max(start, from));
        if (!any(begins)) continue;
        const V volts = voltage_at_start(plan, c, s, in, max(start - from, zero), x[h.glow_a], V(T(h.supply_ohm)));
        const auto starts = begins & !s.bus_open & !s.system_open & (on | (volts >= x[h.starts_above_v]));
        s.column[kFailedStarts] += select(begins & !starts, V(T(1)), zero);
        heat.runs[i][0] = select(starts, start, heat.runs[i][0]);
        const V glow_a = select(starts & !on, x[h.glow_a], zero);
        bins.add(start, min(start + V(T(h.glow_h)), end), glow_a, false, load_ah[h.load]);
    }
}

}  // namespace ridethrough::engine
