// Vans, trips and a plain loop over trials for the tests of the kernel. The place is made up: a November like that of a
// mild inland town at 36 degrees north.
#pragma once

#include <algorithm>
#include <array>
#include <cstring>
#include <memory>
#include <string>
#include <vector>

#include "ridethrough/engine/trial_batch.hpp"
#include "ridethrough/trip/registry.hpp"
#include "weather/weather_fixture.hpp"

namespace van_fixture {
using namespace ridethrough;
using config::ConfigurationPtr;
using config::Spread;
using config::Values;

inline ConfigurationPtr make(const std::string& name, Values values = {}) {
    for (const config::Schema* s : trip::all_schemas())
        if (s->name == name) return config::Configuration::make(*s, values);
    throw std::logic_error("no schema " + name);
}

inline ConfigurationPtr site(double clearness = 0.4, double air_c = 9.0, Values climate = {}) {
    climate["air_temp_c"] = std::vector<double>(12, air_c);
    return make("Site", {{"latitude", 36.1},
                         {"longitude", -79.95},
                         {"climate", fixture::climate_at(36.1, -79.95, clearness, climate)}});
}
inline ConfigurationPtr plan(ConfigurationPtr where, double nights, Values more = {}) {
    more.insert({{"site", where}, {"start", std::string("2026-11-06 15:00")}, {"nights", nights}});
    return make("Trip", more);
}
inline ConfigurationPtr five_nights(Values more = {}) {
    more.insert({"habits_scale", 1.3});
    return plan(site(), 5, more);
}

// Members of a trip's list, planned("Drive", {2, 4}, {{"duration_h", 1.5}}); days and nights count from 1.
inline std::vector<ConfigurationPtr> planned(const std::string& kind, std::vector<double> days, Values more = {}) {
    more.insert({kind == "ShorePower" ? "nights" : "days", std::move(days)});
    return {make(kind, more)};
}

// What these ask for does not hang on what the battery gives; a heater stops with it.
inline std::vector<ConfigurationPtr> unheated_loads() {
    std::vector<ConfigurationPtr> loads;
    for (const char* name : {"Lights", "WaterPump", "Phones", "Laptop", "Fan", "Inverter"}) loads.push_back(make(name));
    loads.push_back(make("Standby", {{"current_a", 0.5}}));
    return loads;
}
inline std::vector<ConfigurationPtr> winter_loads() {
    auto loads = unheated_loads();
    loads.insert(loads.end() - 1, make("Heater"));
    return loads;
}
inline ConfigurationPtr agm_van(Values more = {}) {
    more.insert({"loads", winter_loads()});
    return make("Van", more);
}
inline ConfigurationPtr lfp_van(Values more = {}) {
    more.insert({"battery", make("LithiumBattery")});
    return agm_van(more);
}

inline std::shared_ptr<const trip::CompiledTrip> compile(const ConfigurationPtr& van, const ConfigurationPtr& plan) {
    return std::make_shared<const trip::CompiledTrip>(van, plan);
}

// All that one trial comes to.
struct Outcome {
    std::array<double, engine::kColumns> column;
    double charge_balance_error, energy_balance_error;
    std::vector<double> load_ah, series, clearness;  // series: [those asked for][hours]

    bool cut() const { return column[engine::kCutoutCause] > 0; }
    bool operator==(const Outcome&) const = default;
};

constexpr engine::SeriesWanted no_series{};
inline engine::SeriesWanted all_series() {
    engine::SeriesWanted p;
    p.fill(true);
    return p;
}

inline std::vector<Outcome> run(const std::shared_ptr<const trip::CompiledTrip>& compiled,
                                const std::vector<std::int64_t>& trials,
                                engine::Precision precision = engine::Precision::double_, int width = 0,
                                const engine::SeriesWanted& wanted_series = no_series, std::uint64_t seed = 1) {
    const auto pack = engine::make_runner(compiled, seed, precision,
                                          engine::instruction_set_named(width == 1 ? "reference" : ""), wanted_series);
    std::vector<Outcome> out;
    for (std::size_t first = 0; first < trials.size();) {
        const std::size_t count = std::min(static_cast<std::size_t>(pack->lanes()), trials.size() - first);
        pack->run(std::span(trials).subspan(first, count), nullptr);
        for (int lane = 0; lane < static_cast<int>(count); ++lane) {
            Outcome o{{}, pack->charge_balance_error(lane), pack->energy_balance_error(lane), {}, {}, {}};
            for (int c = 0; c < engine::kColumns; ++c)
                o.column[static_cast<std::size_t>(c)] = pack->column(static_cast<engine::Column>(c), lane);
            for (int l = 0; l < static_cast<int>(compiled->load_names().size()); ++l)
                o.load_ah.push_back(pack->load_ah(l, lane));
            for (int p = 0; p < engine::kSeriesCount; ++p)
                for (int h = 0; wanted_series[static_cast<std::size_t>(p)] && h < compiled->hours(); ++h)
                    o.series.push_back(pack->series_at(static_cast<engine::Series>(p), h, lane));
            for (int d = 0; d < compiled->days(); ++d) o.clearness.push_back(pack->clearness(d, lane));
            out.push_back(std::move(o));
        }
        first += count;
    }
    return out;
}

inline std::vector<std::int64_t> first_trials(std::int64_t n) {
    std::vector<std::int64_t> t;
    for (std::int64_t i = 0; i < n; ++i) t.push_back(i);
    return t;
}

inline double share_cut(const std::vector<Outcome>& outcomes) {
    const auto cut = std::count_if(outcomes.begin(), outcomes.end(), [](const Outcome& o) { return o.cut(); });
    return static_cast<double>(cut) / static_cast<double>(outcomes.size());
}

}  // namespace van_fixture
