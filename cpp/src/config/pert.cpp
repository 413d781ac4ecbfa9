#include "pert.hpp"

#include <algorithm>
#include <cstddef>
#include <span>

#include "ridethrough/base/math.hpp"

namespace ridethrough::config {
using base::pow;

namespace {

constexpr std::size_t kNodes = 129;

// The lower tail is I_x(a, b) = x^a (1-x)^b sum(x) / (a B(a, b)), with the series of DLMF 8.17.8 (a + b = 6): all its
// terms are positive, so nothing cancels.
double sum(double x, double a) {
    double term = 1, total = 1;
    for (int k = 0; term > 1e-17 * total; ++k) total += term *= x * (6.0 + k) / (a + 1.0 + k);
    return total;
}

// Near its end a tail u goes as x^a, so x is a smooth function of s = u^(1/a): nodes s at even x, and slopes dx/ds.
void tabulate(std::vector<double>& out, double a, double end, double beta) {
    std::vector<double> slopes;
    for (std::size_t i = 0; i < kNodes; ++i) {
        const double x = end * static_cast<double>(i) / (kNodes - 1);
        const double series = sum(x, a);
        const double ratio = pow(pow(1 - x, 6 - a) * series / (a * beta), 1 / a);  // s / x
        out.push_back(ratio * x);
        slopes.push_back((1 - x) * series / ratio);
    }
    out.insert(out.end(), slopes.begin(), slopes.end());
}

// Cubic Hermite interpolation of x at s.
double look_up(std::span<const double> table, double end, double s) {
    const auto nodes = table.first(kNodes), slopes = table.last(kNodes);
    const auto above = std::upper_bound(nodes.begin() + 1, nodes.end() - 1, s);
    const auto i = static_cast<std::size_t>(above - nodes.begin()) - 1;
    const double step = end / (kNodes - 1), width = nodes[i + 1] - nodes[i], t = (s - nodes[i]) / width;
    const double bend = (slopes[i] * (1 - t) - slopes[i + 1] * t) * width + step * (2 * t - 1);
    return step * (static_cast<double>(i) + t) + t * (1 - t) * bend;
}

}  // namespace

// Both tails meet at the mean a / 6, so that neither table reaches far into the other's end. The first number is the
// probability below the mean.
std::vector<double> pert_table(double a) {
    const double b = 6 - a, mean = a / 6;
    const double below = sum(mean, a) / a, above = sum(1 - mean, b) / b;
    const double beta = pow(mean, a) * pow(1 - mean, b) * (below + above);  // as the two tails make 1
    std::vector<double> out{below / (below + above)};
    tabulate(out, a, mean, beta);
    tabulate(out, b, 1 - mean, beta);
    return out;
}

double pert_quantile(const std::vector<double>& table, double a, double u) {
    const std::span<const double> tails = std::span(table).subspan(1);
    if (u <= table[0]) return look_up(tails.first(2 * kNodes), a / 6, pow(u, 1 / a));
    return 1 - look_up(tails.last(2 * kNodes), 1 - a / 6, pow(1 - u, 1 / (6 - a)));
}

}  // namespace ridethrough::config
