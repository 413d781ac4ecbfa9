#include "ridethrough/weather/clearness.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "ridethrough/base/math.hpp"
#include "ridethrough/config/configuration.hpp"

namespace ridethrough::weather {

namespace {

// Mean of a density proportional to exp(x t) on 0 to 1.
double unit_mean(double x) {
    if (std::abs(x) < 1e-3) return 0.5 + x / 12;
    return 1 / (1 - base::exp(-x)) - 1 / x;
}

// Where normals leave no room below a cloudless day, days reach so far above their mean all the same.
constexpr double kLeastRoom = 1.08;
// No day that is spread is darker. Own choice.
constexpr double kLeastDay = 0.02;
constexpr int kMeanPasses = 60;  // halvings, by which a mean is found

// A beta density's shares of equal bins over 0 to 1, by the bins' middles.
std::vector<double> beta_bins(double mean, double nu, int bins) {
    const double a = std::max(mean * nu, 0.05), b = std::max((1 - mean) * nu, 0.05);
    std::vector<double> share(static_cast<std::size_t>(bins));
    for (int i = 0; i < bins; ++i) {
        const double x = (i + 0.5) / bins;
        share[static_cast<std::size_t>(i)] = base::exp((a - 1) * base::log(x) + (b - 1) * base::log(1 - x));
    }
    // The middle says too little of an end bin in which the density has no bound: there its integral, the other
    // factor 1.
    const double log_width = -base::log(static_cast<double>(bins));
    share.front() = base::exp((a - 1) * log_width) / a;
    share.back() = base::exp((b - 1) * log_width) / b;
    const double sum = std::accumulate(share.begin(), share.end(), 0.0);
    for (double& s : share) s /= sum;
    return share;
}

double bin_mean(const std::vector<double>& share) {
    double mean = 0;
    for (std::size_t i = 0; i < share.size(); ++i)
        mean += share[i] * (static_cast<double>(i) + 0.5) / static_cast<double>(share.size());
    return mean;
}

double score(int node) {
    constexpr int middle = (score_nodes - 1) / 2;
    return (node - middle) / nodes_per_score;
}

}  // namespace

ClearnessRange clearness_range(double mean) {
    if (!(mean > 0 && mean <= highest_mean_clearness))
        throw base::InputError(
            {.path = "mean clearness", .value = base::number_text(mean), .allowed = "above 0, up to 0.8"});
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

std::vector<double> clearness_table(double mean, double air_temp_c, double clearest, const LearnedClearness& l) {
    if (!(mean > 0 && mean < 1))
        throw base::InputError(
            {.path = "mean clearness", .value = base::number_text(mean), .allowed = "above 0 and below 1"});
    constexpr int bins = 800;
    const double low = std::min(l.low, mean / 2);
    // Own choice: room above a very clear month's mean, and none far above a nearly dark one's.
    const double room = std::min(std::max(l.high + l.high_per_mean * (mean - 0.5), mean + 0.08), 8 * mean);
    const double high = std::min(room, std::max(clearest, kLeastRoom * mean));
    const double mu = (mean - low) / (high - low);
    const double apart = base::exp(-l.draw_together * std::max((air_temp_c - 15) / 10, 0.0));
    const auto dull = beta_bins(mu * l.dull, l.dull_nu, bins);
    const auto clear = beta_bins(1 - (1 - mu) * (1 - (1 - l.clear) * apart), l.clear_nu / (apart * apart), bins);
    const double m1 = bin_mean(dull), m2 = bin_mean(clear);
    const double w = std::clamp((m2 - mu) / (m2 - m1), 0.0, 1.0);

    std::vector<double> table(score_nodes);
    int bin = 0;
    double below = 0, here = w * dull[0] + (1 - w) * clear[0];
    for (int i = 0; i < score_nodes; ++i) {
        const double u = base::normal_cdf(score(i));
        while (bin + 1 < bins && below + here < u) {
            below += here;
            ++bin;
            const auto k = static_cast<std::size_t>(bin);
            here = w * dull[k] + (1 - w) * clear[k];
        }
        const double within = here > 0 ? std::clamp((u - below) / here, 0.0, 1.0) : 0;
        table[static_cast<std::size_t>(i)] = low + (high - low) * (bin + within) / bins;
    }
    return table;
}

std::vector<double> spread_days(const std::vector<double>& table, double factor, double clearest) {
    if (factor == 1) return table;
    std::vector<double> weight(table.size());
    double sum = 0, mean = 0;
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double z = score(static_cast<int>(i));
        sum += weight[i] = base::exp(-0.5 * z * z);
        mean += weight[i] * table[i];
    }
    mean /= sum;
    const double least = std::min(kLeastDay, table.front()), most = std::max(clearest, table.back());
    std::vector<double> out(table.size());
    double low = -1, high = 2;
    for (int pass = 0; pass < kMeanPasses; ++pass) {
        const double centre = 0.5 * (low + high);
        double found = 0;
        for (std::size_t i = 0; i < table.size(); ++i) {
            out[i] = std::clamp(centre + factor * (table[i] - mean), least, most);
            found += weight[i] * out[i];
        }
        (found < mean * sum ? low : high) = centre;
    }
    return out;
}

std::vector<double> bendt_table(double mean) {
    const ClearnessRange range = clearness_range(mean);
    const double gamma = bendt_gamma(mean);
    std::vector<double> table(score_nodes);
    for (int i = 0; i < score_nodes; ++i)
        table[static_cast<std::size_t>(i)] = bendt_quantile(base::normal_cdf(score(i)), gamma, range);
    return table;
}

std::vector<double> empirical_clearness_table(std::span<const double> sorted) {
    if (sorted.empty() || !std::is_sorted(sorted.begin(), sorted.end()))
        throw base::InputError({.path = "clearness values", .reason = "at least one is needed, in rising order"});
    std::vector<double> table(score_nodes);
    const auto last = static_cast<double>(sorted.size() - 1);
    for (int i = 0; i < score_nodes; ++i) {
        const double at = std::clamp(base::normal_cdf(score(i)) * (last + 1) - 0.5, 0.0, last);
        const auto k = static_cast<std::size_t>(at);
        const std::size_t next = std::min(k + 1, sorted.size() - 1);
        table[static_cast<std::size_t>(i)] = sorted[k] + (sorted[next] - sorted[k]) * (at - static_cast<double>(k));
    }
    return table;
}

}  // namespace ridethrough::weather
