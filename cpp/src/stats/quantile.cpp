#include "ridethrough/stats/quantile.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "ridethrough/base/text.hpp"
#include "ridethrough/stats/beta.hpp"

namespace ridethrough::stats {
namespace {

// The smallest k for which P(at most k of n below the quantile) reaches `share`.
std::int64_t binomial_quantile(double share, std::int64_t n, double q) {
    std::int64_t below = -1, above = n;
    while (above - below > 1) {
        const std::int64_t middle = below + (above - below) / 2;
        (binomial_cdf(middle, n, q) < share ? below : above) = middle;
    }
    return above;
}

}  // namespace

Estimate quantile_interval(std::span<const double> column, double q, double confidence) {
    const auto n = static_cast<std::int64_t>(column.size());
    require_trials(n);
    require_confidence(confidence);
    if (!(q > 0 && q < 1))
        throw base::InputError({.path = "q", .value = base::number_text(q), .allowed = "between 0 and 1"});
    if (std::any_of(column.begin(), column.end(), [](double x) { return std::isnan(x); }))
        throw base::InputError({.path = "column", .reason = "NaN is not allowed"});

    std::vector<double> sorted(column.begin(), column.end());
    std::sort(sorted.begin(), sorted.end());
    const auto ranked = [&](std::int64_t rank) { return sorted[static_cast<std::size_t>(rank - 1)]; };

    // 1e-14 keeps 0.07 * 100, a hair above 7 in binary, at rank 7.
    const auto rank = static_cast<std::int64_t>(std::ceil(q * static_cast<double>(n) * (1 - 1e-14)));
    const double tail = (1 - confidence) / 2;
    const std::int64_t low_rank = binomial_quantile(tail, n, q);           // P(fewer than this below) <= tail
    const std::int64_t high_rank = binomial_quantile(1 - tail, n, q) + 1;  // P(this many or more below) <= tail
    constexpr double infinity = std::numeric_limits<double>::infinity();
    return {ranked(std::clamp<std::int64_t>(rank, 1, n)),
            low_rank < 1 ? -infinity : ranked(low_rank),
            high_rank > n ? infinity : ranked(high_rank),
            Estimate::not_counted,
            n,
            confidence};
}

}  // namespace ridethrough::stats
