// The regularised incomplete beta function: every exact binomial, Student and order-statistic interval rests on it.
#pragma once

#include <cstdint>

namespace ridethrough::stats {

// I_x(a, b) for a, b > 0 and x in [0, 1].
double incomplete_beta(double a, double b, double x);

// The x at which I_x(a, b) = p.
double beta_quantile(double p, double a, double b);

// P(at most k events in n trials of probability p); 0 for k < 0.
double binomial_cdf(std::int64_t k, std::int64_t n, double p);

// Two-sided Student quantile: 2.262 for confidence 0.95 and 9 degrees of freedom.
double two_sided_t(double confidence, double degrees_of_freedom);

}  // namespace ridethrough::stats
