// What a 64-bit draw of a stream means: its high half n gives one normal, the inverse distribution function at
// u = (n + 1/2) / 2^32; its low half gives one uniform, u itself. So every number takes one draw, whatever its value.
// Templates may be compiled for several instruction sets in one program: see simd/pack.hpp.
#pragma once

#include "ridethrough/simd/normal.hpp"

namespace ridethrough::random {

// Part of every digest: raise it when the meaning of a draw changes.
inline constexpr int kLayoutVersion = 1;

namespace detail {

// 32-bit numbers n as n + 1/2, rounded once. In float by two halves of 16 bits: the sum is the only rounding.
template <class V, class Bits>
RT_INLINE V half_above(Bits n) {
    using F = simd::detail::Format<typename V::Scalar>;
    const auto integer_magic = V(F::integer_magic);
    if constexpr (sizeof(typename V::Scalar) == 8) {
        return V::from_bits(n | integer_magic.bits()) - V(0x1p52 - 0.5);
    } else {
        const V high = V::from_bits((n >> 16) | integer_magic.bits()) - integer_magic;
        const V low = V::from_bits((n & 0xffffu) | integer_magic.bits()) - integer_magic;
        return high * V(65536.0f) + (low + V(0.5f));
    }
}

// Every second 32-bit number from `first` (0 or 1) on, from as many draws as Bits has lanes.
template <int first, class Bits>
RT_INLINE Bits every_second(const std::uint64_t* draws) {
    if constexpr (simd::detail::is_wide<Bits>) {
        using Half = decltype(Bits::low);
        constexpr auto half_lanes = sizeof(Half) / 4;
        return {every_second<first, Half>(draws), every_second<first, Half>(draws + half_lanes)};
    } else {
        constexpr int lanes = static_cast<int>(sizeof(Bits) / 4);
        const auto a = simd::detail::load<Bits>(draws), b = simd::detail::load<Bits>(draws + lanes / 2);
        if constexpr (lanes == 2)
            return __builtin_shufflevector(a, b, first, first + 2);
        else if constexpr (lanes == 4)
            return __builtin_shufflevector(a, b, first, first + 2, first + 4, first + 6);
        else if constexpr (lanes == 8)
            return __builtin_shufflevector(a, b, first, first + 2, first + 4, first + 6, first + 8, first + 10,
                                           first + 12, first + 14);
        else
            return __builtin_shufflevector(a, b, first, first + 2, first + 4, first + 6, first + 8, first + 10,
                                           first + 12, first + 14, first + 16, first + 18, first + 20, first + 22,
                                           first + 24, first + 26, first + 28, first + 30);
    }
}

// The low (half = 0) or high (1) 32 bits of V::width draws, one a lane.
template <class V, int half>
RT_INLINE typename V::Bits half_draws(const std::uint64_t* draws) {
    using Bits = typename V::Bits;
    if constexpr (V::width == 1) {
        return static_cast<Bits>(half ? *draws >> 32 : *draws & 0xffffffffu);
    } else if constexpr (sizeof(typename V::Scalar) == 8) {
        const auto w = simd::detail::load<Bits>(draws);
        return half ? w >> 32 : w & std::uint64_t{0xffffffff};
    } else {
        static_assert(__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__);
        return every_second<half, Bits>(draws);
    }
}

}  // namespace detail

// Uniform in (0, 1) from the low half of V::width draws. In float u is rounded to nearest and then kept at or below
// 1 - 2^-24, the largest float under 1 (only n >= 2^32 - 128 would round to 1); the smallest is 2^-33, never 0.
template <class V>
RT_INLINE V uniform_of(const std::uint64_t* draws) {
    using T = typename V::Scalar;
    const V u = detail::half_above<V>(detail::half_draws<V, 0>(draws)) * V(T(0x1p-32));
    if constexpr (sizeof(T) == 8)
        return u;
    else
        return min(u, V(0x1.fffffep-1f));
}

// Standard normal from the high half of V::width draws. The tail min(u, 1 - u) is built from the integer, so that float
// keeps its digits at both ends; |z| <= 6.34.
template <class V>
RT_INLINE V normal_of(const std::uint64_t* draws) {
    using T = typename V::Scalar;
    using Unsigned = typename simd::detail::Format<T>::Bits;
    const auto n = detail::half_draws<V, 1>(draws);
    const auto upper = n >> 31;  // 1 where u > 1/2
    // 31-bit distance from the nearer end; all-ones times `upper` reverses the upper half.
    const auto from_end = (n ^ (upper * Unsigned(0xffffffff))) & Unsigned(0x7fffffff);
    const V tail = detail::half_above<V>(from_end) * V(T(0x1p-32));
    // |q| = 1/2 - tail from its own integer, for the digits near the middle.
    const V size = detail::half_above<V>(from_end ^ Unsigned(0x7fffffff)) * V(T(0x1p-32));
    constexpr int to_sign = 8 * static_cast<int>(sizeof(T)) - 1;
    const V q = V::from_bits(size.bits() | ((upper ^ Unsigned(1)) << to_sign));
    return simd::normal_deviate(q, tail);
}

// A count by inverse distribution function: Poisson with the given mean, what lies above max_count counted as
// max_count. One uniform whatever the count. Means up to 80 (in float exp(-mean) leaves the range above 87). The search
// also ends where a further term no longer moves the sum, so that a sum rounded below u cannot run on to max_count.
template <class V>
RT_INLINE V count_of(V u, V mean_count, int max_count) {
    using T = typename V::Scalar;
    constexpr T negligible = sizeof(T) == 8 ? T(0x1p-53) : T(0x1p-24);
    V chance = exp(-mean_count), cumulative = chance, count = T(0);
    for (int k = 1; k <= max_count; ++k) {
        const auto more = (u > cumulative) & (chance > cumulative * V(negligible));
        if (!any(more)) break;
        count += select(more, V(T(1)), V(T(0)));
        chance *= mean_count / V(T(k));
        cumulative += chance;
    }
    return count;
}

// The same for one draw or one lane, compiled once.
double uniform(std::uint64_t draw);
double normal(std::uint64_t draw);
int count_of(double u, double mean_count, int max_count);  // InputError unless 0 < u < 1, mean 0..80, max >= 0

}  // namespace ridethrough::random
