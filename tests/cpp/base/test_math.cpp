// The elementary functions against the C library's long double ones (64-bit mantissa), and against themselves at other
// widths. Bounds are those that the headers promise.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <limits>
#include <random>
#include <vector>

#include "ridethrough/base/math.hpp"

namespace base = ridethrough::base;
using ridethrough::simd::Pack;

namespace {

// Distance in units of the last place of T at the reference.
template <class T>
double ulps(T got, long double exact) {
    const T size = std::fabs(static_cast<T>(exact));
    const auto unit = static_cast<long double>(std::nextafter(size, std::numeric_limits<T>::infinity())) - size;
    return static_cast<double>(std::fabs(static_cast<long double>(got) - exact) / unit);
}

constexpr int points = 100'000;

template <class T>
std::vector<T> even(double low, double high) {
    std::mt19937_64 engine(1);
    std::vector<T> x(points);
    for (auto& v : x) v = static_cast<T>(low + (high - low) * (static_cast<double>(engine() >> 11) + 0.5) * 0x1p-53);
    return x;
}

template <class T>
std::vector<T> spread_over_exponents(double low, double high, double sign = 1.0) {
    auto x = even<T>(std::log2(low), std::log2(high));
    for (auto& v : x) v = static_cast<T>(sign * std::exp2(static_cast<double>(v)));
    return x;
}

template <class T, class F, class G>
double worst(const std::vector<T>& x, F own, G exact) {
    double most = 0.0;
    for (const T v : x) {
        const double off = ulps<T>(own(v), exact(static_cast<long double>(v)));
        most = std::isnan(off) ? std::numeric_limits<double>::infinity() : std::max(most, off);
    }
    return most;
}

template <class T>
T one(Pack<T, 1> x) {
    return x.lane(0);
}

long double exact_cdf(long double z) { return std::erfc(-z * 0.707106781186547524400844362104849L) / 2; }

template <class T>
bool same(T a, T b) {
    return std::memcmp(&a, &b, sizeof a) == 0 || (std::isnan(a) && std::isnan(b));
}

// Every function of x, at one width.
template <class T, int N>
std::vector<std::vector<T>> all_functions(const std::vector<T>& x) {
    using V = Pack<T, N>;
    std::vector<std::vector<T>> out(9, std::vector<T>(x.size()));
    for (std::size_t i = 0; i < x.size(); i += N) {
        const V v = V::load(&x[i]);
        exp(v).store(&out[0][i]);
        expm1(v).store(&out[1][i]);
        log(v).store(&out[2][i]);
        log1p(v).store(&out[3][i]);
        pow(v, V(T(1.28))).store(&out[4][i]);
        sin(v).store(&out[5][i]);
        cos(v).store(&out[6][i]);
        inverse_normal(v).store(&out[7][i]);
        sqrt(abs(v)).store(&out[8][i]);
    }
    return out;
}

template <class T, int N>
void same_as_one_lane(const std::vector<T>& x) {
    const auto narrow = all_functions<T, 1>(x), wide = all_functions<T, N>(x);
    for (std::size_t f = 0; f < narrow.size(); ++f)
        for (std::size_t i = 0; i < x.size(); ++i) {
            INFO("function " << f << " width " << N << " x " << x[i]);
            if (!same(narrow[f][i], wide[f][i])) FAIL();
        }
}

}  // namespace

TEMPLATE_TEST_CASE("exp, log, pow, sin and cos stay within their bounds", "[math]", double, float) {
    using T = TestType;
    constexpr bool is_double = sizeof(T) == 8;
    const auto exp = [](T x) { return one<T>(ridethrough::simd::exp(Pack<T, 1>(x))); };
    const auto expm1 = [](T x) { return one<T>(ridethrough::simd::expm1(Pack<T, 1>(x))); };
    const auto log = [](T x) { return one<T>(ridethrough::simd::log(Pack<T, 1>(x))); };
    const auto log1p = [](T x) { return one<T>(ridethrough::simd::log1p(Pack<T, 1>(x))); };
    const auto sin = [](T x) { return one<T>(ridethrough::simd::sin(Pack<T, 1>(x))); };
    const auto cos = [](T x) { return one<T>(ridethrough::simd::cos(Pack<T, 1>(x))); };
    const auto exact_exp = [](long double x) { return std::exp(x); };
    const auto exact_expm1 = [](long double x) { return std::expm1(x); };
    const auto exact_log = [](long double x) { return std::log(x); };
    const auto exact_log1p = [](long double x) { return std::log1p(x); };
    const auto exact_sin = [](long double x) { return std::sin(x); };
    const auto exact_cos = [](long double x) { return std::cos(x); };

    CHECK(worst(even<T>(is_double ? -708 : -87, is_double ? 709 : 88), exp, exact_exp) < 1.5);
    CHECK(worst(even<T>(-2, 2), exp, exact_exp) < 1.5);
    CHECK(worst(even<T>(-36, is_double ? 709 : 88), expm1, exact_expm1) < 2);
    CHECK(worst(spread_over_exponents<T>(1e-30, 1), expm1, exact_expm1) < 2);
    CHECK(worst(spread_over_exponents<T>(1e-30, 1, -1), expm1, exact_expm1) < 2);
    CHECK(worst(even<T>(0.5, 2), log, exact_log) < 1);
    CHECK(worst(even<T>(0.999, 1.001), log, exact_log) < 1);
    CHECK(worst(spread_over_exponents<T>(is_double ? 1e-320 : 1e-44, is_double ? 1e308 : 1e38), log, exact_log) < 1);
    CHECK(worst(even<T>(-0.9, 3), log1p, exact_log1p) < 1.5);
    CHECK(worst(spread_over_exponents<T>(1e-30, 1e30), log1p, exact_log1p) < 1.5);
    for (const double range : {1.0, 10.0, 1e5}) {
        CHECK(worst(even<T>(-range, range), sin, exact_sin) < 2);
        CHECK(worst(even<T>(-range, range), cos, exact_cos) < 2);
    }

    // pow, relative to its own bound, where the result is a normal number.
    const auto x = spread_over_exponents<T>(0.02, 50);
    auto y = even<T>(-20, 20);
    std::shuffle(y.begin(), y.end(), std::mt19937_64(2));
    double most = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const long double exact = std::pow(static_cast<long double>(x[i]), static_cast<long double>(y[i]));
        if (!(exact > std::numeric_limits<T>::min() && exact < std::numeric_limits<T>::max())) continue;
        const double bound = 2.0 * (1.0 + std::fabs(static_cast<double>(y[i]) * std::log(static_cast<double>(x[i]))));
        most =
            std::max(most, ulps<T>(one<T>(ridethrough::simd::pow(Pack<T, 1>(x[i]), Pack<T, 1>(y[i]))), exact) / bound);
    }
    CHECK(most < 1);
    CHECK(most > 0);
}

TEST_CASE("arc functions and the normal distribution stay within their bounds", "[math]") {
    const auto near_one = spread_over_exponents<double>(1e-15, 0.5);
    const auto exact_acos_below_one = [](long double d) { return std::acos(1.0L - d); };
    std::vector<double> below_one;
    for (const double d : near_one) below_one.push_back(1.0 - (1.0 - d));  // d as rounding 1 - d leaves it
    CHECK(worst(below_one, [](double d) { return base::acos(1.0 - d); }, exact_acos_below_one) < 2.5);
    CHECK(worst(
              even<double>(-1, 1), [](double x) { return base::acos(x); }, [](long double x) { return std::acos(x); }) <
          2.5);
    CHECK(worst(
              even<double>(-1, 1), [](double x) { return base::asin(x); }, [](long double x) { return std::asin(x); }) <
          2);
    CHECK(worst(
              spread_over_exponents<double>(1e-300, 1e-3), [](double x) { return base::asin(x); },
              [](long double x) { return std::asin(x); }) < 2);
    for (const double x : {1.0, -1.0, 3.0, -0.01})
        CHECK(worst(
                  even<double>(-20, 20), [x](double y) { return base::atan2(y, x); },
                  [x](long double y) { return std::atan2(y, static_cast<long double>(x)); }) < 2);
    CHECK(worst(
              spread_over_exponents<double>(1e-20, 1e20), [](double y) { return base::atan2(y, 1.0); },
              [](long double y) { return std::atan2(y, 1.0L); }) < 2);
    CHECK(worst(even<double>(-37.5, -1), [](double z) { return base::normal_cdf(z); }, exact_cdf) < 6);
    CHECK(worst(even<double>(-1, 1), [](double z) { return base::normal_cdf(z); }, exact_cdf) < 6);
    CHECK(worst(even<double>(1, 9), [](double z) { return base::normal_cdf(z); }, exact_cdf) < 6);

    // Wichura's own check values for PPND16 (Applied Statistics 37, 1988, table of test values; from memory).
    CHECK(base::inverse_normal(0.25) == Approx(-0.6744897501960817).epsilon(1e-15));
    CHECK(base::inverse_normal(0.001) == Approx(-3.090232306167814).epsilon(1e-15));
    CHECK(base::inverse_normal(1e-20) == Approx(-9.262340089798408).epsilon(1e-15));
}

TEST_CASE("edges of the elementary functions", "[math]") {
    constexpr double inf = std::numeric_limits<double>::infinity(), nan = std::numeric_limits<double>::quiet_NaN();
    CHECK(base::exp(0.0) == 1.0);
    CHECK(base::exp(-800.0) == 0.0);
    CHECK(base::exp(-inf) == 0.0);
    CHECK(base::exp(800.0) == inf);
    CHECK(base::exp(-745.0) == std::numeric_limits<double>::denorm_min());
    CHECK(base::expm1(-100.0) == -1.0);
    CHECK(base::expm1(1e-300) == 1e-300);
    CHECK(base::expm1(800.0) == inf);
    CHECK(base::log(1.0) == 0.0);
    CHECK(base::log(0.0) == -inf);
    CHECK(base::log(inf) == inf);
    CHECK(std::isnan(base::log(-1.0)));
    CHECK(std::isnan(base::acos(1.0 + 1e-15)));
    CHECK(base::acos(1.0) == 0.0);
    CHECK(base::atan2(0.0, 0.0) == 0.0);
    CHECK(base::inverse_normal(0.5) == 0.0);
    CHECK(base::inverse_normal(0.0) == -inf);
    CHECK(base::inverse_normal(1.0) == inf);
    CHECK(std::isnan(base::inverse_normal(1.5)));
    CHECK(base::normal_cdf(0.0) == 0.5);
    CHECK(base::normal_cdf(-inf) == 0.0);
    CHECK(base::normal_cdf(inf) == 1.0);
    for (const auto f : {base::exp, base::expm1, base::log, base::log1p, base::sin, base::cos, base::acos, base::asin,
                         static_cast<double (*)(double)>(base::inverse_normal), base::normal_cdf})
        CHECK(std::isnan(f(nan)));
    CHECK(std::isnan(base::pow(nan, 1.0)));
    CHECK(std::isnan(base::pow(2.0, nan)));
    CHECK(std::isnan(base::atan2(nan, 1.0)));
    CHECK(std::isnan(base::atan2(1.0, nan)));
}

TEMPLATE_TEST_CASE("every width gives the same bits in every lane", "[math]", double, float) {
    using T = TestType;
    constexpr T inf = std::numeric_limits<T>::infinity();
    // The odd ones first, in one pack with ordinary numbers.
    std::vector<T> x = {T(0),
                        T(-0.0),
                        inf,
                        -inf,
                        std::numeric_limits<T>::quiet_NaN(),
                        T(-1),
                        T(1),
                        T(0.5),
                        std::numeric_limits<T>::denorm_min(),
                        std::numeric_limits<T>::min(),
                        T(1e-30),
                        T(0.02),
                        T(0.98),
                        T(1e30),
                        std::numeric_limits<T>::max(),
                        T(0.925)};
    for (const auto& part : {even<T>(-100, 100), even<T>(0, 1), spread_over_exponents<T>(1e-37, 1e37)})
        x.insert(x.end(), part.begin(), part.begin() + 4096);
    same_as_one_lane<T, 2>(x);
    same_as_one_lane<T, 4>(x);
    same_as_one_lane<T, 8>(x);
    same_as_one_lane<T, 16>(x);
}

TEMPLATE_TEST_CASE("masks and lanes of wide packs", "[math]", (Pack<double, 2>), (Pack<double, 8>), (Pack<float, 2>),
                   (Pack<float, 4>), (Pack<float, 16>), (Pack<double, 16>)) {
    using V = TestType;
    using T = typename V::Scalar;
    CHECK(std::signbit(V(T(-0.0)).lane(V::width - 1)));
    CHECK(!std::signbit(abs(V(T(-0.0))).lane(V::width - 1)));
    for (int i = 0; i < V::width; ++i) {
        V x = T(0);
        x.set_lane(i, T(3));
        CHECK(x.lane(i) == T(3));
        CHECK(any(x > V(T(1))));
        CHECK(!all(x > V(T(1))));
        CHECK(all((x > V(T(1))) | (x == V(T(0)))));
        CHECK(!any(x > V(T(3))));
        for (int j = 0; j < V::width; ++j) CHECK((x > V(T(1))).lane(j) == (i == j));
    }
}
