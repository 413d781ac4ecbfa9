#include <numeric>

#include "trial_weigher.hpp"

namespace ridethrough::forecast {

void require_now(const trip::CompiledTrip& compiled, const Evidence& evidence) {
    if (!(evidence.now_h >= 1 && evidence.now_h <= compiled.hours()))
        throw base::InputError({.path = "now_h",
                                .value = base::number_text(evidence.now_h),
                                .allowed = "1 to " + std::to_string(compiled.hours()) + " hours from the start"});
    for (const MeterReading& r : evidence.readings)
        if (r.hour > evidence.now_h)
            throw base::InputError(
                {.path = "hour", .value = base::number_text(r.hour), .reason = "a reading later than now"});
}

Weighed weigh(const std::shared_ptr<const trip::CompiledTrip>& compiled, const Evidence& evidence,
              std::int64_t first_trial, std::int64_t trials, std::uint64_t seed, const ensemble::RunOptions& run,
              const ensemble::Poll& poll) {
    require_now(*compiled, evidence);
    const std::vector<MeterReading> readings = in_order(*compiled, evidence.readings);
    Weighed out;
    out.log_likelihood.assign(static_cast<std::size_t>(trials), kImpossible);
    const ensemble::Task task = [&](std::int64_t first, std::int64_t count, const std::atomic<bool>& stop) {
        TrialWeigher weigher(compiled, seed, readings, evidence.kept_on);
        weigher.leave_at(evidence.now_h);
        std::vector<std::int64_t> numbers;
        for (std::int64_t done = 0; done < count; done += std::ssize(numbers)) {
            numbers.resize(static_cast<std::size_t>(std::min<std::int64_t>(weigher.pack().lanes(), count - done)));
            std::iota(numbers.begin(), numbers.end(), first_trial + first + done);
            if (!weigher.pack().run(numbers, &stop)) return false;
            for (std::size_t lane = 0; lane < numbers.size(); ++lane)
                out.log_likelihood[static_cast<std::size_t>(first + done) + lane] =
                    weigher.log_likelihood(static_cast<int>(lane), readings.size());
        }
        return true;
    };
    const ensemble::RunResult result = ensemble::run(trials, run, task, poll);
    out.cancelled = result.cancelled;
    out.log_likelihood.resize(static_cast<std::size_t>(result.finished_prefix));
    return out;
}

}  // namespace ridethrough::forecast
