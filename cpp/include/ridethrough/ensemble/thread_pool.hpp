// Trials in blocks over threads: who runs what, how the caller stays informed, how a run is stopped.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>

namespace ridethrough::ensemble {

// Tasks start at multiples of this, whatever size is asked for, so that sums over blocks never straddle two tasks.
inline constexpr std::int64_t trials_per_block = 64;
inline constexpr int most_threads = 1024;

// Simulates trials [first, first + count) and writes its own slice of whatever it fills. It reads `stop` now and then
// (once per simulated day) and returns false where it gave up early.
using Task = std::function<bool(std::int64_t first, std::int64_t count, const std::atomic<bool>& stop)>;

// Called on the caller's thread with the number of trials done, never falling, at least every 50 ms and once at the
// end; false cancels the run. It may throw: the run is then cancelled, joined, and the exception goes on.
using Poll = std::function<bool(std::int64_t done)>;

struct RunOptions {
    int threads = 0;                     // 0: one per processor; more than there are tasks are not started
    std::int64_t trials_per_task = 256;  // rounded up to whole blocks; smaller where threads would stand idle
};

struct RunResult {
    std::int64_t finished_prefix = 0;  // trials [0, finished_prefix) are all done and their slices valid
    bool cancelled = false;            // some trial is not done
};

// The first exception in trial order is rethrown once every worker has come home, whatever the number of threads.
RunResult run(std::int64_t trials, const RunOptions& options, const Task& task, const Poll& poll = {});

}  // namespace ridethrough::ensemble
