// The constants of a battery chemistry, out of its declaration.
#pragma once

#include <span>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/battery/battery.hpp"

namespace ridethrough::battery {

// Both wells per Ah of capacity at a constant discharge over `hours` (Jongerden & Haverkort 2009, constant current).
double q_max_per_capacity(double c, double k_per_h, double hours);
// Ah that a full battery gives at a constant current, and how long: the available well is then empty.
double kibam_lifetime_h(double c, double k_per_h, double q_max_ah, double current_a);

// Capacity of vented lead-acid cells at a temperature as a share of that at 25 degC: 1/K_T of IEEE 485.
double vented_capacity_share(double temp_c);

Curve<double> curve_through(std::span<const double> x, std::span<const double> y);
BatteryKind<double> battery_kind(const config::Record& battery);

template <class T>
BatteryKind<T> cast_kind(const BatteryKind<double>& from) {
    const auto curve = [](const Curve<double>& f) {
        Curve<T> t{f.kinks, static_cast<T>(f.y0), static_cast<T>(f.s0), {}, {}};
        for (int i = 0; i < f.kinks; ++i) {
            t.at[i] = static_cast<T>(f.at[i]);
            t.change[i] = static_cast<T>(f.change[i]);
        }
        return t;
    };
    return {from.lithium,
            curve(from.rest_v),
            curve(from.cold),
            static_cast<T>(from.c),
            static_cast<T>(from.k),
            static_cast<T>(from.floor_v),
            static_cast<T>(from.back_v),
            static_cast<T>(from.charge_block_c),
            static_cast<T>(from.charge_full_c),
            static_cast<T>(from.hot_reduce_c),
            static_cast<T>(from.hot_block_c)};
}

}  // namespace ridethrough::battery
