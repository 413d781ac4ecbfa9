// The weeks before the trip, for the kernel: a van that stands, with what is always on, the battery's own loss and the
// mean sun on its roof. Steady currents, so the charge is an exponential, held at full by the regulator.
#pragma once

#include "ridethrough/simd/elementary.hpp"
#include "ridethrough/simd/pack.hpp"
#include "ridethrough/engine/slots.hpp"

namespace ridethrough::engine {

template <class T>
struct StoragePlan {
    int weeks = -1, bypass_share = -1, self_discharge = -1, sun_share = -1;  // slots; -1: no storage
    bool isolator_on = false;
    T sun_h_per_day = 0;  // mean irradiation on the horizontal, kWh/m2 a day; 0 where none reaches a connected panel

    bool any() const { return weeks >= 0; }
};

constexpr double kStorageV = 13.5, kDaysAMonth = 365.0 / 12;

// Charge, as a share of full, after a time of constant net current and a loss in proportion to the charge.
template <class V>
RT_INLINE V charge_after(V charge, V net_per_day, V loss_per_day, V days) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1)), x = loss_per_day * days;
    const auto small = x < V(T(1e-3));
    const V decay = simd::exp(-x);
    const V mean_days =
        simd::select(small, days * (one - V(T(0.5)) * x), (one - decay) / simd::max(loss_per_day, V(T(1e-9))));
    return simd::clamp(charge * decay + net_per_day * mean_days, zero, one);
}

// `x`: the trial's numbers; `standby_a`: all that is always on; `capacity_ah`: charge of the full battery.
template <class T, class V>
RT_INLINE V charge_after_storage(const StoragePlan<T>& p, const V* x, V standby_a, V capacity_ah) {
    const V one(T(1));
    const V drain_ah = V(T(24)) * standby_a * (p.isolator_on ? one : x[p.bypass_share]);
    const V solar_w_days = x[kRatedW] * (one - x[kDirtLoss]) * (one - x[kOtherLoss]) * x[kRegulatorEfficiency];
    const V solar_ah = solar_w_days * V(p.sun_h_per_day * T(1 / kStorageV)) * x[kGhiScale] * x[p.sun_share];
    return charge_after(x[kStartCharge], (solar_ah - drain_ah) / capacity_ah,
                        x[p.self_discharge] * V(T(1 / kDaysAMonth)), V(T(7)) * x[p.weeks]);
}

}  // namespace ridethrough::engine
