// A number estimated from trials, with its interval: sampling error alone, never the model's own error.
#pragma once

#include <cstdint>

namespace ridethrough::stats {

struct Estimate {
    double value = 0, low = 0, high = 0;
    std::int64_t events = not_counted;  // trials in which it happened, for a probability
    std::int64_t trials = 0;
    double confidence = 0.95;

    static constexpr std::int64_t not_counted = -1;  // the value is a quantile or a difference, not a probability
    double half_width() const { return (high - low) / 2; }
    bool operator==(const Estimate&) const = default;
};

// The ends of the score interval (Wilson 1927) of a share of so many trials, which need not be whole.
struct Ends {
    double low = 0, high = 0;
};
Ends score_interval(double share, double trials, double confidence);

// Score interval (Wilson 1927); close to its confidence on average, also near 0 and 1. What a verdict uses.
Estimate wilson(std::int64_t events, std::int64_t trials, double confidence = 0.95);

// Tail interval (Clopper and Pearson 1934); covers at least its confidence, always, so it is wider.
Estimate clopper_pearson(std::int64_t events, std::int64_t trials, double confidence = 0.95);

// Largest probability that still leaves no event in `trials` with probability 1 - confidence: one-sided and exact,
// about 3 / trials at 95 %.
double zero_event_bound(std::int64_t trials, double confidence = 0.95);

// Two-sided standard normal quantile: 1.96 for 0.95.
double two_sided_z(double confidence);

// InputErrors shared by the functions of this layer.
void require_confidence(double confidence);
void require_trials(std::int64_t trials);
void require_counts(std::int64_t events, std::int64_t trials);

}  // namespace ridethrough::stats
