#include "ridethrough/forecast/estimates.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/text.hpp"

namespace ridethrough::forecast {

namespace {

void require_same(std::size_t share, std::size_t values) {
    if (share != values || share == 0)
        throw base::InputError({.path = "values", .allowed = "as many as weights, 1 or more"});
}

// Mean, its variance, and the effective number of trials, all in the order of trials.
struct Moments {
    double mean = 0, variance = 0, effective = 0;
};
template <class T>
Moments moments(std::span<const double> share, std::span<const T> values) {
    require_same(share.size(), values.size());
    Moments m;
    double total = 0, squares = 0;
    for (std::size_t i = 0; i < share.size(); ++i) {
        total += share[i];
        squares += share[i] * share[i];
        m.mean += share[i] * static_cast<double>(values[i]);
    }
    if (!(total > 0)) throw base::InputError({.path = "weights", .reason = "no trial has any"});
    m.mean /= total;
    for (std::size_t i = 0; i < share.size(); ++i) {
        const double off = share[i] * (static_cast<double>(values[i]) - m.mean);
        m.variance += off * off;
    }
    m.variance /= total * total;
    m.effective = total * total / squares;
    return m;
}

std::int64_t whole(double trials) { return std::max<std::int64_t>(1, static_cast<std::int64_t>(trials)); }

}  // namespace

Weights weights(std::span<const double> log_likelihood) {
    Weights out;
    out.share.assign(log_likelihood.size(), 0.0);
    double most = -std::numeric_limits<double>::infinity();
    for (const double one : log_likelihood) most = std::max(most, one);
    out.log_mean = most;
    if (!(most > -std::numeric_limits<double>::infinity())) return out;
    double sum = 0, squares = 0;
    for (std::size_t i = 0; i < log_likelihood.size(); ++i) {
        if (!(log_likelihood[i] > -std::numeric_limits<double>::infinity())) continue;
        out.share[i] = base::exp(log_likelihood[i] - most);
        sum += out.share[i];
        squares += out.share[i] * out.share[i];
    }
    for (double& one : out.share) one /= sum;
    out.effective = sum * sum / squares;
    out.largest = 1 / sum;
    out.log_mean = most + base::log(sum / static_cast<double>(log_likelihood.size()));
    return out;
}

stats::Estimate weighted_share(std::span<const double> share, std::span<const std::uint8_t> event, double confidence) {
    const Moments m = moments(share, event);
    const double p = std::clamp(m.mean, 0.0, 1.0), spread = p * (1 - p);
    // No more than the effective number: a few light trials with the event do not make a small share sharp.
    const double n = m.variance > 0 ? std::min(spread / m.variance, m.effective) : m.effective;
    const stats::Ends ends = stats::score_interval(p, n, confidence);
    return {p,         std::min(ends.low, p), std::max(ends.high, p), stats::Estimate::not_counted, whole(m.effective),
            confidence};
}

stats::Estimate weighted_mean(std::span<const double> share, std::span<const double> values, double confidence) {
    const Moments m = moments(share, values);
    const double reach = stats::two_sided_z(confidence) * std::sqrt(m.variance);
    return {m.mean, m.mean - reach, m.mean + reach, stats::Estimate::not_counted, whole(m.effective), confidence};
}

}  // namespace ridethrough::forecast
