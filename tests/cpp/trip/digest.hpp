// All bits that 4,096 trials of two fixed trips come to, as one number a case: what must not depend on instruction set,
// optimisation, compiler or C library. tests/data/digests.txt holds the expected text of report().
#pragma once

#include <cstring>
#include <iomanip>
#include <sstream>
#include <string>
#include <vector>

#include "ridethrough/ensemble/ensemble.hpp"
#include "ridethrough/random/draws.hpp"
#include "trip/van_fixture.hpp"

namespace digest {
using namespace ridethrough;
using config::ConfigurationPtr;
using config::Spread;
using config::Variation;
using van_fixture::make;

// FNV-1a, 64 bits (Fowler, Noll and Vo), over the bytes of what it is given.
class Fnv {
  public:
    template <class T>
    void add(const std::vector<T>& values) {
        for (const T value : values) {
            unsigned char bytes[sizeof(T)];
            std::memcpy(bytes, &value, sizeof(T));
            for (const unsigned char byte : bytes) hash_ = (hash_ ^ byte) * 0x100000001b3u;
        }
    }
    std::uint64_t value() const { return hash_; }

  private:
    std::uint64_t hash_ = 0xcbf29ce484222325u;
};

// Monthly normals of Greensboro, North Carolina, rounded.
inline ConfigurationPtr site() {
    const std::vector<double> ghi{2.4, 3.1, 4.2, 5.4, 5.6, 6.2, 6.1, 5.6, 4.4, 3.6, 2.4, 2.2};
    const std::vector<double> air{0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2};
    const ConfigurationPtr climate = make("Climate", {{"latitude", 36.1},
                                                      {"longitude", -79.95},
                                                      {"ghi_kwh_m2_day", ghi},
                                                      {"air_temp_c", air},
                                                      {"ghi_scale", Spread::normal(1, 0.03)}});
    return make("Site", {{"latitude", 36.1}, {"longitude", -79.95}, {"climate", climate}});
}

// Every kind of load, and of feed.
inline std::vector<ConfigurationPtr> loads() {
    std::vector<ConfigurationPtr> out;
    for (const char* name : {"Lights", "WaterPump", "Phones", "Laptop", "Fan", "Inverter", "Heater"})
        out.push_back(make(name));
    out.push_back(make("Standby", {{"current_a", Spread::discrete({0.2, 0.5, 0.9}, {1, 2, 1})}}));
    out.push_back(make("Appliance", {{"name", std::string("kettle")},
                                     {"current_a", 25.0},
                                     {"minutes", 12.0},
                                     {"uses", 2.0},
                                     {"use_share", 0.6},
                                     {"feed", std::string("inverter")}}));
    return out;
}

inline std::shared_ptr<const trip::CompiledTrip> agm_case() {
    const ConfigurationPtr van =
        make("Van", {{"loads", loads()},
                     {"mains", make("MainsCharger")},
                     {"solar", make("SolarArray", {{"tilt_deg", 15.0}, {"azimuth_deg", 200.0}})},
                     {"disconnect", make("SystemDisconnect")}});
    const ConfigurationPtr plan = make("Trip", {{"site", site()},
                                                {"start", std::string("2026-11-06 15:00")},
                                                {"nights", 5.0},
                                                {"drive_days", std::vector<double>{2}},
                                                {"drive_hours", 0.5},
                                                {"powered_nights", std::vector<double>{1}},
                                                {"powered_hours", 2.0},
                                                {"warm_food_days", std::vector<double>{3}},
                                                {"habits_scale", Spread::pert(1.0, 1.4, 2.0)}});
    return std::make_shared<const trip::CompiledTrip>(van, plan);
}

// In the cold, where the BMS blocks charging, and with shorter steps.
inline std::shared_ptr<const trip::CompiledTrip> lfp_case() {
    const ConfigurationPtr battery =
        make("LfpBattery", {{"capacity_ah", Spread::uniform(90, 120)}, {"cabin_share", 0.2}});
    const ConfigurationPtr van =
        make("Van", {{"battery", battery}, {"loads", loads()}, {"mains", make("MainsCharger")}});
    const ConfigurationPtr plan = make("Trip", {{"site", site()},
                                                {"start", std::string("2027-01-15 16:00")},
                                                {"nights", 4.0},
                                                {"step_min", 30.0},
                                                {"drive_days", std::vector<double>{1, 3}},
                                                {"drive_hours", 1.5},
                                                {"powered_nights", std::vector<double>{2}},
                                                {"powered_hours", 3.0},
                                                {"shade_beam", Spread::uniform(0.1, 0.6, Variation::day)}});
    return std::make_shared<const trip::CompiledTrip>(van, plan);
}

// [trial][spread] What was drawn, in the order of the draws' names: a parameter's place is no part of an answer.
inline std::vector<double> drawn_by_name(const std::vector<double>& drawn, const trip::CompiledTrip& compiled) {
    const auto& parameters = compiled.parameters();
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < parameters.size(); ++i)
        if (parameters[i].spread) order.push_back(i);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return parameters[a].draw < parameters[b].draw; });
    std::vector<double> sorted;
    for (std::size_t trial = 0; trial < drawn.size(); trial += parameters.size())
        for (const std::size_t i : order) sorted.push_back(drawn[trial + i]);
    return sorted;
}

// "812 of 4096 cut off, 9b866a140ff869af"
inline std::string of(const std::shared_ptr<const trip::CompiledTrip>& compiled, engine::Precision precision,
                      const std::string& level) {
    ensemble::EnsembleOptions options;
    options.trials = 4096;
    options.seed = 20261106;
    options.precision = precision;
    options.level = level;
    const ensemble::EnsembleResult result = ensemble::simulate(compiled, options, {});
    const ensemble::Columns& c = result.columns;
    Fnv fnv;
    using namespace engine;
    for (const Column column : {kFirstCutoutH, kLowestCharge, kHoursOff, kWarmestFoodC, kHoursAbove5c, kHoursBelowHalf,
                                kSolarWh, kDcDcWh, kMainsWh, kCurtailedWh, kFridgeWh, kOtherLoadsWh, kLossWh,
                                kUnservedAh, kLongestWarmSpellH, kFrozenFoodH, kColdCabinH, kColdestCabinC})
        fnv.add(c.of<float>(column));
    fnv.add(c.of<std::uint8_t>(kCutoutCause));
    fnv.add(c.of<std::uint16_t>(kDaysFull));
    fnv.add(result.charge_histogram);
    fnv.add(result.load_ah);
    fnv.add(std::vector<double>{result.worst_charge_miss, result.worst_energy_miss});
    // Columns are rounded to float; the hours of a few trials are not.
    std::vector<engine::Series> paths;
    for (int p = 0; p < engine::kSeriesCount; ++p) paths.push_back(static_cast<engine::Series>(p));
    const auto traces = ensemble::trace(compiled, options.seed, precision, van_fixture::first_trials(64), paths, level);
    for (const auto& values : traces.values) fnv.add(values);
    fnv.add(traces.clearness);
    fnv.add(drawn_by_name(traces.drawn, *compiled));
    const auto& device = c.of<std::uint8_t>(kCutoutCause);
    const auto cut = device.size() - static_cast<std::size_t>(std::count(device.begin(), device.end(), 0));
    std::ostringstream out;
    out << cut << " of " << result.trials << " cut off, " << std::hex << std::setfill('0') << std::setw(16)
        << fnv.value();
    return out.str();
}

inline std::string report(const std::string& level = "") {
    std::ostringstream out;
    out << "layout " << random::kLayoutVersion << "\n";
    const struct {
        const char* name;
        std::shared_ptr<const trip::CompiledTrip> compiled;
    } cases[] = {{"agm", agm_case()}, {"lfp", lfp_case()}};
    for (const auto& c : cases) {
        out << c.name << " double: " << of(c.compiled, engine::Precision::double_, level) << "\n";
        out << c.name << " single: " << of(c.compiled, engine::Precision::single_, level) << "\n";
    }
    return out.str();
}

}  // namespace digest
