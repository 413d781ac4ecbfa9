// What the vehicle and the state of its battery add to a plan: nothing unless asked for. T is the kernel's number type.
#pragma once

#include "ridethrough/base/math.hpp"
#include "ridethrough/simd/pack.hpp"
#include "ridethrough/battery/battery.hpp"
#include "ridethrough/engine/slots.hpp"

namespace ridethrough::engine {

enum InputPriority : int { kBothInputs, kSolarFirst, kAlternatorFirst };
// With one input at a time the Sun's counts from this power; from memory, weak.
constexpr double kSolarInputW = 15;

template <class T>
struct VehiclePlan {
    bool link = false;  // a plain cable in place of a DC-DC charger; kDcDcA is then the most that it carries
    InputPriority priority = kBothInputs;
    T cycling_share = 0;
    T generator_a = 0;  // most that it lets the mains charger give
    T heater_w = 0, heated_to_c = 0, cells_wh_per_k_ah = 0;
    // Places of numbers that only some vans have, -1 where there is none. `second`: capacity, health, resistance.
    int restart_slot = -1, idle_slot = -1, measured_slot = -1, second_slot = -1;
    // [steps][2] like Plan::drive, and [steps] K of the engine's heat around the battery; null where there is none.
    const T *idle = nullptr, *generator = nullptr, *battery_rise_k = nullptr;
};

// Voltage at the input of a charger that takes constant power over a cable; 0 where the cable cannot carry it.
template <class V>
RT_INLINE V supply_input_v(V alternator_v, V supply_mohm, V input_w) {
    using T = typename V::Scalar;
    const V left = alternator_v * alternator_v - V(T(0.004)) * supply_mohm * input_w;
    const V input_v = V(T(0.5)) * (alternator_v + simd::sqrt(simd::max(left, V(T(0)))));
    return simd::select(left > V(T(0)), input_v, V(T(0)));
}

// Output current of the DC-DC charger that is asked for `wanted_a`. The input voltage under load decides whether it
// holds. With a restart level it must also be able to start: without load its input is at the alternator's voltage. One
// that starts and drops out goes on cycling, and gives its cycling share.
template <class T, class V>
RT_INLINE V dc_dc_current_a(const VehiclePlan<T>& plan, const V* x, V wanted_a) {
    const V zero(T(0));
    const V input_w = wanted_a * V(T(13.8)) / x[kDcDcEfficiency];
    const V input_v = supply_input_v(x[kAlternatorV], x[kSupplyMohm], input_w);
    const auto holds = (input_v > zero) & (input_v >= x[kLockoutV]);
    V amps = simd::select(holds, wanted_a, zero);
    if (plan.restart_slot >= 0) {
        const V cycling = V(plan.cycling_share) * wanted_a;
        amps = simd::select(x[kAlternatorV] >= x[plan.restart_slot], simd::select(holds, wanted_a, cycling), zero);
    }
    return amps;
}

// A measured capacity, and a second battery in parallel. `b` holds the first one as declared.
template <class T, class V>
RT_INLINE void battery_as_it_is(const VehiclePlan<T>& plan, const V* x, T q_max_per_capacity,
                                battery::BatteryTrial<V>& b) {
    if (plan.measured_slot >= 0) b.capacity_ah = x[plan.measured_slot];
    if (plan.second_slot >= 0) {
        const V* second = x + plan.second_slot;
        b.capacity_ah += second[0] * second[1];
        const V ohm = second[2] * V(T(0.1)) / second[0];
        b.resistance_ohm = b.resistance_ohm * ohm / (b.resistance_ohm + ohm);
    }
    b.q_max_ah = b.capacity_ah * V(q_max_per_capacity);
}

}  // namespace ridethrough::engine
