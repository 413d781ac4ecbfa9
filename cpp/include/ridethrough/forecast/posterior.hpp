// Trials of a trip given what meters have shown so far: weights for trials as they are drawn, and, where few of these
// fit, copies that are moved until they do.
#pragma once

#include <memory>

#include "ridethrough/base/arrays.hpp"
#include "ridethrough/ensemble/thread_pool.hpp"
#include "ridethrough/forecast/readings.hpp"

namespace ridethrough::forecast {

struct Evidence {
    std::vector<MeterReading> readings;
    double now_h = 0;     // hours from the start
    bool kept_on = true;  // no cut-out has dropped the fridge until now
};

struct Weighed {
    std::vector<double> log_likelihood;  // of each trial; minus infinity where the fridge was dropped
    bool cancelled = false;
};
// Trials [first_trial, first_trial + trials), left at the end of the last whole hour before now.
Weighed weigh(const std::shared_ptr<const trip::CompiledTrip>& compiled, const Evidence& evidence,
              std::int64_t first_trial, std::int64_t trials, std::uint64_t seed, const ensemble::RunOptions& run,
              const ensemble::Poll& poll);

// Everything that a copy has drawn: scores of engine::coordinates, and for the rest a trial number for each purpose.
struct Copies {
    base::Table<double> scores;         // [copies][coordinates]
    base::Table<std::int64_t> numbers;  // [copies][purposes]
};

struct SamplerOptions {
    std::uint64_t seed = 0;
    int particles = 1024, replicates = 8;
    int moves = 36;  // at the end of each evening with readings; half of them at each tempering step before it
    int threads = 0;
};
struct Sample {
    Copies copies;                     // [replicates * particles], replicate by replicate, of equal weight in each
    std::vector<double> log_evidence;  // [replicates]; minus infinity: nothing that was drawn fits at all
    std::vector<int> stages;           // [replicates] tempering steps
    std::vector<double> accepted;      // [replicates] share of moves
    bool cancelled = false;
};
// Sequential Monte Carlo (Del Moral, Doucet and Jasra 2006, J. R. Stat. Soc. B 68): readings in the order of time, each
// time's likelihood raised by powers that leave half of the effective size; systematic resampling; moves that keep the
// prior law, accepted by the ratio of likelihoods. Replicates have nothing in common but the readings.
Sample sample(const std::shared_ptr<const trip::CompiledTrip>& compiled, const Evidence& evidence,
              const SamplerOptions& options, const ensemble::Poll& poll);

// For each purpose the first day of which nothing has been seen by `now_h`: after the midnight that follows, and for
// the clearness and temperature of days a day later, as an evening's temperature already tends to the next day's.
std::vector<int> split_days(const trip::CompiledTrip& compiled, double now_h);

// `futures` copies of each copy, with draws of its own from those days on: scores here, trial numbers to be used as
// engine::TrialNumbers::later. The past stays, to the bit.
base::Table<double> future_scores(const trip::CompiledTrip& compiled, const base::Table<double>& scores, double now_h,
                                  std::uint64_t seed, int futures);
base::Table<std::int64_t> future_numbers(const base::Table<std::int64_t>& numbers, int futures);

}  // namespace ridethrough::forecast
