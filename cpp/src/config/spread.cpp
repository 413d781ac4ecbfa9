#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "pert.hpp"
#include "ridethrough/base/math.hpp"
#include "ridethrough/config/configuration.hpp"

namespace ridethrough::config {
using base::inverse_normal;
using base::normal_cdf;

namespace {

void require(bool holds, const Spread& spread, const char* allowed) {
    if (!holds) throw InputError({.path = spread.text(), .reason = allowed});
}

bool all_finite(std::span<const double> xs) {
    return std::all_of(xs.begin(), xs.end(), [](double x) { return std::isfinite(x); });
}

double pert_alpha(std::span<const double> n) { return 1 + 4 * (n[1] - n[0]) / (n[2] - n[0]); }

// Both sides by one root, so that many are worked out at once.
double triangular_quantile(double u, double low, double mode, double high) {
    const double width = high - low;
    const bool left = u * width <= mode - low;
    const double root = std::sqrt(left ? u * width * (mode - low) : (1 - u) * width * (high - mode));
    return left ? low + root : high - root;
}

// Counts from the nearer tail, so that a far upper cut loses no digits.
void cut_normal_quantiles(std::span<double> us, double mean, double sd, double low, double high) {
    if (!(low < high))
        throw InputError({.path = "normal cut to " + number_text(low) + " ... " + number_text(high),
                          .reason = "low must be below high"});
    const double below = std::isfinite(low) ? normal_cdf((low - mean) / sd) : 0;
    const double above = std::isfinite(high) ? normal_cdf((mean - high) / sd) : 0;
    const double inside = 1 - below - above;
    for (double& u : us) {
        const double p = below + u * inside, q = above + (1 - u) * inside;
        const double z = p <= q ? inverse_normal(p) : -inverse_normal(q);
        u = std::clamp(mean + sd * z, low, high);
    }
}

double discrete_quantile(double u, std::span<const double> values, std::span<const double> weights) {
    double left = u * std::accumulate(weights.begin(), weights.end(), 0.0);
    std::size_t i = 0;
    while (i + 1 < values.size() && left > weights[i]) left -= weights[i++];
    return values[i];
}

// Rising values without repeats, so that the quantile rises and the order given does not matter.
void sort_and_merge(std::vector<double>& values, std::vector<double>& weights) {
    std::map<double, double> merged;
    for (std::size_t i = 0; i < values.size(); ++i) merged[values[i] + 0.0] += weights[i];
    values.clear(), weights.clear();
    for (const auto& [value, weight] : merged) values.push_back(value), weights.push_back(weight);
}

}  // namespace

Spread Spread::make(Shape shape, std::vector<double> numbers, std::vector<double> weights,
                    std::optional<Variation> per) {
    Spread s;
    s.shape_ = shape, s.numbers_ = std::move(numbers), s.weights_ = std::move(weights), s.per_ = per;
    for (double& x : s.numbers_) x += 0.0;  // -0 becomes 0: equal spreads have equal bits
    require(all_finite(s.numbers_) && all_finite(s.weights_), s, "allowed finite numbers");
    require(per != Variation::fixed, s, "per must be 'trial', 'day' or 'hour'");
    return s;
}

Spread Spread::uniform(double low, double high, std::optional<Variation> per) {
    const Spread s = make(Shape::uniform, {low, high}, {}, per);
    require(low < high && std::isfinite(high - low), s, "low must be below high");
    return s;
}

Spread Spread::triangular(double low, double mode, double high, std::optional<Variation> per) {
    const Spread s = make(Shape::triangular, {low, mode, high}, {}, per);
    require(low <= mode && mode <= high && low < high && std::isfinite(high - low), s,
            "must have low <= mode <= high and low < high");
    return s;
}

Spread Spread::pert(double low, double mode, double high, std::optional<Variation> per) {
    Spread s = make(Shape::pert, {low, mode, high}, {}, per);
    require(low <= mode && mode <= high && low < high && std::isfinite(high - low), s,
            "must have low <= mode <= high and low < high");
    s.table_ = pert_table(pert_alpha(s.numbers_));
    return s;
}

Spread Spread::normal(double mean, double sd, std::optional<Variation> per) {
    const Spread s = make(Shape::normal, {mean, sd}, {}, per);
    require(sd > 0, s, "sd must be above 0");
    return s;
}

Spread Spread::discrete(std::vector<double> values, std::vector<double> weights, std::optional<Variation> per) {
    Spread s = make(Shape::discrete, std::move(values), std::move(weights), per);
    require(!s.numbers_.empty() && s.numbers_.size() == s.weights_.size(), s, "needs one weight for each value");
    require(std::all_of(s.weights_.begin(), s.weights_.end(), [](double w) { return w > 0; }), s,
            "weights must be above 0");
    require(std::isfinite(std::accumulate(s.weights_.begin(), s.weights_.end(), 0.0)), s, "allowed finite weights");
    sort_and_merge(s.numbers_, s.weights_);
    return s;
}

double Spread::lowest() const {
    return shape_ == Shape::normal ? -std::numeric_limits<double>::infinity() : numbers_.front();
}

double Spread::highest() const {
    return shape_ == Shape::normal ? std::numeric_limits<double>::infinity() : numbers_.back();
}

double Spread::mean() const {
    const auto& n = numbers_;
    switch (shape_) {
        case Shape::uniform:
            return n[0] + (n[1] - n[0]) / 2;
        case Shape::triangular:
            return (n[0] + n[1] + n[2]) / 3;
        case Shape::pert:
            return (n[0] + 4 * n[1] + n[2]) / 6;
        case Shape::normal:
            return n[0];
        case Shape::discrete:
            break;
    }
    return std::inner_product(n.begin(), n.end(), weights_.begin(), 0.0) /
           std::accumulate(weights_.begin(), weights_.end(), 0.0);
}

void Spread::quantiles(std::span<double> us, double low, double high) const {
    for (const double u : us)
        if (!(u > 0 && u < 1)) throw InputError({.path = "u", .value = number_text(u), .allowed = "between 0 and 1"});
    const auto& n = numbers_;
    const double first = n.front(), last = n.back();
    const auto each = [&](const auto& quantile) {
        for (double& u : us) u = std::clamp(quantile(u), first, last);  // against rounding
    };
    switch (shape_) {
        case Shape::uniform:
            return each([a = n[0], b = n[1]](double u) { return a + u * (b - a); });
        case Shape::triangular:
            return each([a = n[0], m = n[1], b = n[2]](double u) { return triangular_quantile(u, a, m, b); });
        case Shape::pert: {
            const double alpha = pert_alpha(n);
            return each([&, a = n[0], b = n[2]](double u) { return a + (b - a) * pert_quantile(table_, alpha, u); });
        }
        case Shape::normal:
            return cut_normal_quantiles(us, n[0], n[1], low, high);
        case Shape::discrete:
            for (double& u : us) u = discrete_quantile(u, n, weights_);
    }
}

double Spread::quantile(double u, double low, double high) const {
    quantiles({&u, 1}, low, high);
    return u;
}

}  // namespace ridethrough::config
