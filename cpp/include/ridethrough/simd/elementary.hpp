// exp, log, pow, sin and cos over packs: the only ones between declared inputs and a trial's result, because libm's
// differ between processors. Built from IEEE + - * / and integer bit operations alone, so every width, optimisation
// level and instruction set gives the same bits. The error bounds in ulp hold for double and float alike; they are
// asserted in tests/cpp/base/test_math.cpp.
// Arguments are reduced as in Cody & Waite, Software Manual for the Elementary Functions (1980): the constant comes in
// parts of which the first, times a small whole number, is exact. For double these parts of ln 2 and pi/2 are those of
// fdlibm (K. C. Ng, 1993), from memory. Schemes: exp, sin and the small term of cos by Taylor series; log and log1p put
// together as in fdlibm, but on the series of atanh instead of its fitted polynomial; the correction of cos as in
// FreeBSD's revision of fdlibm. No polynomial is fitted: every coefficient is a series' own.
// May be compiled for several instruction sets in one program: see pack.hpp.
#pragma once

#include "ridethrough/simd/pack.hpp"

namespace ridethrough::simd {

namespace detail {

template <class T>
struct Format;
template <>
struct Format<double> {
    using Bits = std::uint64_t;
    static constexpr int mantissa_bits = 52, bias = 1023;
    static constexpr double round_magic = 0x1.8p52;  // adding it rounds to an integer, left in the low bits
    static constexpr double integer_magic = 0x1p52;  // its low bits hold a small non-negative integer
    static constexpr double smallest = 0x1p-1022, infinity = __builtin_inf(), nan = __builtin_nan("");
    static constexpr double exp_low = -746.0, exp_high = 710.0, expm1_low = -40.0;
    // ln 2 in two parts: the first times any exponent is exact.
    static constexpr double ln2_high = 0x1.62e42feep-1, ln2_low = 0x1.a39ef35793c76p-33;
};
template <>
struct Format<float> {
    using Bits = std::uint32_t;
    static constexpr int mantissa_bits = 23, bias = 127;
    static constexpr float round_magic = 0x1.8p23f;
    static constexpr float integer_magic = 0x1p23f;
    static constexpr float smallest = 0x1p-126f, infinity = __builtin_inff(), nan = __builtin_nanf("");
    static constexpr float exp_low = -104.0f, exp_high = 89.0f, expm1_low = -20.0f;
    static constexpr float ln2_high = 0x1.62ep-1f, ln2_low = 0x1.0bfbe8p-15f;
};

// Horner's rule: c0 + x (c1 + x (c2 + ...)).
template <class T, int N>
RT_INLINE Pack<T, N> polynomial(Pack<T, N>, T c0) {
    return c0;
}
template <class T, int N, class... Rest>
RT_INLINE Pack<T, N> polynomial(Pack<T, N> x, T c0, Rest... rest) {
    return Pack<T, N>(c0) + x * polynomial(x, static_cast<T>(rest)...);
}

// Nearest integer, ties to even, for |x| < 2^51 (double) or 2^22 (float).
template <class T, int N>
RT_INLINE Pack<T, N> round_even(Pack<T, N> x) {
    return (x + Pack<T, N>(Format<T>::round_magic)) - Pack<T, N>(Format<T>::round_magic);
}

// 2^k for a whole number k in the range of normal exponents.
template <class T, int N>
RT_INLINE Pack<T, N> power_of_two(Pack<T, N> k) {
    const Pack<T, N> biased = k + Pack<T, N>(Format<T>::round_magic + T(Format<T>::bias));
    return Pack<T, N>::from_bits(biased.bits() << Format<T>::mantissa_bits);
}

// x limited to [low, high]; a NaN stays.
template <class T, int N>
RT_INLINE Pack<T, N> limit(Pack<T, N> x, T low, T high) {
    const Pack<T, N> a = low, b = high;
    return select(x < a, a, select(x > b, b, x));
}

// x = k ln 2 + r with |r| <= ln 2 / 2; gives exp(r) - 1 by its Taylor series.
template <class T, int N>
struct ReducedExp {
    Pack<T, N> k, expm1_r;
};
template <class T, int N>
RT_INLINE ReducedExp<T, N> reduce_exp(Pack<T, N> x) {
    using V = Pack<T, N>;
    const V k = round_even(x * V(T(1.44269504088896340736)));
    const V r = (x - k * V(Format<T>::ln2_high)) - k * V(Format<T>::ln2_low);
    V p;
    if constexpr (sizeof(T) == 8)
        p = polynomial(r, 1.0 / 2, 1.0 / 6, 1.0 / 24, 1.0 / 120, 1.0 / 720, 1.0 / 5040, 1.0 / 40320, 1.0 / 362880,
                       1.0 / 3628800, 1.0 / 39916800, 1.0 / 479001600, 1.0 / 6227020800);
    else
        p = polynomial(r, 1.0f / 2, 1.0f / 6, 1.0f / 24, 1.0f / 120, 1.0f / 720, 1.0f / 5040);
    return {k, r + (r * r) * p};
}

// log of a positive normal number x = 2^k m, sqrt(1/2) < m <= sqrt(2). With f = m - 1 and s = f / (2 + f),
// log m = 2 atanh s = f - (f^2/2 - s (f^2/2 + R)), R = 2 (s^2/3 + s^4/5 + ...): s enters only in the small term.
template <class T, int N>
RT_INLINE Pack<T, N> log_of_normal(Pack<T, N> x, Pack<T, N> k_offset) {
    using V = Pack<T, N>;
    using F = Format<T>;
    using Bits = typename F::Bits;
    constexpr Bits one = Bits(F::bias) << F::mantissa_bits, mantissa = (Bits(1) << F::mantissa_bits) - 1;
    const auto integer_magic = V(F::integer_magic);
    V m = V::from_bits((x.bits() & mantissa) | one);
    V k = V::from_bits((x.bits() >> F::mantissa_bits) | integer_magic.bits()) - (integer_magic + V(T(F::bias)));
    const auto upper = m > V(T(1.41421356237309504880));
    m = select(upper, m * V(T(0.5)), m);
    k = select(upper, k + V(T(1)), k) + k_offset;
    const V f = m - V(T(1));
    const V s = f / (V(T(2)) + f);
    const V z = s * s;
    V r;
    if constexpr (sizeof(T) == 8)
        r = polynomial(z, 2.0 / 3, 2.0 / 5, 2.0 / 7, 2.0 / 9, 2.0 / 11, 2.0 / 13, 2.0 / 15, 2.0 / 17, 2.0 / 19,
                       2.0 / 21);
    else
        r = polynomial(z, 2.0f / 3, 2.0f / 5, 2.0f / 7, 2.0f / 9);
    const V h = V(T(0.5)) * f * f;
    return k * V(F::ln2_high) - ((h - (s * (h + z * r) + k * V(F::ln2_low))) - f);
}

}  // namespace detail

// e^x; 0 below the range, infinity above it. Within 1.5 ulp where the result is a normal number.
template <class T, int N>
RT_INLINE Pack<T, N> exp(Pack<T, N> x) {
    using V = Pack<T, N>;
    const auto e = detail::reduce_exp(detail::limit(x, detail::Format<T>::exp_low, detail::Format<T>::exp_high));
    const V k1 = detail::round_even(e.k * V(T(0.5)));  // two factors, so that neither leaves the range of a power of 2
    return (V(T(1)) + e.expm1_r) * detail::power_of_two(k1) * detail::power_of_two(e.k - k1);
}

// e^x - 1, accurate near 0. Within 2 ulp.
template <class T, int N>
RT_INLINE Pack<T, N> expm1(Pack<T, N> x) {
    using V = Pack<T, N>;
    const auto e = detail::reduce_exp(detail::limit(x, detail::Format<T>::expm1_low, detail::Format<T>::exp_high));
    const V half = detail::power_of_two(e.k - V(T(1)));
    return (half * e.expm1_r + (half - V(T(0.5)))) * V(T(2));
}

// Natural logarithm: -infinity at 0, NaN below. Within 1 ulp.
template <class T, int N>
RT_INLINE Pack<T, N> log(Pack<T, N> x) {
    using V = Pack<T, N>;
    using F = detail::Format<T>;
    constexpr T lift = T(typename F::Bits(1) << (F::mantissa_bits + 1));  // makes a subnormal number normal
    const auto small = x < V(F::smallest);
    const V y =
        detail::log_of_normal(select(small, x * V(lift), x), select(small, V(T(-(F::mantissa_bits + 1))), V(T(0))));
    const V edge = select(x == V(T(0)), V(-F::infinity), select(x > V(T(0)), x, V(F::nan)));
    return select((x > V(T(0))) & (x < V(F::infinity)), y, edge);
}

// log(1 + x) for finite x > -1, accurate near 0: the second term restores what rounding 1 + x lost. Within 1.5 ulp.
template <class T, int N>
RT_INLINE Pack<T, N> log1p(Pack<T, N> x) {
    using V = Pack<T, N>;
    const V u = V(T(1)) + x;
    return log(u) + (x - (u - V(T(1)))) / u;
}

// x^y for x > 0, as exp(y log x). Within 2 (1 + |y log x|) ulp.
template <class T, int N>
RT_INLINE Pack<T, N> pow(Pack<T, N> x, Pack<T, N> y) {
    return exp(y * log(x));
}

namespace detail {

// x = k pi/2 + r, |r| <= pi/4, by pi/2 in three parts of which the first two times k are exact for |x| < 1e5.
template <int N>
struct ReducedAngle {
    Pack<double, N> k, r;
};
template <int N>
RT_INLINE ReducedAngle<N> reduce_angle(Pack<double, N> x) {
    using V = Pack<double, N>;
    const V k = round_even(x * V(0.636619772367581343076));
    const V a = x - k * V(0x1.921fb544p+0), middle = k * V(0x1.0b4611a6p-34);
    const V b = a - middle;
    return {k, b + (((a - b) - middle) - k * V(0x1.3198a2e037073p-69))};  // the bracket is what rounding b lost
}

// sin(x + quarter_turns pi/2).
template <class T, int N>
RT_INLINE Pack<T, N> sin_shifted(Pack<T, N> x, T quarter_turns) {
    using V = Pack<T, N>;
    V k, r;
    if constexpr (sizeof(T) == 8) {
        const auto a = reduce_angle(x);
        k = a.k;
        r = a.r;
    } else {  // reduced in double, so that no float argument loses bits near a multiple of pi/2
        const auto a = reduce_angle(convert<double>(x));
        k = convert<float>(a.k);
        r = convert<float>(a.r);
    }
    const V z = r * r;
    V s, c;
    if constexpr (sizeof(T) == 8) {
        s = polynomial(z, -1.0 / 6, 1.0 / 120, -1.0 / 5040, 1.0 / 362880, -1.0 / 39916800, 1.0 / 6227020800,
                       -1.0 / 1307674368000, 1.0 / 355687428096000);
        c = polynomial(z, 1.0 / 24, -1.0 / 720, 1.0 / 40320, -1.0 / 3628800, 1.0 / 479001600, -1.0 / 87178291200,
                       1.0 / 20922789888000);
    } else {
        s = polynomial(z, -1.0f / 6, 1.0f / 120, -1.0f / 5040, 1.0f / 362880);
        c = polynomial(z, 1.0f / 24, -1.0f / 720, 1.0f / 40320, -1.0f / 3628800);
    }
    const V sine = r + r * (z * s);
    const V h = V(T(0.5)) * z, w = V(T(1)) - h;
    const V cosine = w + (((V(T(1)) - w) - h) + z * z * c);  // the bracket is what rounding 1 - z/2 lost
    const auto quadrant = (k + V(Format<T>::round_magic + quarter_turns)).bits();
    constexpr int to_sign = 8 * static_cast<int>(sizeof(T)) - 2;
    // Bit 0 of the quadrant chooses the cosine, bit 1 turns the sign.
    const auto odd = V::from_bits((quadrant & 1) | V(T(1)).bits()) > V(T(1));
    const V y = select(odd, cosine, sine);
    return V::from_bits(y.bits() ^ ((quadrant & 2) << to_sign));
}

}  // namespace detail

// Sine and cosine of an angle in radians, |x| < 1e5. Within 2 ulp.
template <class T, int N>
RT_INLINE Pack<T, N> sin(Pack<T, N> x) {
    return detail::sin_shifted(x, T(0));
}
template <class T, int N>
RT_INLINE Pack<T, N> cos(Pack<T, N> x) {
    return detail::sin_shifted(x, T(1));
}

}  // namespace ridethrough::simd
