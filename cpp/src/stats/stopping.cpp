#include "ridethrough/stats/stopping.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "ridethrough/base/text.hpp"

namespace ridethrough::stats {
namespace {

// Trials at which the Wilson interval around a share p has the given half-width: the positive root of
// z2 (p q n + z2/4) = h2 (n + z2)^2.
double trials_needed(double p, double half_width, double z) {
    const double z2 = z * z, h2 = half_width * half_width;
    const double linear = z2 * (p * (1 - p) - 2 * h2), constant = z2 * z2 * (0.25 - h2);
    return (linear + std::sqrt(linear * linear + 4 * h2 * constant)) / (2 * h2);
}

}  // namespace

std::int64_t next_block(std::int64_t events, std::int64_t trials, const StoppingRule& rule) {
    if (!(rule.half_width > 0 && rule.half_width < 0.5))
        throw base::InputError(
            {.path = "half_width", .value = base::number_text(rule.half_width), .allowed = "between 0 and 0.5"});
    if (!(rule.block > 0))
        throw base::InputError({.path = "block", .value = std::to_string(rule.block), .allowed = "1 or more"});
    if (!(rule.max_trials > 0))
        throw base::InputError(
            {.path = "max_trials", .value = std::to_string(rule.max_trials), .allowed = "1 or more"});
    const double z = two_sided_z(rule.confidence);
    if (trials != 0 || events != 0) require_counts(events, trials);

    if (trials >= rule.max_trials) return 0;
    const std::int64_t left = rule.max_trials - trials;
    if (trials == 0) return std::min(rule.block, left);
    if (half_width_reached(wilson(events, trials, rule.confidence), rule.half_width)) return 0;

    const double needed = trials_needed(static_cast<double>(events) / static_cast<double>(trials), rule.half_width, z);
    const double more = std::min(needed, 2 * static_cast<double>(trials)) - static_cast<double>(trials);
    const double blocks = std::max(1.0, std::ceil(more / static_cast<double>(rule.block)));
    const double wanted = blocks * static_cast<double>(rule.block);
    return wanted >= static_cast<double>(left) ? left : static_cast<std::int64_t>(wanted);
}

bool half_width_reached(const Estimate& estimate, double half_width) { return estimate.half_width() <= half_width; }

}  // namespace ridethrough::stats
