#include "ridethrough/climate/clearness.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/record.hpp"

namespace ridethrough::climate {

namespace {

// Mean of a density proportional to exp(x t) on 0 to 1.
double unit_mean(double x) {
    if (std::abs(x) < 1e-3) return 0.5 + x / 12;
    return 1 / (1 - base::exp(-x)) - 1 / x;
}

double score(int node) { return (node - (score_nodes - 1) / 2) / nodes_per_score; }

}  // namespace

ClearnessRange clearness_range(double mean) {
    if (!(mean > 0 && mean <= highest_mean_clearness))
        throw base::InputError("mean clearness = " + base::number_text(mean) + ": allowed above 0, up to 0.8");
    double eighth = mean - 0.75;
    eighth *= eighth;
    eighth *= eighth;
    eighth *= eighth;
    const double high = 0.6313 + 0.267 * mean - 11.9 * eighth;
    if (mean >= lowest_published_clearness) return {0.05, high, false};
    return {std::min(0.05, mean / 2), std::max(high, mean + 0.15), true};
}

double bendt_mean(double gamma, const ClearnessRange& r) {
    return r.low + (r.high - r.low) * unit_mean(gamma * (r.high - r.low));
}

double bendt_gamma(double mean) {
    const ClearnessRange r = clearness_range(mean);
    double low = -2000 / (r.high - r.low), high = -low;
    for (int i = 0; i < 200 && low < high; ++i) {
        const double middle = low + (high - low) / 2;
        (bendt_mean(middle, r) < mean ? low : high) = middle;
    }
    return low + (high - low) / 2;
}

double bendt_gamma_approximate(double mean) {
    const ClearnessRange r = clearness_range(mean);
    const double xi = (r.high - r.low) / (r.high - mean);
    return -1.498 + (1.184 * xi - 27.182 * base::exp(-1.5 * xi)) / (r.high - r.low);
}

double bendt_cdf(double clearness, double gamma, const ClearnessRange& r) {
    const double t = std::clamp((clearness - r.low) / (r.high - r.low), 0.0, 1.0);
    const double x = gamma * (r.high - r.low);
    if (std::abs(x) < 1e-6) return t;
    if (x < 0) return (1 - base::exp(x * t)) / (1 - base::exp(x));
    return (base::exp(x * (t - 1)) - base::exp(-x)) / (1 - base::exp(-x));  // no overflow
}

double bendt_quantile(double u, double gamma, const ClearnessRange& r) {
    const double width = r.high - r.low, x = gamma * width;
    double t = u;
    if (x <= -1e-6)
        t = base::log(1 - u * (1 - base::exp(x))) / x;
    else if (x >= 1e-6)
        t = 1 + base::log(u + (1 - u) * base::exp(-x)) / x;
    return r.low + width * std::clamp(t, 0.0, 1.0);
}

std::vector<double> clearness_table(double mean) {
    const ClearnessRange range = clearness_range(mean);
    const double gamma = bendt_gamma(mean);
    std::vector<double> table(score_nodes);
    for (int i = 0; i < score_nodes; ++i)
        table[static_cast<std::size_t>(i)] = bendt_quantile(base::normal_cdf(score(i)), gamma, range);
    return table;
}

std::vector<double> empirical_clearness_table(std::span<const double> sorted) {
    if (sorted.empty() || !std::is_sorted(sorted.begin(), sorted.end()))
        throw base::InputError("clearness values: at least one is needed, in rising order");
    std::vector<double> table(score_nodes);
    const double last = static_cast<double>(sorted.size() - 1);
    for (int i = 0; i < score_nodes; ++i) {
        const double at = std::clamp(base::normal_cdf(score(i)) * (last + 1) - 0.5, 0.0, last);
        const auto k = static_cast<std::size_t>(at);
        const std::size_t next = std::min(k + 1, sorted.size() - 1);
        table[static_cast<std::size_t>(i)] = sorted[k] + (sorted[next] - sorted[k]) * (at - static_cast<double>(k));
    }
    return table;
}

}  // namespace ridethrough::climate
