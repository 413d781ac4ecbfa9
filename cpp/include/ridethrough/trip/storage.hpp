// The weeks before the trip, for the kernel: a van that stands, with what is always on, its charge controllers' own
// draw, the battery's own loss and the mean sun on its roof. Steady currents, so the charge is an exponential, held at
// full by the charge controller.
#pragma once

#include "ridethrough/base/nominal_volts.hpp"
#include "ridethrough/random/parameters.hpp"
#include "ridethrough/simd/elementary.hpp"
#include "ridethrough/simd/pack.hpp"
#include "ridethrough/solar/arrays.hpp"

namespace ridethrough::trip {

struct StorageModel {
    random::ParameterIndex weeks, bypass_share, self_discharge, sun_share;  // none: no storage
    bool isolator_on = false, controllers_on = true;
    double sun_h_per_day = 0;  // mean irradiation on the horizontal, kWh/m2 a day; 0 where none reaches a panel

    RT_INLINE bool any() const { return static_cast<bool>(weeks); }
};

constexpr double kDaysAMonth = 365.0 / 12;

// Charge, as a share of full, after a time of constant net current and a loss in proportion to the charge.
template <class V>
RT_INLINE V charge_after(V charge, V net_per_day, V loss_per_day, V days) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1)), x = loss_per_day * days;
    const auto small = x < V(T(1e-3));
    const V decay = simd::exp(-x);
    const V series = days * (one - x * (V(T(0.5)) - x * V(T(1.0 / 6))));  // of (1 - exp(-x)) / x, 4e-11 off at most
    const V mean_days = simd::select(small, series, (one - decay) / simd::max(loss_per_day, V(T(1e-9))));
    return simd::clamp(charge * decay + net_per_day * mean_days, zero, one);
}

// `standby_a`: all that is always on; `full_ah`: charge of the full battery.
template <class V>
RT_INLINE V charge_after_storage(const StorageModel& m, random::Parameters<V> x, random::ParameterIndex initial_soc,
                                 random::ParameterIndex ghi_scale, const solar::Model& sun, V standby_a, V full_ah) {
    using T = typename V::Scalar;
    const V one(T(1));
    V drain_ah = V(T(24)) * standby_a * (m.isolator_on ? one : x[m.bypass_share]);
    V solar_w_days(T(0));
    for (int i = 0; i < sun.arrays; ++i) {
        const solar::ArrayModel& a = sun.array[i];
        if (!a.counts_in_storage) continue;
        if (m.controllers_on && a.self_ma) drain_ah += V(T(0.024)) * x[a.self_ma];  // it bypasses the isolator
        solar_w_days += x[a.rated_w] * (one - x[a.soiling_loss]) * (one - x[a.system_loss]) * x[a.efficiency];
    }
    const V solar_ah =
        solar_w_days * V(T(m.sun_h_per_day) * T(1 / base::kNominalChargingV)) * x[ghi_scale] * x[m.sun_share];
    return charge_after(x[initial_soc], (solar_ah - drain_ah) / full_ah, x[m.self_discharge] * V(T(1 / kDaysAMonth)),
                        V(T(7)) * x[m.weeks]);
}

}  // namespace ridethrough::trip
