// The one way a C++ test compares a sampled figure with a known one: both error rates are declared, and a sample too
// small to see the error it is meant to see is refused. tests/python/statcheck.py is its twin.
#pragma once

#include <cmath>
#include <cstdint>
#include <stdexcept>
#include <string>

#include "ridethrough/base/math.hpp"
#include "ridethrough/stats/beta.hpp"

namespace statcheck {

struct Rates {
    double smallest_error;      // in the unit of the figure; an error this big is caught ...
    double missed = 0.01;       // ... but for this share of seeds
    double false_alarm = 1e-6;  // two-sided, 4.9 sigma
};

inline double sigmas(double tail) { return -ridethrough::base::inverse_normal(tail); }

inline void require_sensitive(double sd_if_right, double sd_if_wrong, const Rates& rates) {
    const double visible = sigmas(rates.false_alarm / 2) * sd_if_right + sigmas(rates.missed) * sd_if_wrong;
    if (!(visible <= rates.smallest_error))
        throw std::logic_error("sample too small: it shows errors from " + std::to_string(visible) +
                               ", the check is for " + std::to_string(rates.smallest_error));
}

// Did `events` of `trials` come from probability `expected`? Exact binomial tails where npq < 100.
inline bool proportion_agrees(std::int64_t events, std::int64_t trials, double expected, const Rates& rates) {
    const double n = static_cast<double>(trials), k = static_cast<double>(events);
    const auto sd = [n](double p) { return std::sqrt(p * (1 - p) / n); };
    // The error that is hardest to see is the one towards one half, where the spread is larger.
    const double wrong = expected < 0.5 ? expected + rates.smallest_error : expected - rates.smallest_error;
    require_sensitive(sd(expected), sd(wrong), rates);
    if (n * expected * (1 - expected) >= 100)
        return std::abs(k / n - expected) <= sigmas(rates.false_alarm / 2) * sd(expected);
    return ridethrough::stats::binomial_cdf(events, trials, expected) > rates.false_alarm / 2 &&
           ridethrough::stats::binomial_cdf(trials - events, trials, 1 - expected) > rates.false_alarm / 2;
}

// Did `trials` values with this mean and standard deviation come from a law of mean `expected`? Enough trials for the
// mean to be normal are the caller's to see to.
inline bool mean_agrees(double mean, double sd, std::int64_t trials, double expected, const Rates& rates) {
    const double error = sd / std::sqrt(static_cast<double>(trials));
    require_sensitive(error, error, rates);
    return std::abs(mean - expected) <= sigmas(rates.false_alarm / 2) * error;
}

}  // namespace statcheck
