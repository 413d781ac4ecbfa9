// Two wells of charge (KiBaM): one at hand, one bound behind it, which follows. Charge in Ah, time in h, discharge
// current positive.
#pragma once

#include "ridethrough/simd/elementary.hpp"

namespace ridethrough::battery {

template <class T>
struct Wells {
    T c, k;  // share of the available well; rate between the wells, 1/h
};

// The wells after h hours at a constant current out of them (Manwell & McGowan 1993). The sum and the available
// difference are advanced, which keeps the sum exact in single precision too.
template <class T, class V>
RT_INLINE void advance_wells(const Wells<T>& wells, V out_a, V hours, V& q_ah, V& height_difference_ah) {
    const V decay = simd::exp(-V(wells.k) * hours);
    q_ah -= out_a * hours;
    height_difference_ah = height_difference_ah * decay - out_a * V(T(1) / (wells.c * wells.k)) * (V(T(1)) - decay);
}

}  // namespace ridethrough::battery
