// Daily clearness: its distribution given the month's normals.
//
// Learned (the default): a dull and a clear beta distribution between limits, their means at fixed shares of the way
// from the limits to the month's mean; the mean sets the mixture. In months above 15 degC, where showers take the
// place of fronts, the clear days draw together and dull ones get rare. No day is clearer than a cloudless one
// (weather/clear_sky.hpp). Coefficients: tests/long/fit_clearness.py,
// which lists its stations and what they give for stations that were left out.
//
// Published: Bendt, Collares-Pereira & Rabl 1981 (Solar Energy 27, 1-5)
// with the upper limit of Hollands & Huget 1983 as given by Huget 1985 (D&B 5th ed., 2.9.4 to 2.9.6).
#pragma once

#include <span>
#include <vector>

namespace ridethrough::weather {

inline constexpr double highest_mean_clearness = 0.80;  // the published range is .10 to .80
inline constexpr double lowest_published_clearness = 0.10;

struct ClearnessRange {
    double low = 0, high = 0;
    bool outside_published = false;  // mean below .10: limits moved so that a distribution exists
};
ClearnessRange clearness_range(double mean);  // InputError above .80 or where not positive

// The exponent that gives `mean` exactly.
double bendt_gamma(double mean);
double bendt_mean(double gamma, const ClearnessRange& range);
double bendt_cdf(double clearness, double gamma, const ClearnessRange& range);
double bendt_quantile(double u, double gamma, const ClearnessRange& range);

// Clearness at equally spaced normal scores, for simd::lookup at score_index(z).
inline constexpr int score_nodes = 1001;
inline constexpr double highest_score = 6.25;
inline constexpr double nodes_per_score = (score_nodes - 1) / (2 * highest_score);

// Quantiles of the learned distribution; air_temp_c: the month's normal; clearest: a cloudless day's, which normals
// that are clearer still overrule. InputError where the mean is not above 0 and below 1.
struct LearnedClearness {
    double dull = 0.463, clear = 0.827;       // of the component means' way from the limit, 0 at it and 1 at the mean
    double dull_nu = 13.27, clear_nu = 2.91;  // a + b of the betas
    double draw_together = 0.452;             // per 10 K above 15 degC
    double low = 0.03, high = 0.725, high_per_mean = 0.087;  // limits; the upper one's at a mean of 0.5
};
std::vector<double> clearness_table(double mean, double air_temp_c, double clearest = 1,
                                    const LearnedClearness& learned = {});
// The same days `factor` times as far from their mean, which they keep, inside 0.02 and `clearest`.
std::vector<double> spread_days(const std::vector<double>& table, double factor, double clearest);
std::vector<double> bendt_table(double mean);
// The same from measured days, sorted: quantiles at the plotting positions (i - 1/2)/n, flat beyond the ends.
std::vector<double> empirical_clearness_table(std::span<const double> sorted);

}  // namespace ridethrough::weather
