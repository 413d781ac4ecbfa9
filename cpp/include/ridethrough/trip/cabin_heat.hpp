// A heater that warms the cabin: the share of each hour, of today and tomorrow, in which it runs. In that share the air
// has at least the temperature which the heater holds; when it stops the van is as cold as before, for its walls keep
// next to nothing (own choice). A heater that loses its supply while it runs counts as warm to the end of that use.
#pragma once

#include "ridethrough/load/events.hpp"

namespace ridethrough::trip {

template <class V>
struct CabinHeat {
    using T = typename V::Scalar;
    V share[48];

    RT_INLINE void clear() {
        for (V& hour : share) hour = V(T(0));
    }
    RT_INLINE void next_day() {
        for (int h = 0; h < 24; ++h) {
            share[h] = share[h + 24];
            share[h + 24] = V(T(0));
        }
    }
    RT_INLINE void add(const load::Use<V>& use) {
        const V zero(T(0)), one(T(1));
        for (int h = 0; h < 48; ++h) {
            const V from(static_cast<T>(h));
            const V runs = clamp(use.end - from, zero, one) - clamp(use.start - from, zero, one);
            share[h] = min(share[h] + max(runs, zero), one);
        }
    }
    RT_INLINE V warmed(V cabin_c, V held_c, int hour) const {
        return cabin_c + share[hour] * max(held_c - cabin_c, V(T(0)));
    }
};

}  // namespace ridethrough::trip
