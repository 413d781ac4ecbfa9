// Runs packs of trials of one compiled trip: draws their words and parameters, calls the kernel, hands out results.
#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <memory>
#include <span>

#include "ridethrough/engine/instruction_sets.hpp"
#include "ridethrough/engine/scores.hpp"
#include "ridethrough/trip/compile.hpp"

namespace ridethrough::engine {

enum class Precision { single_, double_ };

// Measured weather put in the place of drawn days: row after row of days, for a trip whose weather is generated (the
// hours within a day are still drawn); or where in the record each row starts, for a replayed trip.
struct MeasuredDays {
    std::vector<double> clearness, air_mean_c;  // [rows][drawn_days]
    std::vector<std::int32_t> replay_start;     // [rows]
};

using SeriesWanted = std::array<bool, kSeriesCount>;

// One thread's worker; not shared. Any trials may be run in any order: a trial's results depend on its number alone.
class PackRunner {
  public:
    virtual ~PackRunner() = default;
    virtual int lanes() const = 0;
    // Scores that replace draws from now on; null for none. They have to outlive the runs.
    virtual void give(const GivenScores* scores) = 0;
    // At most lanes() trials. False where `stop` was raised.
    bool run(std::span<const std::int64_t> trials, const std::atomic<bool>* stop) {
        draw(trials);
        return run_drawn(stop);
    }
    // The two halves of it: the draws of the trials, and the kernel on what was drawn last, as often as one likes.
    virtual void draw(std::span<const std::int64_t> trials) = 0;
    virtual bool run_drawn(const std::atomic<bool>* stop) = 0;
    // From now on the trials have these days instead; `rows[i]` is trial i's of the next run.
    virtual void use(const MeasuredDays& days, std::span<const std::int32_t> rows) = 0;

    virtual double column(Column c, int lane) const = 0;
    virtual double load_ah(int load, int lane) const = 0;
    virtual double charge_miss(int lane) const = 0;
    virtual double energy_miss(int lane) const = 0;
    virtual double path(Series p, int hour, int lane) const = 0;
    // All hours of one lane, which must have been wanted.
    virtual void copy_series(Series p, int lane, double* hours) const = 0;
    // Counts the charge at the end of each hour of the first `lanes` into [hours][bins] over 0 to 1.
    virtual void count_charge(int lanes, int bins, std::uint32_t* histogram) const = 0;
    // Daily clearness of the pack's trials; 0 where the weather is replayed.
    virtual double clearness(int day, int lane) const = 0;
    // What the trial drew for a parameter (a daily one: of its last day).
    virtual double drawn(int parameter, int lane) const = 0;
    virtual std::int32_t replay_start(int lane) const = 0;
};

std::unique_ptr<PackRunner> make_runner(std::shared_ptr<const trip::CompiledTrip> compiled, std::uint64_t seed,
                                        Precision precision, const InstructionSet& set, const SeriesWanted& paths);

}  // namespace ridethrough::engine
