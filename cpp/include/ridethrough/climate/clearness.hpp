// Daily clearness: its distribution given the month's mean. Bendt, Collares-Pereira & Rabl 1981 (Solar Energy 27, 1-5)
// with the upper limit of Hollands & Huget 1983 as given by Huget 1985 (D&B 5th ed., 2.9.4 to 2.9.6).
#pragma once

#include <span>
#include <vector>

namespace ridethrough::climate {

inline constexpr double highest_mean_clearness = 0.80;  // the published range is .10 to .80
inline constexpr double lowest_published_clearness = 0.10;

struct ClearnessRange {
    double low = 0, high = 0;
    bool outside_published = false;  // mean below .10: limits moved so that a distribution exists
};
ClearnessRange clearness_range(double mean);  // InputError above .80 or where not positive

// The exponent that gives `mean` exactly, and the published approximation to it.
double bendt_gamma(double mean);
double bendt_gamma_approximate(double mean);
double bendt_mean(double gamma, const ClearnessRange& range);
double bendt_cdf(double clearness, double gamma, const ClearnessRange& range);
double bendt_quantile(double u, double gamma, const ClearnessRange& range);

// Clearness at equally spaced normal scores, for base::lookup at score_index(z).
inline constexpr int score_nodes = 1001;
inline constexpr double highest_score = 6.25;
inline constexpr double nodes_per_score = (score_nodes - 1) / (2 * highest_score);

std::vector<double> clearness_table(double mean);
// The same from measured days, sorted: quantiles at the plotting positions (i - 1/2)/n, flat beyond the ends.
std::vector<double> empirical_clearness_table(std::span<const double> sorted);

}  // namespace ridethrough::climate
