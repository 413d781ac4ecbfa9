// The hourly kernel as plain functions over plain pointers, one an instruction set and number type. The units
// behind them (src/engine/instruction_sets/kernel.cpp) include nothing but <cstdint>, <limits>, the packs and the
// kernel.
#pragma once

#include <cstdint>

#include "ridethrough/engine/columns.hpp"
#include "ridethrough/engine/plan_view.hpp"
#include "ridethrough/random/seed_sequence.hpp"

namespace ridethrough::engine {

// Asked once a simulated day.
struct Stop {
    bool (*is_raised)(const void*) = nullptr;
    const void* flag = nullptr;

    RT_INLINE bool raised() const { return is_raised && is_raised(flag); }
};

// What the volts under another load than the trial's own hang on, at the end of an hour.
enum StateRow { kAvailableCharge, kPolarisationV, kCompressorRuns, kStateRows };

// Memory for one pack of trials: rows of one number a lane, or the same as packs, each buffer aligned to 64 bytes.
template <class Row>
struct Buffers {
    const std::uint64_t* draws;        // see random::ParameterTable
    Row* parameters;                   // [parameters] of the trial; daily ones are overwritten each day
    const Row* day_values;             // [days][daily]
    const std::int32_t* replay_start;  // [lanes], not in rows
    Row *clearness, *air_mean_c;       // [days]
    Row* bins;                         // [6][2 per_day]
    Row* columns;                      // [kColumns]
    Row* load_ah;                      // [loads] asked for within the trip
    Row* balance_error;                // [2] charge, energy: relative
    Row* series[kSeriesCount];         // [hours] each, or null
    bool days_given = false;           // clearness and air_mean_c hold measured days
    Row* states[kStateRows] = {};      // [hours] each, or null
    int steps = 0;                     // after which the trip is left where it is; 0: none
};

template <class T>
struct Kernel {
    int lanes;
    // False where `stop` was raised: the pack's results are then not to be used.
    bool (*run)(const PlanView<T>&, const Buffers<T>&, Stop);
    // Keys of `lanes` trials below 2^32, as eight rows of 32-bit words.
    void (*keys)(const random::SeedSequence&, const std::uint32_t* trials, std::uint32_t* words);
    // Normal distribution function of `lanes` scores, in their place.
    void (*cdf)(double* scores);
};

}  // namespace ridethrough::engine
