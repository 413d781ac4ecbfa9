#include "ridethrough/base/math.hpp"

namespace ridethrough::base {
using namespace simd;

namespace {

using One = Pack<double, 1>;

double square_root(double x) { return sqrt(One(x)).v; }

constexpr double pi = 0x1.921fb54442d18p+1, pi_low = 0x1.1a62633145c07p-53;

// atan(j/8) and what its rounding lost.
constexpr double atan_eighths[9][2] = {
    {0.0, 0.0},
    {0x1.fd5ba9aac2f6ep-4, -0x1.cd37686760c17p-59},
    {0x1.f5b75f92c80ddp-3, 0x1.8ab6e3cf7afbdp-57},
    {0x1.6f61941e4def1p-2, -0x1.c63aae6f6e918p-56},
    {0x1.dac670561bb4fp-2, 0x1.a2b7f222f65e2p-56},
    {0x1.1e00babdefeb4p-1, -0x1.928df287a668fp-58},
    {0x1.4978fa3269ee1p-1, 0x1.2419a87f2a458p-56},
    {0x1.700a7c5784634p-1, -0x1.8c34d25aadef6p-56},
    {pi / 4, pi_low / 4},
};

}  // namespace

double exp(double x) { return exp(One(x)).v; }
double expm1(double x) { return expm1(One(x)).v; }
double log(double x) { return log(One(x)).v; }
double log1p(double x) { return log1p(One(x)).v; }
double pow(double x, double y) { return pow(One(x), One(y)).v; }
double sin(double x) { return sin(One(x)).v; }
double cos(double x) { return cos(One(x)).v; }
double normal_cdf(double z) { return normal_cdf(One(z)).v; }
double inverse_normal(double u) { return inverse_normal(One(u)).v; }

double atan2(double y, double x) {
    const double ay = abs(One(y)).v, ax = abs(One(x)).v;
    const bool steep = ay > ax;
    const double a = steep ? ax : ay, b = steep ? ay : ax;
    if (a == 0.0 && b == 0.0) return y;
    // atan(a/b) = atan c + atan((a - c b) / (b + c a)) with c the nearest eighth; the rest is at most 1/16.
    const double eighths = detail::round_even(One(8.0 * (a / b))).v;
    if (!(eighths >= 0.0)) return detail::Format<double>::nan;
    const auto& node = atan_eighths[static_cast<int>(eighths)];
    const double c = eighths / 8.0;
    const double u = (a - c * b) / (b + c * a);
    const double z = u * u;
    const double series = detail::polynomial(One(z), -1.0 / 3, 1.0 / 5, -1.0 / 7, 1.0 / 9, -1.0 / 11, 1.0 / 13).v;
    double high = node[0], low = node[1] + u * z * series + u;
    if (steep) {
        high = pi / 2 - high;
        low = pi_low / 2 - low;
    }
    if (x < 0.0) {
        high = pi - high;
        low = pi_low - low;
    }
    const double angle = high + low;
    return y < 0.0 ? -angle : angle;
}

double acos(double x) { return atan2(square_root((1.0 - x) * (1.0 + x)), x); }
double asin(double x) { return atan2(x, square_root((1.0 - x) * (1.0 + x))); }

}  // namespace ridethrough::base
