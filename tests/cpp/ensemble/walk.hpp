// Toy batteries whose ruin probability is known exactly, run through the same streams and threads as the trips: the
// check on the machinery that owes nothing to physics.
#pragma once

#include <cstdint>
#include <limits>
#include <vector>

#include "ridethrough/ensemble/thread_pool.hpp"

namespace ridethrough::ensemble {

inline constexpr double no_level = std::numeric_limits<double>::infinity();

// Each day adds `up` or takes `down`; a good day tends to follow a good one where the two probabilities differ. The
// first day is drawn from the long-run share of good days.
struct LatticeWalk {
    double start = 4, cap = 4;  // the level never rises above cap
    double target = no_level;   // reaching it ends the walk well (gambler's ruin)
    double up = 1, down = 1;
    double p_up_after_up = 0.6, p_up_after_down = 0.6;
    std::int32_t days = 14;
};

// Each day adds a normal amount.
struct GaussianWalk {
    double start = 5, cap = no_level;
    double mean = 0.2, sd = 1;
    std::int32_t days = 14;
};

// One row per trial.
struct WalkColumns {
    explicit WalkColumns(std::int64_t trials)
        : ruined(static_cast<std::size_t>(trials)), days(static_cast<std::size_t>(trials)) {}
    std::vector<std::uint8_t> ruined;  // 1 where the level fell to 0 or below
    std::vector<std::int32_t> days;    // days walked: up to ruin, target or the end
};

// Fills the columns of as many trials as they have rows.
RunResult walk(const LatticeWalk& plan, std::uint64_t seed, const RunOptions& options, WalkColumns& columns,
               const Poll& poll = {});
RunResult walk(const GaussianWalk& plan, std::uint64_t seed, const RunOptions& options, WalkColumns& columns,
               const Poll& poll = {});

}  // namespace ridethrough::ensemble
