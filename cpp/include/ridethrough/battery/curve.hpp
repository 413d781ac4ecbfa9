// Tables of a battery as functions over lanes.
#pragma once

#include "ridethrough/simd/pack.hpp"

namespace ridethrough::battery {

// Piecewise-linear function as a sum of kinks, so that lanes need no branch: y = y0 + s0 x + sum dk max(0, x - xk).
template <class T>
struct Curve {
    static constexpr int kMost = 16;
    int kinks;
    T y0, s0;
    T at[kMost], change[kMost];

    template <class To>
    RT_INLINE Curve<To> in() const {
        Curve<To> t{kinks, static_cast<To>(y0), static_cast<To>(s0), {}, {}};
        for (int i = 0; i < kinks; ++i) {
            t.at[i] = static_cast<To>(at[i]);
            t.change[i] = static_cast<To>(change[i]);
        }
        return t;
    }

    template <class V>
    RT_INLINE V operator()(V x) const {
        V y = V(y0) + V(s0) * x;
        for (int k = 0; k < kinks; ++k) y += V(change[k]) * max(x - V(at[k]), V(T(0)));
        return y;
    }
    template <class V>
    RT_INLINE V slope(V x) const {
        V y = V(s0);
        for (int k = 0; k < kinks; ++k) y += simd::select(x > V(at[k]), V(change[k]), V(T(0)));
        return y;
    }
};

}  // namespace ridethrough::battery
