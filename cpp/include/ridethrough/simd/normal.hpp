// The normal distribution function, and its percentage points by Wichura, Algorithm AS 241, Applied Statistics 37
// (1988) 477-484: PPND16 for double, PPND7 for float (its stated 1 part in 10^7 is float's own precision, at half the
// work).
#pragma once

#include "ridethrough/simd/elementary.hpp"

namespace ridethrough::simd {

namespace detail {

template <class T, int N>
struct Quotient {
    Pack<T, N> over, under;
};

// |q| <= 0.425, r = 0.425^2 - q^2; the deviate is q times this.
template <class T, int N>
RT_INLINE Quotient<T, N> central_quotient(Pack<T, N> r) {
    if constexpr (sizeof(T) == 8)
        return {polynomial(r, 3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3,
                           1.3731693765509461125e4, 4.5921953931549871457e4, 6.7265770927008700853e4,
                           3.3430575583588128105e4, 2.5090809287301226727e3),
                polynomial(r, 1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
                           2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4,
                           5.2264952788528545610e3)};
    else
        return {polynomial(r, 3.3871327179e0f, 5.0434271938e1f, 1.5929113202e2f, 5.9109374720e1f),
                polynomial(r, 1.0f, 1.7895169469e1f, 7.8757757664e1f, 6.7187563600e1f)};
}

// r = sqrt(-log(tail)) - 1.6, for sqrt(...) <= 5.
template <class T, int N>
RT_INLINE Quotient<T, N> tail_quotient(Pack<T, N> r) {
    if constexpr (sizeof(T) == 8)
        return {polynomial(r, 1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0,
                           3.64784832476320460504e0, 1.27045825245236838258e0, 2.41780725177450611770e-1,
                           2.27238449892691845833e-2, 7.74545014278341407640e-4),
                polynomial(r, 1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
                           1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4,
                           1.05075007164441684324e-9)};
    else
        return {polynomial(r, 1.4234372777e0f, 2.7568153900e0f, 1.3067284816e0f, 1.7023821103e-1f),
                polynomial(r, 1.0f, 7.3700164250e-1f, 1.2021132975e-1f)};
}

// r = sqrt(-log(tail)) - 5: tails below exp(-25), which no draw from 32 bits reaches.
template <class T, int N>
RT_INLINE Quotient<T, N> far_tail_quotient(Pack<T, N> r) {
    if constexpr (sizeof(T) == 8)
        return {polynomial(r, 6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0,
                           2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
                           2.71155556874348757815e-5, 2.01033439929228813265e-7),
                polynomial(r, 1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
                           7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7,
                           2.04426310338993978564e-15)};
    else
        return {polynomial(r, 6.6579051150e0f, 3.0812263860e0f, 4.2868294337e-1f, 1.7337203997e-2f),
                polynomial(r, 1.0f, 2.4197894225e-1f, 1.2258202635e-2f)};
}

}  // namespace detail

namespace detail {
// P(Z > z) for 1 <= z <= 39 by the continued fraction of Mills' ratio (Laplace 1805). Its error falls like
// exp(-2 z sqrt(terms)), measured. exp(-z^2/2) is taken in two factors so that rounding z^2 does not reach the result.
template <int N>
RT_INLINE Pack<double, N> upper_tail(Pack<double, N> z) {
    using V = Pack<double, N>;
    const V beyond_20 = V(400.0) / (z * z);  // each lane has this many terms more than 20
    V fraction = z;
    int terms = 20;
    while (any(V(static_cast<double>(terms - 19)) <= beyond_20)) ++terms;
    for (; terms > 0; --terms) {
        const V next = z + V(static_cast<double>(terms)) / fraction;
        fraction = select(V(static_cast<double>(terms - 20)) <= beyond_20, next, fraction);
    }
    const V near = round_even(z * V(16.0)) / V(16.0);
    const V density = exp(V(-0.5) * near * near) * exp(V(-0.5) * (z - near) * (z + near));
    return V(0.398942280401432677940) * density / fraction;
}
}  // namespace detail

// P(Z < z).
template <int N>
RT_INLINE Pack<double, N> normal_cdf(Pack<double, N> z) {
    using V = Pack<double, N>;
    const V zero(0.0), one(1.0), size = abs(z);
    // 1/2 + density (z + z^3/3 + z^5/(3 5) + ...): every term has the same sign (Marsaglia 2004).
    V sum = one;
    for (int odd = 41; odd >= 3; odd -= 2) sum = one + z * z / V(static_cast<double>(odd)) * sum;
    const V central = V(0.5) + V(0.398942280401432677940) * exp(V(-0.5) * z * z) * z * sum;
    const auto outer = size >= one;
    if (!any(outer)) return central;
    const V tail = select(size > V(39.0), zero, detail::upper_tail(min(select(outer, size, one), V(39.0))));
    return select(outer, select(z < zero, tail, one - tail), central);
}

// The standard normal deviate for the probability u = 1/2 + q, whose smaller side min(u, 1 - u) is `tail`. Both are
// asked for because each is exact where the other has lost its digits. The tail must be a normal number.
template <class T, int N>
RT_INLINE Pack<T, N> normal_deviate(Pack<T, N> q, Pack<T, N> tail) {
    using V = Pack<T, N>;
    const auto central = abs(q) <= V(T(0.425));
    auto z = detail::central_quotient(V(T(0.180625)) - q * q);
    z.over = z.over * q;
    if (!all(central)) {
        const V r = sqrt(-detail::log_of_normal(tail, V(T(0))));
        auto t = detail::tail_quotient(r - V(T(1.6)));
        const auto far = r > V(T(5));
        if (any(far)) {
            const auto f = detail::far_tail_quotient(r - V(T(5)));
            t = {select(far, f.over, t.over), select(far, f.under, t.under)};
        }
        z.over = select(central, z.over, select(q < V(T(0)), -t.over, t.over));
        z.under = select(central, z.under, t.under);
    }
    return z.over / z.under;
}

// Inverse of the standard normal distribution function: -infinity at 0, infinity at 1, NaN outside. Probabilities
// below the smallest normal number count as that number.
template <class T, int N>
RT_INLINE Pack<T, N> inverse_normal(Pack<T, N> u) {
    using V = Pack<T, N>;
    using F = detail::Format<T>;
    const auto zero = V(T(0)), one = V(T(1));
    const V z = normal_deviate(u - V(T(0.5)), max(min(u, one - u), V(F::smallest)));
    const V edge = select(u == zero, V(-F::infinity), select(u == one, V(F::infinity), V(F::nan)));
    return select((u > zero) & (u < one), z, edge);
}

}  // namespace ridethrough::simd
