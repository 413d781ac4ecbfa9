// Diffuse share of global irradiation from the clearness index: Erbs, Klein & Duffie 1982 (Solar Energy 28, 293-302;
// D&B 2.10.1), for one hour and in lanes.
#pragma once

#include "ridethrough/simd/pack.hpp"

namespace ridethrough::sun {

template <class V>
RT_INLINE V diffuse_share_hourly(V kt) {
    using T = typename V::Scalar;
    const V low = V(T(1)) - V(T(0.09)) * kt;
    const V middle =
        V(T(0.9511)) + kt * (V(T(-0.1604)) + kt * (V(T(4.388)) + kt * (V(T(-16.638)) + kt * V(T(12.336)))));
    return select(kt <= V(T(0.22)), low, select(kt <= V(T(0.8)), middle, V(T(0.165))));
}
double diffuse_share_hourly(double kt);

}  // namespace ridethrough::sun
