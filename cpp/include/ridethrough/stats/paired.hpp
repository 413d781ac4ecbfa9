// Differences between two columns of the same trials: the weather they share drops out, so they are far sharper than
// two separate intervals suggest.
#pragma once

#include <cstdint>
#include <span>

#include "ridethrough/stats/interval.hpp"

namespace ridethrough::stats {

// How many trials had the event in both columns, in one only, in neither.
struct PairedCounts {
    std::int64_t both = 0, first_only = 0, second_only = 0, neither = 0;
};

// Risk of the first less risk of the second, interval by Newcombe 1998, Statistics in Medicine 17:2635-2650, method
// 10: Wilson limits of each, combined by squares with the correlation of the pairs.
Estimate paired_difference(const PairedCounts& counts, double confidence = 0.95);

// The same of two columns of 0 (no) and anything else (yes).
Estimate paired_difference(std::span<const std::uint8_t> first, std::span<const std::uint8_t> second,
                           double confidence = 0.95);

// Mean of first - second with Student's interval; at least two pairs, all finite.
Estimate paired_difference(std::span<const double> first, std::span<const double> second, double confidence = 0.95);

}  // namespace ridethrough::stats
