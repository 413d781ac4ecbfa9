// All bits that some thousand trials of a few fixed trips come to, as one number a case: what must not depend on
// instruction set, optimisation, compiler or C library. tests/data/digests.txt holds the expected text of report().
#pragma once

#include <cstring>
#include <iomanip>
#include <sstream>
#include <string>
#include <vector>

#include "ridethrough/ensemble/ensemble.hpp"
#include "ridethrough/random/draws.hpp"
#include "trip/digest_cases.hpp"

namespace digest {
using namespace ridethrough;

// FNV-1a, 64 bits (Fowler, Noll and Vo), over the bytes of what it is given.
class Fnv {
  public:
    // Of a vector or an array.
    template <class Values>
    void add(const Values& values) {
        for (auto i = values.size(); i > 0; --i) {
            unsigned char bytes[sizeof(*values.data())];
            std::memcpy(bytes, values.data() + (values.size() - i), sizeof(bytes));
            for (const unsigned char byte : bytes) hash_ = (hash_ ^ byte) * 0x100000001b3u;
        }
    }
    std::uint64_t value() const { return hash_; }

  private:
    std::uint64_t hash_ = 0xcbf29ce484222325u;
};

// [trial][spread] What was drawn, in the order of the draws' names: a parameter's place is no part of an answer.
inline std::vector<double> drawn_by_name(const base::Table<double>& drawn, const trip::CompiledTrip& compiled) {
    const auto& parameters = compiled.parameters();
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < parameters.size(); ++i)
        if (parameters[i].spread) order.push_back(i);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return parameters[a].draw < parameters[b].draw; });
    std::vector<double> sorted;
    for (Eigen::Index trial = 0; trial < drawn.rows(); ++trial)
        for (const std::size_t i : order) sorted.push_back(drawn(trial, static_cast<Eigen::Index>(i)));
    return sorted;
}

// "812 of 4096 cut off, 9b866a140ff869af"
inline std::string of(const Case& c, engine::Precision precision, const std::string& instruction_set) {
    const auto& compiled = c.compiled;
    ensemble::EnsembleOptions options;
    options.trials = c.trials;
    options.seed = 20261106;
    options.precision = precision;
    options.instruction_set = instruction_set;
    const ensemble::EnsembleResult result = ensemble::simulate(compiled, options, {});
    const ensemble::Columns& columns = result.columns;
    Fnv fnv;
    using namespace engine;
    for (const Column column : {kFirstCutoutH, kMinSoc, kHoursOff, kWarmestFoodC, kHoursAbove5c, kHoursBelowHalf,
                                kSolarWh, kDcDcWh, kMainsWh, kCurtailedWh, kFridgeWh, kOtherLoadsWh, kLossWh,
                                kUnservedAh, kLongestWarmSpellH, kFrozenFoodH, kColdCabinH, kColdestCabinC})
        fnv.add(columns.of<float>(column));
    fnv.add(columns.of<std::uint8_t>(kCutoutCause));
    fnv.add(columns.of<std::uint16_t>(kDaysFull));
    fnv.add(result.charge_histogram);
    fnv.add(result.load_ah);
    fnv.add(std::vector<double>{result.worst_charge_balance_error, result.worst_energy_balance_error});
    // Columns are rounded to float; the hours of a few trials are not.
    std::vector<engine::Series> series;
    for (int p = 0; p < engine::kSeriesCount; ++p) series.push_back(static_cast<engine::Series>(p));
    const auto traces =
        ensemble::trace(compiled, options.seed, precision, van_fixture::first_trials(64), series, instruction_set);
    for (const auto& values : traces.values) fnv.add(values);
    fnv.add(traces.clearness);
    fnv.add(drawn_by_name(traces.drawn, *compiled));
    const auto& device = columns.of<std::uint8_t>(kCutoutCause);
    const auto cut = (device != 0).count();
    std::ostringstream out;
    out << cut << " of " << result.trials << " cut off, " << std::hex << std::setfill('0') << std::setw(16)
        << fnv.value();
    return out.str();
}

inline std::string report(const std::string& instruction_set = "") {
    std::ostringstream out;
    out << "layout " << random::kLayoutVersion << "\n";
    for (const Case& c : cases()) {
        out << c.name << " double: " << of(c, engine::Precision::double_, instruction_set) << "\n";
        out << c.name << " single: " << of(c, engine::Precision::single_, instruction_set) << "\n";
    }
    return out.str();
}

}  // namespace digest
