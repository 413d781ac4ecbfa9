// One trip driven through measured weather: every row of real days, some trials each.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "ridethrough/engine/trial_batch.hpp"
#include "ridethrough/ensemble/thread_pool.hpp"

namespace ridethrough::ensemble {

struct HindcastOptions {
    std::vector<std::int64_t> first_trial;  // [rows] number of each row's first trial
    std::int64_t trials = 1;                // of each row
    std::uint64_t seed = 0;
    RunOptions run;
};

struct HindcastResult {
    bool cancelled = false;
    std::vector<float> first_cutout_h, min_soc;  // [rows][trials]; no cut-out: inf
};

// InputError where the days do not fit the trip.
HindcastResult hindcast(const std::shared_ptr<const trip::CompiledTrip>& compiled, const engine::MeasuredDays& days,
                        const HindcastOptions& options, const Poll& poll);

}  // namespace ridethrough::ensemble
