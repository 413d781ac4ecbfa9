// A fridge's numbers: as compiled (the same for every trial, in double), and as one pack of trials has them.
#pragma once

#include "ridethrough/base/nominal_volts.hpp"
#include "ridethrough/fridge/freezer_box.hpp"
#include "ridethrough/fridge/ice.hpp"
#include "ridethrough/random/parameters.hpp"

namespace ridethrough::fridge {

struct Model {
    double set_point_c = 0, hysteresis_k = 0, carnot_loss_per_k = 0;
    double door_opening_wh_per_k = 0, cutout_delay_h = 0, restart_wait_h = 0;
    random::ParameterIndex ua_w_per_k, heat_leak_factor, heat_capacity_kj_per_k, compressor_w, carnot_share,
        vent_rise_k, start_loss_s, door_openings, cutout_v, restart_v;
    // What it may have besides; none where it has not.
    random::ParameterIndex initial_inside_c, cover_factor, fan_a, vent_factor;
    random::ParameterIndex freezer_capacity, freezer_coupling, freezer_leak, freezer_cooling;
    random::ParameterIndex coldest_k, warmest_k;
    random::ParameterIndex ice_kg, ice_coupling;
    double evaporator_c = kEvaporatorC;
    int set_back_from_h = 0, set_back_to_h = 0;
    double set_back_k = 0;
    random::DrawIndex draws;  // door openings and, on day 0, the inside at the start

    RT_INLINE bool freezer_box() const { return static_cast<bool>(freezer_capacity); }
    RT_INLINE bool ice() const { return static_cast<bool>(ice_kg); }
    RT_INLINE bool medicine() const { return static_cast<bool>(coldest_k); }
    // Whether the thermostat is set back in a clock hour; the span may go over midnight.
    RT_INLINE bool set_back(int hour) const {
        const bool after = hour >= set_back_from_h, before = hour < set_back_to_h;
        return set_back_k > 0 && (set_back_from_h < set_back_to_h ? after && before : after || before);
    }
};

// Of one pack of trials.
template <class V>
struct Fridge : FridgeTrial<V> {
    V start_loss_h;  // by which a run of the compressor is longer for having started
    V fan_w, coldest_k, warmest_k, ice_w_per_k;
    V cutout_v, restart_v, cutout_delay_h, restart_wait_h;
    FreezerTrial<V> freezer;
};

template <class V>
RT_INLINE Fridge<V> of_trials(const Model& m, random::Parameters<V> x) {
    using T = typename V::Scalar;
    const V zero(T(0));
    Fridge<V> f;
    f.ua_w_per_k = x[m.ua_w_per_k] * x[m.heat_leak_factor];
    f.capacity_wh_per_k = x[m.heat_capacity_kj_per_k] * V(T(1.0 / 3.6));
    f.compressor_w = x[m.compressor_w];
    f.carnot_share = x[m.carnot_share];
    f.carnot_share_loss_per_k = V(T(m.carnot_loss_per_k));
    f.vent_rise_k = x[m.vent_rise_k];
    f.start_loss_h = x[m.start_loss_s] * V(T(1.0 / 3600));
    f.low_c = V(T(m.set_point_c) - T(m.hysteresis_k));
    f.high_c = V(T(m.set_point_c) + T(m.hysteresis_k));
    f.cutout_v = x[m.cutout_v];
    f.restart_v = x[m.restart_v];
    f.cutout_delay_h = V(T(m.cutout_delay_h));
    f.restart_wait_h = V(T(m.restart_wait_h));
    f.fan_w = f.coldest_k = f.warmest_k = f.ice_w_per_k = zero;
    f.freezer = {zero, zero, zero, zero};
    if (m.cover_factor) f.ua_w_per_k *= x[m.cover_factor];
    if (m.fan_a) {
        f.fan_w = x[m.fan_a] * V(T(base::kNominalSystemV));
        f.vent_rise_k *= x[m.vent_factor];
    }
    if (m.medicine()) {
        f.coldest_k = x[m.coldest_k];
        f.warmest_k = x[m.warmest_k];
    }
    if (m.ice()) f.ice_w_per_k = x[m.ice_coupling];
    if (m.freezer_box()) {
        f.freezer = {x[m.freezer_capacity] * V(T(1.0 / 3.6)), x[m.freezer_coupling], x[m.freezer_leak],
                     x[m.freezer_cooling]};
        f.evaporator_k = V(T(m.evaporator_c) + T(273.15));
        f.lift_k = V(T(kCondenserRiseK) - T(m.evaporator_c));
    }
    return f;
}

}  // namespace ridethrough::fridge
