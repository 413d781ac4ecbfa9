#include "ensemble/walk.hpp"

#include <algorithm>
#include <string>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"

namespace ridethrough::ensemble {
namespace {

void require(bool holds, const char* name, double value, const char* allowed) {
    if (!holds) throw base::InputError(std::string(name) + " = " + base::number_text(value) + ": allowed " + allowed);
}

template <class Plan>
void require_levels(const Plan& plan) {
    require(plan.start > 0 && plan.start < no_level, "start", plan.start, "more than 0");
    require(plan.cap >= plan.start, "cap", plan.cap, "start or more");
    require(plan.days > 0, "days", plan.days, "1 or more");
}

// A step is a function object from a draw to the day's change; each trial has its own copy, so it may remember a day.
template <class Step>
RunResult walk_all(double start, double cap, double target, std::int32_t days, std::uint64_t seed,
                   std::uint32_t purpose, const Step& first_step, const RunOptions& options, WalkColumns& columns,
                   const Poll& poll) {
    const random::SeedSequence key(seed, purpose);
    const auto task = [&](std::int64_t first, std::int64_t count, const std::atomic<bool>& stop) {
        for (std::int64_t trial = first; trial < first + count; ++trial) {
            random::Stream stream(key, static_cast<std::uint64_t>(trial));
            Step step = first_step;
            double level = start;
            std::int32_t day = 0;
            while (day < days && level > 0 && level < target) {
                if (stop) return false;
                level = std::min(cap, level + step(stream.next()));
                ++day;
            }
            const auto row = static_cast<std::size_t>(trial);
            columns.ruined[row] = level <= 0;
            columns.days[row] = day;
        }
        return true;
    };
    return run(static_cast<std::int64_t>(columns.ruined.size()), options, task, poll);
}

}  // namespace

RunResult walk(const LatticeWalk& plan, std::uint64_t seed, const RunOptions& options, WalkColumns& columns,
               const Poll& poll) {
    const double stay = plan.p_up_after_up, turn = plan.p_up_after_down;
    require_levels(plan);
    require(plan.target > plan.start, "target", plan.target, "more than start");
    require(plan.up >= 0 && plan.up < no_level, "up", plan.up, "0 or more");
    require(plan.down >= 0 && plan.down < no_level, "down", plan.down, "0 or more");
    require(stay >= 0 && stay <= 1, "p_up_after_up", stay, "0 to 1");
    require(turn >= 0 && turn <= 1, "p_up_after_down", turn, "0 to 1");
    require(turn + 1 - stay > 0, "p_up_after_down", turn, "more than 0 where p_up_after_up is 1");

    const double long_run = turn / (turn + 1 - stay);
    const auto step = [&plan, p_up = long_run](std::uint64_t draw) mutable {
        const bool good = random::uniform(draw) < p_up;
        p_up = good ? plan.p_up_after_up : plan.p_up_after_down;
        return good ? plan.up : -plan.down;
    };
    return walk_all(plan.start, plan.cap, plan.target, plan.days, seed, random::purpose("check.lattice"), step, options,
                    columns, poll);
}

RunResult walk(const GaussianWalk& plan, std::uint64_t seed, const RunOptions& options, WalkColumns& columns,
               const Poll& poll) {
    require_levels(plan);
    require(plan.mean > -no_level && plan.mean < no_level, "mean", plan.mean, "finite");
    require(plan.sd > 0 && plan.sd < no_level, "sd", plan.sd, "more than 0");

    const auto step = [&plan](std::uint64_t draw) { return plan.mean + plan.sd * random::normal(draw); };
    return walk_all(plan.start, plan.cap, no_level, plan.days, seed, random::purpose("check.gaussian"), step, options,
                    columns, poll);
}

}  // namespace ridethrough::ensemble
