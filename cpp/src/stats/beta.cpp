#include "ridethrough/stats/beta.hpp"

#include <cmath>
#include <string>

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/text.hpp"

namespace ridethrough::stats {
namespace {

// log Gamma(z) less Stirling's formula (z - 1/2) log z - z + log(2 pi)/2.
double stirling_error(double z) {
    double shift = 0;
    for (; z < 10; z += 1) shift += (z + 0.5) * base::log1p(1 / z) - 1;
    const double w = 1 / (z * z);
    return shift + (1.0 / 12 - w * (1.0 / 360 - w * (1.0 / 1260 - w * (1.0 / 1680 - w / 1188)))) / z;
}

// x^a (1-x)^b / B(a, b) without ever forming a large log Gamma: after Stirling's formula what is left are the
// distances of x from the mean a/(a+b), which are small wherever the answer is not.
double beta_weight(double a, double b, double x) {
    constexpr double two_pi = 6.283185307179586476925;
    const double n = a + b;
    const double exponent = a * base::log(x * n / a) + b * base::log((1 - x) * n / b) + stirling_error(n) -
                            stirling_error(a) - stirling_error(b);
    return base::exp(exponent) * std::sqrt(a / n * b / two_pi);
}

// The continued fraction of I_x(a, b), even and odd steps together (NIST DLMF 8.17.22), evaluated by Lentz's method.
double beta_fraction(double a, double b, double x) {
    constexpr double tiny = 1e-300;
    const auto away_from_zero = [](double v) { return std::abs(v) < tiny ? tiny : v; };
    double c = 1, d = 1 / away_from_zero(1 - (a + b) * x / (a + 1)), value = d;
    for (double m = 1; m < 1e7; m += 1) {  // about sqrt(a + b) steps are needed
        const double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
        d = 1 / away_from_zero(1 + even * d);
        c = away_from_zero(1 + even / c);
        value *= d * c;
        const double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
        d = 1 / away_from_zero(1 + odd * d);
        c = away_from_zero(1 + odd / c);
        value *= d * c;
        if (std::abs(d * c - 1) < 1e-15) break;
    }
    return value;
}

}  // namespace

double incomplete_beta(double a, double b, double x) {
    if (!(a > 0 && b > 0 && x >= 0 && x <= 1))
        throw base::InputError({.path = "incomplete_beta(" + base::number_text(a) + ", " + base::number_text(b) + ", " +
                                        base::number_text(x) + ")",
                                .allowed = "a, b > 0 and x from 0 to 1"});
    if (x == 0 || x == 1) return x;
    const double weight = beta_weight(a, b, x);
    // The fraction converges fast below the mean; above it the mirror image is used.
    if (x * (a + b + 2) < a + 1) return weight * beta_fraction(a, b, x) / a;
    return 1 - weight * beta_fraction(b, a, 1 - x) / b;
}

double beta_quantile(double p, double a, double b) {
    if (!(p >= 0 && p <= 1)) throw base::InputError({.path = "p", .value = base::number_text(p), .allowed = "0 to 1"});
    double below = 0, above = 1;
    while (true) {  // halving until no double lies between: about 60 steps, more for a tiny answer
        const double middle = below + (above - below) / 2;
        if (middle == below || middle == above) return middle;
        (incomplete_beta(a, b, middle) < p ? below : above) = middle;
    }
}

double binomial_cdf(std::int64_t k, std::int64_t n, double p) {
    if (k < 0) return 0;
    if (k >= n) return 1;
    return incomplete_beta(static_cast<double>(n - k), static_cast<double>(k + 1), 1 - p);
}

double two_sided_t(double confidence, double degrees_of_freedom) {
    const double x = beta_quantile(confidence, 0.5, degrees_of_freedom / 2);  // of t^2 / (degrees + t^2)
    return std::sqrt(degrees_of_freedom * x / (1 - x));
}

}  // namespace ridethrough::stats
