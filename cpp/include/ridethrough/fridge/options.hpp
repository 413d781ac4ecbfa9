// What a fridge may have beside its thermostat, for the kernel: where a trial's numbers of it stand, -1 for none.
#pragma once

#include "ridethrough/fridge/freezer_box.hpp"

namespace ridethrough::fridge {

template <class T>
struct FridgeOptions {
    int start_c = -1;
    int cover_factor = -1;
    int fan_a = -1, vent_factor = -1;
    int freezer_capacity = -1, freezer_coupling = -1, freezer_leak = -1, freezer_cooling = -1;
    int coldest_k = -1, warmest_k = -1;
    T evaporator_c = T(fridge::kEvaporatorC);
    int set_back_from_h = 0, set_back_to_h = 0;
    T set_back_k = 0;

    bool freezer_box() const { return freezer_capacity >= 0; }
    bool medicine() const { return coldest_k >= 0; }
    // Whether the thermostat is set back in a clock hour; the span may go over midnight.
    bool set_back(int hour) const {
        const bool after = hour >= set_back_from_h, before = hour < set_back_to_h;
        return set_back_k > T(0) && (set_back_from_h < set_back_to_h ? after && before : after || before);
    }
};

// The trial's numbers of all that the fridge has.
template <class V>
struct FridgeExtras {
    V fan_w, coldest_k, warmest_k;
    fridge::FreezerTrial<V> freezer;
};

template <class T, class V>
RT_INLINE void fridge_extras(const FridgeOptions<T>& o, const V* x, fridge::FridgeTrial<V>& f, FridgeExtras<V>& e) {
    if (o.cover_factor >= 0) f.ua_w_per_k *= x[o.cover_factor];
    const V zero(T(0));
    e = {zero, zero, zero, {zero, zero, zero, zero}};
    if (o.fan_a >= 0) {
        e.fan_w = x[o.fan_a] * V(T(12));
        f.vent_rise_k *= x[o.vent_factor];
    }
    if (o.medicine()) {
        e.coldest_k = x[o.coldest_k];
        e.warmest_k = x[o.warmest_k];
    }
    if (o.freezer_box()) {
        e.freezer = {x[o.freezer_capacity] * V(T(1.0 / 3.6)), x[o.freezer_coupling], x[o.freezer_leak],
                     x[o.freezer_cooling]};
        f.evaporator_k = V(o.evaporator_c + T(273.15));
        f.lift_k = V(T(fridge::kCondenserRiseK) - o.evaporator_c);
    }
}

}  // namespace ridethrough::fridge
