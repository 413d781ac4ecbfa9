// What weighted trials say, with intervals.
#pragma once

#include <span>
#include <vector>

#include "ridethrough/stats/interval.hpp"

namespace ridethrough::forecast {

struct Weights {
    std::vector<double> share;  // of each trial; their sum is 1
    double effective = 0;       // trials that would say as much with equal weights (Kong 1992); 0: none fits
    double largest = 0;         // share of one trial
    double log_mean = 0;        // of the likelihood: the log evidence
};
Weights weights(std::span<const double> log_likelihood);

// Share of the weight on trials with an event. Wilson's score interval of so many trials as give the variance that the
// weighted share has (delta method for a ratio), but no more than the effective number.
stats::Estimate weighted_share(std::span<const double> share, std::span<const std::uint8_t> event, double confidence);

// Weighted mean; the normal interval of the same variance.
stats::Estimate weighted_mean(std::span<const double> share, std::span<const double> values, double confidence);

}  // namespace ridethrough::forecast
