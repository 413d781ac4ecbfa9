// Many trials of one trip: result columns, the hour-by-hour histogram of charge, sums that do not depend on threads.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "ridethrough/base/arrays.hpp"
#include "ridethrough/engine/results.hpp"
#include "ridethrough/engine/trial_batch.hpp"
#include "ridethrough/ensemble/thread_pool.hpp"

namespace ridethrough::ensemble {

// A column of each declared result that the van and trip fill, in the type in which results of its type are stored: 76
// bytes a trial, 79 with water tanks and a heater, more with medicine or a freezer box.
class Columns {
  public:
    using Values = std::variant<base::Column<float>, base::Column<std::uint8_t>, base::Column<std::uint16_t>>;

    Columns() = default;
    explicit Columns(const trip::CompiledTrip& compiled);

    bool kept(engine::Column c) const { return kept_[c]; }
    void resize(std::int64_t trials);
    std::int64_t size() const { return of<std::uint8_t>(engine::kCutoutCause).size(); }

    template <class T>
    const base::Column<T>& of(engine::Column c) const {
        return std::get<base::Column<T>>(values_[c]);
    }
    const Values& values(engine::Column c) const { return values_[c]; }
    Values take(engine::Column c) { return std::move(values_[c]); }
    void set(engine::Column c, std::int64_t trial, double value);

  private:
    std::array<Values, engine::kColumns> values_;
    std::array<bool, engine::kColumns> kept_{};
};

constexpr int kChargeBins = 200;  // of share of full, 0 to 1; below 0 and above 1 count in the end bins

struct EnsembleOptions {
    std::int64_t first_trial = 0;  // trials [first_trial, first_trial + trials)
    std::int64_t trials = 0;
    std::span<const std::int64_t> listed;           // these trials instead, `trials` of them, in any order
    const engine::TrialNumbers* numbers = nullptr;  // for some of their draws, row by row
    std::uint64_t seed = 0;
    engine::Precision precision = engine::Precision::double_;
    std::string instruction_set;                  // of the kernel, see engine/instruction_sets.hpp
    const engine::GivenScores* scores = nullptr;  // replace draws, a row for each trial
    std::vector<engine::Series> series;           // hourly ones to keep of every trial
    std::vector<double*> series_values;           // where to: [trials][hours] each, the caller's memory
    std::vector<engine::Series> states;           // of which some hours are kept, of every trial
    std::vector<int> state_hours;                 // counted from the start, 0 the first
    double* state_values = nullptr;               // where to: [trials][state_hours][states], the caller's memory
    RunOptions run;
};

struct EnsembleResult {
    std::int64_t trials = 0;  // valid ones: fewer than asked for where the run was cancelled
    bool cancelled = false;
    Columns columns;
    // [hours][kChargeBins] at the end of each hour; of a cancelled run it counts every trial that was finished.
    base::Table<std::uint32_t> charge_histogram;
    std::vector<double> load_ah;                                            // mean per trial, by load
    double worst_charge_balance_error = 0, worst_energy_balance_error = 0;  // of the two balances, relative
};

EnsembleResult simulate(const std::shared_ptr<const trip::CompiledTrip>& compiled, const EnsembleOptions& options,
                        const Poll& poll);

// Hourly series of chosen trials: values[series][trial][hour].
struct Traces {
    std::vector<engine::Series> series;
    std::vector<base::Table<double>> values;
    base::Table<double> clearness;  // [trial][day]
    base::Table<double> drawn;      // [trial][parameter]
};
Traces trace(const std::shared_ptr<const trip::CompiledTrip>& compiled, std::uint64_t seed, engine::Precision precision,
             const std::vector<std::int64_t>& trials, const std::vector<engine::Series>& series,
             const std::string& instruction_set = "");

}  // namespace ridethrough::ensemble
