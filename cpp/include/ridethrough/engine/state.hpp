// What a trial carries from step to step, and what it adds up, in lanes.
#pragma once

#include "ridethrough/battery/battery.hpp"
#include "ridethrough/engine/columns.hpp"

namespace ridethrough::engine {

using simd::min;
using simd::select;

template <class V>
struct TrialState {
    battery::BatteryState<V> battery;
    V start_left_h;  // for which the running compressor still only holds the inside
    V ice_wh;        // heat that the ice in the fridge still takes
    V inside_c, freezer_c, food_wh, waited_h, absorbed_h, fridge_low_h, system_low_h;
    V inverter_low_h, inverter_waited_h, overcurrent_h;
    V off_spell_h;   // for which the fridge has had no supply without a break
    V warm_spell_h;  // for which the inside has been above 5 degC without a break
    V terminal_v;    // of the last segment
    typename V::Bool running, fridge_open, system_open, bus_open, floating, full_today;
    typename V::Bool inverter_open, overcurrent_open;  // the latter: the bus is open for that
    // Per-trial results, as declared in results.def.
    V column[kColumns];
    // Both balances: charge, and energy at the bus.
    V in_ah, out_ah, stored_ah, source_wh, chemical_wh, wiring_wh, battery_loss_wh;
};

constexpr double kNoVolts = 1e6;  // of a state in which the step was not

template <class V>
struct StepMeans {  // means over the step, for hourly time series
    using T = typename V::Scalar;
    V terminal_v{T(0)}, fridge_v{T(0)}, solar_w{T(0)}, dc_dc_w{T(0)}, mains_w{T(0)}, curtailed_w{T(0)}, fridge_w{T(0)},
        other_w{T(0)}, wiring_w{T(0)}, battery_w{T(0)}, battery_a{T(0)}, off{T(0)};
    V lowest_running_v{T(kNoVolts)}, lowest_idle_v{T(kNoVolts)};  // at the fridge's terminals, at segments' ends
};

// Lowest voltage of an hour at the fridge's terminals: with its compressor running, where it ran at all.
template <class V>
struct LowestFridgeVolts {
    using T = typename V::Scalar;
    V running{T(kNoVolts)}, idle{T(kNoVolts)};

    RT_INLINE void add(const StepMeans<V>& step, bool new_hour) {
        if (new_hour) running = idle = V(T(kNoVolts));
        running = min(running, step.lowest_running_v);
        idle = min(idle, step.lowest_idle_v);
    }
    RT_INLINE V value() const { return select(running < V(T(kNoVolts)), running, idle); }
};

}  // namespace ridethrough::engine
