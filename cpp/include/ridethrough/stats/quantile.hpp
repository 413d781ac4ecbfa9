// Quantiles of a result column, with an interval that assumes nothing about its distribution.
#pragma once

#include <span>

#include "ridethrough/stats/interval.hpp"

namespace ridethrough::stats {

// The smallest value that at least a share q of the column does not exceed, with order-statistic limits: the number of
// trials below the true quantile is binomial (David and Nagaraja, Order Statistics, section 7.1). A column too
// short for a limit on one side has an infinite one there. Infinite values ("never") are allowed, NaN is not.
Estimate quantile_interval(std::span<const double> column, double q, double confidence = 0.95);

}  // namespace ridethrough::stats
