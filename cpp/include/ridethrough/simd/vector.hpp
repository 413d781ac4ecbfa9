// What a pack is stored in: one number, one processor register, or a tree of registers. Nothing but <cstdint> is
// included and everything is inlined by force, see pack.hpp.
#pragma once

#include <cstdint>

#define RT_INLINE inline __attribute__((always_inline))

// The instruction set that a unit is compiled for. Packs live in a namespace of that name, and so every function over
// packs has it in its own name: the linker can't put one set's copy in another's place.
#ifndef RIDETHROUGH_INSTRUCTION_SET
#define RIDETHROUGH_INSTRUCTION_SET plain
#endif

namespace ridethrough::simd::detail::inline RIDETHROUGH_INSTRUCTION_SET {

#if defined(__AVX512F__)
constexpr int register_bytes = 64;
#elif defined(__AVX2__)
constexpr int register_bytes = 32;
#else
constexpr int register_bytes = 16;
#endif

// Two halves of a pack wider than a register. GCC 12 takes comparisons and selections of vectors wider than a
// register one lane at a time (3 to 5 times slower), so a wide pack is built from whole registers instead.
template <class Half>
struct Wide {
    Half low, high;
};
template <class Half>
RT_INLINE Wide<Half> wide(Half low, Half high) {
    return {low, high};
}
#define RT_EACH_HALF(op)                               \
    template <class H>                                 \
    RT_INLINE auto operator op(Wide<H> a, Wide<H> b) { \
        return wide(a.low op b.low, a.high op b.high); \
    }                                                  \
    template <class H, class S>                        \
    RT_INLINE auto operator op(Wide<H> a, S b) {       \
        return wide(a.low op b, a.high op b);          \
    }
RT_EACH_HALF(+)
RT_EACH_HALF(-)
RT_EACH_HALF(*)
RT_EACH_HALF(/)
RT_EACH_HALF(&)
RT_EACH_HALF(|)
RT_EACH_HALF(^)
RT_EACH_HALF(<<)
RT_EACH_HALF(>>)
RT_EACH_HALF(<)
RT_EACH_HALF(<=)
RT_EACH_HALF(>)
RT_EACH_HALF(>=)
RT_EACH_HALF(==)
#undef RT_EACH_HALF
template <class H>
RT_INLINE auto operator-(Wide<H> a) {
    return wide(-a.low, -a.high);
}

template <class V>
constexpr bool is_wide = false;
template <class H>
constexpr bool is_wide<Wide<H>> = true;

template <class V, class T>
RT_INLINE V broadcast(T x) {
    if constexpr (is_wide<V>)
        return {broadcast<decltype(V::low)>(x), broadcast<decltype(V::high)>(x)};
    else
        return x - V{};  // 0 + x would lose the sign of -0
}
template <class M, class V>
RT_INLINE V pick(M mask, V a, V b) {
    if constexpr (is_wide<V>)
        return wide(pick(mask.low, a.low, b.low), pick(mask.high, a.high, b.high));
    else
        return mask ? a : b;
}
// a < b ? a : b and a > b ? a : b, lane by lane. GCC doesn't see that one instruction of x86 does just this, what
// becomes of NaN and of zeros included, and takes two or three.
template <bool least, class V>
RT_INLINE V extreme(V a, V b) {
    if constexpr (is_wide<V>) {
        return wide(extreme<least>(a.low, b.low), extreme<least>(a.high, b.high));
    } else {
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
        constexpr bool single = sizeof(a[0]) == 4;
#if defined(__AVX512F__)
        if constexpr (sizeof(V) == 64 && single)
            return least ? __builtin_ia32_minps512_mask(a, b, a, -1, 4) : __builtin_ia32_maxps512_mask(a, b, a, -1, 4);
        if constexpr (sizeof(V) == 64 && !single)
            return least ? __builtin_ia32_minpd512_mask(a, b, a, 0xff, 4)
                         : __builtin_ia32_maxpd512_mask(a, b, a, 0xff, 4);
#endif
#if defined(__AVX2__)
        if constexpr (sizeof(V) == 32 && single)
            return least ? __builtin_ia32_minps256(a, b) : __builtin_ia32_maxps256(a, b);
        if constexpr (sizeof(V) == 32 && !single)
            return least ? __builtin_ia32_minpd256(a, b) : __builtin_ia32_maxpd256(a, b);
#endif
        if constexpr (sizeof(V) == 16 && single) return least ? __builtin_ia32_minps(a, b) : __builtin_ia32_maxps(a, b);
        if constexpr (sizeof(V) == 16 && !single)
            return least ? __builtin_ia32_minpd(a, b) : __builtin_ia32_maxpd(a, b);
#endif
        return least ? pick(a < b, a, b) : pick(a > b, a, b);
    }
}
template <class To, class From>
RT_INLINE To same_bits(From v) {
    if constexpr (is_wide<From>)
        return {same_bits<decltype(To::low)>(v.low), same_bits<decltype(To::high)>(v.high)};
    else
        return __builtin_bit_cast(To, v);
}
template <class V, class T>
RT_INLINE V load(const T* p) {
    V v;
    if constexpr (is_wide<V>)
        v = wide(load<decltype(v.low)>(p), load<decltype(v.high)>(p + sizeof(v.low) / sizeof(T)));
    else
        __builtin_memcpy(&v, p, sizeof(v));
    return v;
}
template <class V, class T>
RT_INLINE void store(V v, T* p) {
    if constexpr (is_wide<V>) {
        store(v.low, p);
        store(v.high, p + sizeof(v.low) / sizeof(T));
    } else {
        __builtin_memcpy(p, &v, sizeof(v));
    }
}
// The halves of one register, and back. (A cast to a struct of two would go through memory.)
template <class V>
RT_INLINE auto split(V v) {
    constexpr int lanes = static_cast<int>(sizeof(V) / sizeof(v[0]));
    static_assert(lanes == 2 || lanes == 4 || lanes == 8 || lanes == 16);
    if constexpr (lanes == 2)
        return wide(__builtin_shufflevector(v, v, 0), __builtin_shufflevector(v, v, 1));
    else if constexpr (lanes == 4)
        return wide(__builtin_shufflevector(v, v, 0, 1), __builtin_shufflevector(v, v, 2, 3));
    else if constexpr (lanes == 8)
        return wide(__builtin_shufflevector(v, v, 0, 1, 2, 3), __builtin_shufflevector(v, v, 4, 5, 6, 7));
    else
        return wide(__builtin_shufflevector(v, v, 0, 1, 2, 3, 4, 5, 6, 7),
                    __builtin_shufflevector(v, v, 8, 9, 10, 11, 12, 13, 14, 15));
}
template <class H>
RT_INLINE auto join(H low, H high) {
    constexpr int lanes = static_cast<int>(2 * sizeof(H) / sizeof(low[0]));
    static_assert(lanes == 4 || lanes == 8 || lanes == 16);
    if constexpr (lanes == 4)
        return __builtin_shufflevector(low, high, 0, 1, 2, 3);
    else if constexpr (lanes == 8)
        return __builtin_shufflevector(low, high, 0, 1, 2, 3, 4, 5, 6, 7);
    else
        return __builtin_shufflevector(low, high, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15);
}

template <class V>
RT_INLINE bool any_bit(V v) {
    if constexpr (is_wide<V>) {
        return any_bit(v.low | v.high);
    } else if constexpr (sizeof(V) > 16) {
        return any_bit(split(v));
    } else if constexpr (sizeof(V) == 16) {
        typedef std::uint64_t Two __attribute__((vector_size(16)));
        const auto two = __builtin_bit_cast(Two, v);
        return (two[0] | two[1]) != 0;
    } else {
        return __builtin_bit_cast(std::uint64_t, v) != 0;  // two floats
    }
}

template <class T>
struct IntOf;
template <>
struct IntOf<double> {
    using Int = std::int64_t;
    using Unsigned = std::uint64_t;
};
template <>
struct IntOf<float> {
    using Int = std::int32_t;
    using Unsigned = std::uint32_t;
};

template <class E, int N, bool scalar = N == 1, bool wider = (N * sizeof(E) > register_bytes)>
struct VectorOf {
    typedef E type __attribute__((vector_size(N * sizeof(E))));
};
template <class E, int N>
struct VectorOf<E, N, true, false> {
    using type = E;
};
template <class E, int N>
struct VectorOf<E, N, false, true> {
    using type = Wide<typename VectorOf<E, N / 2>::type>;
};

template <class T, int N>
struct Native {
    static_assert((N & (N - 1)) == 0, "the width of a pack is a power of two");
    using Vector = typename VectorOf<T, N>::type;
    using IntVector = typename VectorOf<typename IntOf<T>::Int, N>::type;
    using Bits = typename VectorOf<typename IntOf<T>::Unsigned, N>::type;
    using Bool = decltype(Vector{} < Vector{});  // bool, or -1 and 0 in the lanes of an IntVector
};

// One root a lane; within a register the compiler joins them into one instruction.
template <class V>
RT_INLINE V square_root(V v) {
    if constexpr (is_wide<V>) {
        return wide(square_root(v.low), square_root(v.high));
    } else {
        V r = v;
        for (int i = 0; i < static_cast<int>(sizeof(V) / sizeof(v[0])); ++i)
            if constexpr (sizeof(v[0]) == 8)
                r[i] = __builtin_sqrt(v[i]);
            else
                r[i] = __builtin_sqrtf(v[i]);
        return r;
    }
}

// Lane by lane to another number type; the two may fill a different count of registers.
template <class To, class From>
RT_INLINE To convert(From v) {
    if constexpr (is_wide<From> && is_wide<To>) {
        return {convert<decltype(To::low)>(v.low), convert<decltype(To::high)>(v.high)};
    } else if constexpr (is_wide<To>) {
        const auto halves = split(v);
        return {convert<decltype(To::low)>(halves.low), convert<decltype(To::high)>(halves.high)};
    } else if constexpr (is_wide<From>) {
        using Half = decltype(split(To{}).low);
        return join(convert<Half>(v.low), convert<Half>(v.high));
    } else {
        return __builtin_convertvector(v, To);
    }
}

template <class V>
RT_INLINE auto lane(V v, int i) {
    if constexpr (is_wide<V>) {
        constexpr int half = static_cast<int>(sizeof(v.low) / sizeof(lane(v.low, 0)));
        return i < half ? lane(v.low, i) : lane(v.high, i - half);
    } else {
        return v[i];
    }
}
template <class V, class T>
RT_INLINE void set_lane(V& v, int i, T x) {
    if constexpr (is_wide<V>) {
        constexpr int half = static_cast<int>(sizeof(v.low) / sizeof(T));
        if (i < half)
            set_lane(v.low, i, x);
        else
            set_lane(v.high, i - half, x);
    } else {
        v[i] = x;
    }
}

}  // namespace ridethrough::simd::detail::inline RIDETHROUGH_INSTRUCTION_SET
