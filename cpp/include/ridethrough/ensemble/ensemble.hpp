// Many trials of one trip: result columns, the hour-by-hour histogram of charge, sums that do not depend on threads.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "ridethrough/ensemble/thread_pool.hpp"
#include "ridethrough/engine/trial_batch.hpp"

namespace ridethrough::ensemble {

// 76 bytes a trial, 79 with water tanks and a heater, more with medicine or a freezer box.
struct Columns {
    std::vector<float> first_cutout_h;  // hours since the start, inf where there was none
    std::vector<float> lowest_charge;   // share of full
    std::vector<float> hours_off;       // fridge without power
    std::vector<float> warmest_food_c;
    std::vector<float> hours_above_5c;
    std::vector<float> hours_below_half;
    std::vector<float> longest_warm_spell_h, frozen_food_h;  // inside above 5 degC in a row, below 0 degC
    std::vector<float> cold_cabin_h, coldest_cabin_c;
    std::vector<float> solar_wh, dc_dc_wh, mains_wh, curtailed_wh, fridge_wh, other_loads_wh, loss_wh;
    std::vector<float> unserved_ah;
    std::vector<std::uint8_t> device;   // engine::Device that dropped the fridge first
    std::vector<std::uint16_t> days_full;
    // Filled where the van has water tanks, or a heater; counts stop at 255.
    std::vector<std::uint8_t> water_dry_night, grey_full_night, failed_starts;
    std::vector<std::uint8_t> frozen;   // 1 where a lead-acid battery got to its freezing point
    // Only where the fridge has medicine inside, and a freezer box; else empty.
    std::vector<float> medicine_out_coldest_h, medicine_out_warmest_h, medicine_frozen_h;
    std::vector<float> warmest_freezer_c;
    bool water = false, starts = false, medicine = false, freezer = false;  // which of these are kept

    void resize(std::size_t trials);
    std::size_t size() const { return device.size(); }
};

// One list of what a column is called, where it comes from and when it is kept; all that treats columns alike reads it.
template <class T>
struct ColumnEntry {
    const char* name;
    engine::Column from;
    std::vector<T> Columns::* values;
    bool Columns::* kept_if = nullptr;  // always, where null

    bool kept(const Columns& c) const { return !kept_if || c.*kept_if; }
};
std::span<const ColumnEntry<float>> float_columns();
std::span<const ColumnEntry<std::uint8_t>> count_columns();  // counts stop at 255

constexpr int kChargeBins = 200;  // of share of full, 0 to 1; below 0 and above 1 count in the end bins

struct EnsembleOptions {
    std::int64_t first_trial = 0;  // trials [first_trial, first_trial + trials)
    std::int64_t trials = 0;
    std::uint64_t seed = 0;
    engine::Precision precision = engine::Precision::double_;
    std::string level;             // of the kernel, see engine/instruction_sets.hpp
    const engine::GivenScores* scores = nullptr;  // replace draws, for all the trials
    std::vector<engine::Path> paths;  // hourly ones to keep of every trial
    std::vector<double*> path_values;  // where to: [trials][hours] each, the caller's memory
    RunOptions run;
};

struct EnsembleResult {
    std::int64_t trials = 0;  // valid ones: fewer than asked for where the run was cancelled
    bool cancelled = false;
    Columns columns;
    // [hours][kChargeBins] at the end of each hour; of a cancelled run it counts every trial that was finished.
    std::vector<std::uint32_t> charge_histogram;
    std::vector<double> load_ah;                  // mean per trial, by load
    double worst_charge_miss = 0, worst_energy_miss = 0;  // of the two ledgers, relative
};

EnsembleResult simulate(const std::shared_ptr<const trip::Compiled>& compiled, const EnsembleOptions& options,
                        const Poll& poll);

// Hourly paths of chosen trials: values[path][trial][hour].
struct Traces {
    int hours = 0, days = 0;
    std::vector<engine::Path> paths;
    std::vector<std::vector<double>> values;
    std::vector<double> clearness;  // [trial][day]
    std::vector<double> drawn;      // [trial][slot]
};
Traces trace(const std::shared_ptr<const trip::Compiled>& compiled, std::uint64_t seed, engine::Precision precision,
             const std::vector<std::int64_t>& trials, const std::vector<engine::Path>& paths,
             const std::string& level = "");

}  // namespace ridethrough::ensemble
