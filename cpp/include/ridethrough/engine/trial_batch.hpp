// Runs packs of trials of one compiled trip: makes their draws and parameters, calls the kernel, hands out results.
#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "ridethrough/engine/instruction_sets.hpp"
#include "ridethrough/engine/scores.hpp"
#include "ridethrough/trip/compile.hpp"

namespace ridethrough::engine {

enum class Precision { single_, double_ };

// Measured weather put in the place of drawn days: row after row of days, for a trip whose weather is generated (the
// hours within a day are still drawn); or where in the measured series each row starts, for a replayed trip.
struct MeasuredDays {
    std::vector<double> clearness, air_mean_c;  // [rows][drawn_days]
    std::vector<std::int32_t> replay_start;     // [rows]
};

// Draws of different trials put together. Everything that a trial draws stands under some purpose (purposes() lists
// them), in a stream of the trial's number; here each row of a run has a number for each purpose, and another for what
// the purpose draws from a day on: futures of their own for a past that stays. A day's temperature in the evening
// already follows the next day's weather, so a past up to some midnight holds the next day's clearness and temperature.
struct TrialNumbers {
    std::vector<std::int64_t> of_purpose;  // [rows][purposes]
    std::vector<std::int64_t> later;       // the same from a day on; empty: of_purpose throughout
    std::vector<int> from_day;             // [purposes] that day, of the sky for weather and of the clock for the rest
};
std::vector<std::string> purposes(const trip::CompiledTrip& compiled);

using SeriesWanted = std::array<bool, kSeriesCount>;

// One thread's worker; not shared. Any trials may be run in any order: a trial's results depend on its number alone.
class PackRunner {
  public:
    virtual ~PackRunner() = default;
    virtual int lanes() const = 0;
    // Scores that replace draws from now on; null for none. They have to outlive the runs.
    virtual void give(const GivenScores* scores) = 0;
    // Trial numbers that take the place of a trial's own for some of its draws; null for none.
    virtual void renumber(const TrialNumbers* numbers) = 0;
    // From now on trials are left after so many hours, 0 for none: what they report is of that time, as it is in a
    // whole run. The end of the trip, such as a day that gets full, is then counted at that hour.
    virtual void leave_after(int hours) = 0;
    // From now on StateRows are kept.
    virtual void keep_states() = 0;
    // At most lanes() trials, which stand in rows from `first_row` on of what was given. False where `stop` was raised.
    bool run(std::span<const std::int64_t> trials, const std::atomic<bool>* stop, std::int64_t first_row = 0) {
        draw(trials, first_row);
        return run_drawn(stop);
    }
    // The two halves of it: the draws of the trials, and the kernel on what was drawn last, as often as one likes.
    virtual void draw(std::span<const std::int64_t> trials, std::int64_t first_row = 0) = 0;
    virtual bool run_drawn(const std::atomic<bool>* stop) = 0;
    // From now on the trials have these days instead; `rows[i]` is trial i's of the next run.
    virtual void use(const MeasuredDays& days, std::span<const std::int32_t> rows) = 0;

    // What follows throws std::runtime_error rather than hand out a number that is not finite.
    virtual double column(Column c, int lane) const = 0;
    virtual double load_ah(int load, int lane) const = 0;
    virtual double charge_balance_error(int lane) const = 0;
    virtual double energy_balance_error(int lane) const = 0;
    virtual double series_at(Series s, int hour, int lane) const = 0;
    virtual double state_at(StateRow s, int hour, int lane) const = 0;
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
                                        Precision precision, const InstructionSet& set, const SeriesWanted& series);

}  // namespace ridethrough::engine
