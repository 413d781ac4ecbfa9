// A pack is N lanes of one number type; the hourly kernel is written once over it and built at width 1 (the plain
// reference) and wider. Only IEEE basic operations are used, so every width gives the same bits in every lane.
// This header may be compiled for several instruction sets in one program: with vector.hpp it includes <cstdint> and
// nothing else, and all its functions are inlined by force so that no copy can leak from one set to another.
#pragma once

#include "ridethrough/simd/vector.hpp"

namespace ridethrough::simd::inline RIDETHROUGH_INSTRUCTION_SET {

template <class T, int N>
struct Mask {
    typename detail::Native<T, N>::Bool m;

    RT_INLINE bool lane(int i) const {
        if constexpr (N == 1)
            return m;
        else
            return detail::lane(m, i) != 0;
    }
    RT_INLINE friend Mask operator&(Mask a, Mask b) { return {static_cast<decltype(a.m)>(a.m & b.m)}; }
    RT_INLINE friend Mask operator|(Mask a, Mask b) { return {static_cast<decltype(a.m)>(a.m | b.m)}; }
    RT_INLINE friend Mask operator!(Mask a) { return {static_cast<decltype(a.m)>(a.m == 0)}; }
    RT_INLINE static Mask all(bool on) {
        if constexpr (N == 1)
            return {on};
        else
            return {decltype(m){} - (on ? 1 : 0)};
    }
};

template <class T, int N>
RT_INLINE bool any(Mask<T, N> a) {
    if constexpr (N == 1)
        return a.m;
    else
        return detail::any_bit(a.m);
}
template <class T, int N>
RT_INLINE bool all(Mask<T, N> a) {
    return !any(!a);
}

template <class T, int N>
struct Pack {
    using Scalar = T;
    using Int = typename detail::IntOf<T>::Int;
    using Native = detail::Native<T, N>;
    using Bool = Mask<T, N>;
    using Bits = typename Native::Bits;
    static constexpr int width = N;

    typename Native::Vector v;

    Pack() = default;
    RT_INLINE Pack(T x) : v(detail::broadcast<typename Native::Vector>(x)) {}  // NOLINT: meant to be implicit
    RT_INLINE static Pack raw(typename Native::Vector x) {
        Pack p;
        p.v = x;
        return p;
    }
    RT_INLINE static Pack from_bits(Bits b) { return raw(detail::same_bits<typename Native::Vector>(b)); }
    RT_INLINE Bits bits() const { return detail::same_bits<Bits>(v); }

    RT_INLINE T lane(int i) const {
        if constexpr (N == 1)
            return v;
        else
            return detail::lane(v, i);
    }
    RT_INLINE void set_lane(int i, T x) {
        if constexpr (N == 1)
            v = x;
        else
            detail::set_lane(v, i, x);
    }
    RT_INLINE static Pack load(const T* p) { return raw(detail::load<typename Native::Vector>(p)); }
    RT_INLINE void store(T* p) const { detail::store(v, p); }

    RT_INLINE friend Pack operator+(Pack a, Pack b) { return raw(a.v + b.v); }
    RT_INLINE friend Pack operator-(Pack a, Pack b) { return raw(a.v - b.v); }
    RT_INLINE friend Pack operator*(Pack a, Pack b) { return raw(a.v * b.v); }
    RT_INLINE friend Pack operator/(Pack a, Pack b) { return raw(a.v / b.v); }
    RT_INLINE Pack operator-() const { return raw(-v); }
    RT_INLINE Pack& operator+=(Pack b) { return *this = *this + b; }
    RT_INLINE Pack& operator-=(Pack b) { return *this = *this - b; }
    RT_INLINE Pack& operator*=(Pack b) { return *this = *this * b; }

    RT_INLINE friend Bool operator<(Pack a, Pack b) { return {a.v < b.v}; }
    RT_INLINE friend Bool operator<=(Pack a, Pack b) { return {a.v <= b.v}; }
    RT_INLINE friend Bool operator>(Pack a, Pack b) { return {a.v > b.v}; }
    RT_INLINE friend Bool operator>=(Pack a, Pack b) { return {a.v >= b.v}; }
    RT_INLINE friend Bool operator==(Pack a, Pack b) { return {a.v == b.v}; }
};

template <class To, class From, int N>
RT_INLINE Pack<To, N> convert(Pack<From, N> a) {
    if constexpr (N == 1)
        return static_cast<To>(a.v);
    else
        return Pack<To, N>::raw(detail::convert<typename Pack<To, N>::Native::Vector>(a.v));
}
template <class T, int N>
RT_INLINE Pack<T, N> select(Mask<T, N> m, Pack<T, N> a, Pack<T, N> b) {
    return Pack<T, N>::raw(detail::pick(m.m, a.v, b.v));
}
template <class T, int N>
RT_INLINE Mask<T, N> select(Mask<T, N> m, Mask<T, N> a, Mask<T, N> b) {
    const Mask<T, N> other = !m;
    return (m & a) | (other & b);
}
template <class T, int N>
RT_INLINE Pack<T, N> min(Pack<T, N> a, Pack<T, N> b) {
    if constexpr (N == 1)
        return select(a < b, a, b);
    else
        return Pack<T, N>::raw(detail::extreme<true>(a.v, b.v));
}
template <class T, int N>
RT_INLINE Pack<T, N> max(Pack<T, N> a, Pack<T, N> b) {
    if constexpr (N == 1)
        return select(a > b, a, b);
    else
        return Pack<T, N>::raw(detail::extreme<false>(a.v, b.v));
}
template <class T, int N>
RT_INLINE Pack<T, N> clamp(Pack<T, N> x, Pack<T, N> lo, Pack<T, N> hi) {
    return min(max(x, lo), hi);
}
template <class T, int N>
RT_INLINE Pack<T, N> abs(Pack<T, N> a) {
    const auto sign = Pack<T, N>(T(-0.0)).bits();  // by the bit, so that -0 becomes 0 everywhere
    return Pack<T, N>::from_bits((a.bits() | sign) ^ sign);
}
template <class T, int N>
RT_INLINE Pack<T, N> sqrt(Pack<T, N> a) {
    if constexpr (N == 1 && sizeof(T) == 8)
        return __builtin_sqrt(a.v);
    else if constexpr (N == 1)
        return __builtin_sqrtf(a.v);
    else
        return Pack<T, N>::raw(detail::square_root(a.v));
}

// Value of a table with equal spacing at a fractional index, linear between nodes; the index is clamped to the table.
template <class T, int N>
RT_INLINE Pack<T, N> lookup(const T* table, int nodes, Pack<T, N> index) {
    index = clamp(index, Pack<T, N>(T(0)), Pack<T, N>(T(nodes - 1)));
    Pack<T, N> r;
    for (int i = 0; i < N; ++i) {
        const T x = index.lane(i);
        int k = static_cast<int>(x);
        k = k > nodes - 2 ? nodes - 2 : k;
        r.set_lane(i, table[k] + (table[k + 1] - table[k]) * (x - static_cast<T>(k)));
    }
    return r;
}

}  // namespace ridethrough::simd::inline RIDETHROUGH_INSTRUCTION_SET
