// How many trials are enough: add blocks until the interval is as narrow as asked, or say what was reached.
#pragma once

#include <cstdint>

#include "ridethrough/stats/interval.hpp"

namespace ridethrough::stats {

struct StoppingRule {
    double half_width = 0.01;  // of the Wilson interval, as a probability
    double confidence = 0.95;
    std::int64_t block = 4096;            // trials are added in whole blocks
    std::int64_t max_trials = 1'000'000;  // the last block may be cut short by this
};

// How many trials to add; 0 when the half-width is reached or max_trials is. The number rests on the counts alone, so a
// run repeats. It never more than doubles what there is, because an early share of events is a poor guide. Looking at
// the width (never at a comparison) before going on costs the interval little coverage.
//
//     while (n = next_block(events, trials, rule)) run n more trials;
std::int64_t next_block(std::int64_t events, std::int64_t trials, const StoppingRule& rule);

bool half_width_reached(const Estimate& estimate, double half_width);

}  // namespace ridethrough::stats
