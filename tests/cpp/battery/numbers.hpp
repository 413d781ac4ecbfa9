// A source of test numbers, other ones in every lane.
#pragma once

#include <cstdint>

namespace battery_numbers {

struct Numbers {
    std::uint32_t state;
    double next() { return (state = state * 1664525u + 1013904223u) / 4294967296.0; }
    template <class V>
    V pack(double low, double high, double share_of_zeros = 0) {  // in [low, high)
        V v = typename V::Scalar(0);
        for (int i = 0; i < V::width; ++i) {
            const bool zero = next() < share_of_zeros;
            const double x = low + (high - low) * next();
            v.set_lane(i, static_cast<typename V::Scalar>(zero ? 0 : x));
        }
        return v;
    }
};

}  // namespace battery_numbers
