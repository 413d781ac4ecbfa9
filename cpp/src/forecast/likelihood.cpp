#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include "ridethrough/base/math.hpp"
#include "ridethrough/forecast/readings.hpp"

namespace ridethrough::forecast {

namespace {

constexpr double kLogRootTwoPi = 0.91893853320467274178;
// A step of a display up to this many standard deviations spreads like a normal error of the same variance, within
// (0.6^4 / 2880) of the likelihood. Own choice.
constexpr double kNarrow = 0.6;

double log_of_tail(double z) {  // log P(Z > z)
    if (z < 37) return base::log(base::normal_cdf(-z));
    const double next = 1 - 1 / (z * z + 2);  // Mills' ratio to two terms, relative error under 1e-5 here
    return -0.5 * z * z - kLogRootTwoPi - base::log(z) + base::log(next);
}

// log(exp(a) - exp(b)) for a >= b.
double log_difference(double a, double b) { return a + base::log(-base::expm1(b - a)); }

bool is_narrow(const MeterReading& r, double variance) {
    return (r.high - r.low) * (r.high - r.low) <= kNarrow * kNarrow * variance;
}

// Steps of the integral over a shared error: half a standard deviation, six to either side. Own choice.
constexpr double kStep = 0.5, kReach = 6, kMostNodes = 2000;

struct Shared {
    std::size_t place;
    double variance, slope;  // of its own error; what one standard deviation of the shared one does
};

double log_normal(double miss, double variance) {
    return -0.5 * (miss * miss / variance + base::log(variance)) - kLogRootTwoPi;
}

double log_of(const MeterReading& r, double true_value, double variance) {
    if (r.high > r.low && is_narrow(r, variance)) {
        const double width = r.high - r.low;
        return log_normal(0.5 * (r.low + r.high) - true_value, variance + width * width / 12) + base::log(width);
    }
    return log_interval_probability(r.low, r.high, true_value, variance);
}

// Readings with a shared error: the integral over it, by the trapezoidal rule about its mean given the readings, which
// is as good as exact for an integrand like a normal density.
double log_integral(std::span<const MeterReading> readings, std::span<const double> values,
                    const std::vector<Shared>& group) {
    double precision = 1, pull = 0, finest = std::numeric_limits<double>::infinity();
    for (const Shared& s : group) {
        const MeterReading& r = readings[s.place];
        const double width = r.high - r.low, variance = s.variance + width * width / 12;
        precision += s.slope * s.slope / variance;
        pull += s.slope * (0.5 * (r.low + r.high) - values[s.place]) / variance;
        finest = std::min(finest, std::sqrt(s.variance) / s.slope);
    }
    const double mean = pull / precision, sd = std::sqrt(1 / precision);
    // No longer a step than the edge of a display's step is sharp.
    const double step = std::max(kStep * std::min(sd, finest), kReach * sd / kMostNodes);
    const int nodes = static_cast<int>(kReach * sd / step);
    std::vector<double> logs;
    double most = -std::numeric_limits<double>::infinity();
    for (int i = -nodes; i <= nodes; ++i) {
        const double z = mean + i * step;
        double sum = log_normal(z, 1);
        for (const Shared& s : group) sum += log_of(readings[s.place], values[s.place] + s.slope * z, s.variance);
        logs.push_back(sum);
        most = std::max(most, sum);
    }
    if (!(most > -std::numeric_limits<double>::infinity())) return most;
    double total = 0;
    for (const double one : logs) total += base::exp(one - most);
    return most + base::log(total * step);
}

}  // namespace

double MeterReading::shared_sd(double true_value) const {
    const double grows = since_full_h ? std::sqrt(std::max(*since_full_h, 1.0) / 24) : 1;
    return bias_sd * grows + bias_relative_sd * std::abs(true_value);
}

double MeterReading::own_variance(double true_value) const {
    const double relative = relative_sd * true_value;
    return sd * sd + relative * relative;
}

double log_interval_probability(double low, double high, double true_value, double variance) {
    if (!(high > low)) return log_normal(low - true_value, variance);
    const double sd = std::sqrt(variance);
    double below = (low - true_value) / sd, above = (high - true_value) / sd;
    if (below + above < 0)
        std::tie(below, above) = std::make_tuple(-above, -below);  // the nearer tail is the upper one
    if (below > 0) return log_difference(log_of_tail(below), log_of_tail(above));
    return base::log1p(-base::normal_cdf(below) - base::normal_cdf(-above));
}

double log_likelihood(std::span<const MeterReading> readings, std::span<const double> true_values) {
    std::map<std::string, std::vector<Shared>> groups;
    double sum = 0;
    for (std::size_t i = 0; i < true_values.size(); ++i) {
        const MeterReading& r = readings[i];
        const double slope = r.shared_sd(true_values[i]), variance = r.own_variance(true_values[i]);
        if (r.bias.empty() || !(slope > 0))
            sum += log_of(r, true_values[i], variance + slope * slope);
        else
            groups[r.bias].push_back({i, variance, slope});
    }
    for (const auto& [name, group] : groups) sum += log_integral(readings, true_values, group);
    return sum;
}

}  // namespace ridethrough::forecast
