#include "ridethrough/stats/paired.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "ridethrough/base/text.hpp"
#include "ridethrough/stats/beta.hpp"

namespace ridethrough::stats {
namespace {

void require_same_length(std::size_t first, std::size_t second) {
    if (first != second)
        throw base::InputError({.path = "paired columns",
                                .reason = std::to_string(first) + " and " + std::to_string(second) + " trials",
                                .allowed = "the same number"});
}

// Correlation of the pairs, made smaller by half a trial's worth where positive (Newcombe's continuity correction).
double correlation(double both, double first_only, double second_only, double neither) {
    const double margins =
        (both + first_only) * (second_only + neither) * (both + second_only) * (first_only + neither);
    if (margins == 0) return 0;
    double excess = both * neither - first_only * second_only;
    if (excess > 0) excess = std::max(0.0, excess - (both + first_only + second_only + neither) / 2);
    return excess / std::sqrt(margins);
}

}  // namespace

Estimate paired_difference(const PairedCounts& counts, double confidence) {
    const auto [both, first_only, second_only, neither] = counts;
    if (!(std::min({both, first_only, second_only, neither}) >= 0))
        throw base::InputError({.path = "paired counts", .allowed = "0 or more"});
    const std::int64_t n = both + first_only + second_only + neither;
    const Estimate first = wilson(both + first_only, n, confidence);
    const Estimate second = wilson(both + second_only, n, confidence);
    const double phi = correlation(static_cast<double>(both), static_cast<double>(first_only),
                                   static_cast<double>(second_only), static_cast<double>(neither));
    const auto reach = [phi](double a, double b) { return std::sqrt(std::max(0.0, a * a - 2 * phi * a * b + b * b)); };
    const double value = static_cast<double>(first_only - second_only) / static_cast<double>(n);
    const double down = reach(first.value - first.low, second.high - second.value);
    const double up = reach(first.high - first.value, second.value - second.low);
    return {value, value - down, value + up, Estimate::not_counted, n, confidence};
}

Estimate paired_difference(std::span<const std::uint8_t> first, std::span<const std::uint8_t> second,
                           double confidence) {
    require_same_length(first.size(), second.size());
    PairedCounts counts;
    for (std::size_t i = 0; i < first.size(); ++i) {
        const bool a = first[i] != 0, b = second[i] != 0;
        ++(a ? (b ? counts.both : counts.first_only) : (b ? counts.second_only : counts.neither));
    }
    return paired_difference(counts, confidence);
}

Estimate paired_difference(std::span<const double> first, std::span<const double> second, double confidence) {
    require_same_length(first.size(), second.size());
    require_confidence(confidence);
    if (first.size() < 2)
        throw base::InputError(
            {.path = "paired columns", .reason = std::to_string(first.size()) + " trials", .allowed = "2 or more"});
    const auto n = static_cast<double>(first.size());
    double sum = 0, squares = 0;
    for (std::size_t i = 0; i < first.size(); ++i) sum += first[i] - second[i];
    const double mean = sum / n;
    for (std::size_t i = 0; i < first.size(); ++i) {
        const double deviation = first[i] - second[i] - mean;
        squares += deviation * deviation;
    }
    if (!std::isfinite(squares)) throw base::InputError({.path = "paired columns", .allowed = "finite values only"});
    const double reach = two_sided_t(confidence, n - 1) * std::sqrt(squares / (n - 1) / n);
    return {mean,      mean - reach, mean + reach, Estimate::not_counted, static_cast<std::int64_t>(first.size()),
            confidence};
}

}  // namespace ridethrough::stats
