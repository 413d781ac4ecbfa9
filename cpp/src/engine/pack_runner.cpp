#include "pack_runner.hpp"

#include <algorithm>

#include "ridethrough/engine/trial_batch.hpp"

namespace ridethrough::engine {

namespace {

constexpr const char* kReplay = "weather.replay";

struct Purpose {
    std::string name;
    std::uint32_t hash;
};

// Those of the days, of the spreads, and the start in a record last.
std::vector<Purpose> all_purposes(const trip::CompiledTrip& compiled) {
    std::vector<Purpose> all;
    for (const random::DrawPurpose& p : compiled.table().purposes()) all.push_back({p.name, p.purpose});
    for (const random::Parameter& p : compiled.parameters()) {
        const auto known = [&](const Purpose& other) { return other.hash == p.purpose; };
        if (p.spread && std::none_of(all.begin(), all.end(), known)) all.push_back({p.path, p.purpose});
    }
    all.push_back({kReplay, random::purpose(kReplay)});
    return all;
}

}  // namespace

std::vector<std::string> purposes(const trip::CompiledTrip& compiled) {
    std::vector<std::string> names;
    for (Purpose& p : all_purposes(compiled)) names.push_back(std::move(p.name));
    return names;
}

std::vector<std::size_t> purposes_of_parameters(const trip::CompiledTrip& compiled) {
    const auto all = all_purposes(compiled);
    std::vector<std::size_t> places;
    for (const random::Parameter& parameter : compiled.parameters()) {
        const auto its_own = [&](const Purpose& p) { return p.hash == parameter.purpose; };
        places.push_back(static_cast<std::size_t>(std::find_if(all.begin(), all.end(), its_own) - all.begin()));
    }
    return places;
}

std::unique_ptr<PackRunner> make_runner(std::shared_ptr<const trip::CompiledTrip> compiled, std::uint64_t seed,
                                        Precision precision, const InstructionSet& set, const SeriesWanted& series) {
    if (precision == Precision::single_)
        return std::make_unique<Runner<float>>(std::move(compiled), seed, set.single, series);
    return std::make_unique<Runner<double>>(std::move(compiled), seed, set.double_, series);
}

}  // namespace ridethrough::engine
