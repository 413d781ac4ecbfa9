// What the world and people's habits give a trial in one step of the trip, whatever the van makes of it: the data that
// passes from the hours (hours.hpp) to the van (van.hpp). Its loads lie beside it, in a bin of the clock's day.
#pragma once

#include "ridethrough/simd/pack.hpp"
#include "ridethrough/solar/arrays.hpp"

namespace ridethrough::engine {

using simd::all;
using simd::any;
using simd::clamp;
using simd::max;
using simd::min;
using simd::select;

// Hours within a step; none where equal.
template <class V>
struct Span {
    V on_h, off_h;

    RT_INLINE typename V::Bool given() const { return off_h > on_h; }
    RT_INLINE typename V::Bool holds(V t) const { return (t >= on_h) & (t < off_h); }
    // Hours from t to the next beginning or end.
    RT_INLINE V until_change(V t) const {
        const V never(typename V::Scalar(1e6));
        return select(t < on_h, on_h - t, select(t < off_h, off_h - t, never));
    }
};

// All members are numbers of each lane, 1 for yes and 0 for no: the lanes of a row may stand at different steps.
template <class V>
struct Row {
    V bin, first_bin_to_decide;      // step of the clock's day; first one whose starts are yet to be decided
    V step;                          // since the trip's start
    V waking, new_hour, first_time;  // the clock has not run this bin before
    V air_c, ghi_w_m2;               // outdoors, in the open
    V sun_w_m2;                      // on the horizontal where the van stands
    V battery_rise_k;                // of the engine's heat around the battery
    V set_back_k;                    // of the fridge's thermostat
    V warm_food_wh_per_k;            // for each kelvin that the cabin is above the set point
    V drinks_wh_per_k, shopping_wh_per_k;
    Span<V> drive, powered, idle, generator;
    solar::SolarLight<V> light;
};

}  // namespace ridethrough::engine
