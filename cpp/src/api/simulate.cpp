#include <memory>
#include <stdexcept>

#include "ridethrough/ensemble/ensemble.hpp"
#include "ridethrough/ridethrough.hpp"
#include "ridethrough/stats/phrasing.hpp"
#include "ridethrough/trip/cautions.hpp"

namespace ridethrough {

namespace {

constexpr std::int64_t kMostTrials = 1'000'000'000;

trip::Clock clock_of(const Trip& trip, const Options& options, std::vector<std::string>& warnings) {
    if (options.clock) {
        trip::Clock clock{.utc_offset_h = options.clock->utc_offset_h, .source = "Options::clock"};
        for (const Clock::Change& c : options.clock->changes) clock.changes.push_back({c.after_h, c.utc_offset_h});
        return clock;
    }
    const trip::Clock clock = trip::clock_without_zones(*trip.configuration());
    if (clock.source != "Site.utc_offset_h")
        warnings.push_back("Site.utc_offset_h is not given: the clock is taken to be " +
                           base::number_text(clock.utc_offset_h) + " h ahead of UTC (" + clock.source +
                           "), without summer time; habits follow it, so give Site.utc_offset_h or Options::clock");
    return clock;
}

std::map<std::string, std::vector<float>, std::less<>> columns_of(const ensemble::Columns& c) {
    std::map<std::string, std::vector<float>, std::less<>> columns;
    for (int i = 0; i < engine::kColumns; ++i) {
        const auto at = static_cast<engine::Column>(i);
        if (!c.kept(at)) continue;
        // Counts of 16 bits at most: exact.
        columns.emplace(engine::kResults[at].name,
                        std::visit([](const auto& values) { return std::vector<float>(values.begin(), values.end()); },
                                   c.values(at)));
    }
    return columns;
}

std::vector<std::string> cautions_of(const Van& van, const Trip& trip) {
    std::vector<std::string> sentences{
        "Not in that interval: the model's own error, and how well the inputs are known."};
    if (van.configuration()->part("fridge")->has("medicine")) sentences.emplace_back(trip::kMedicine);
    for (std::string& caution : trip::cautions(*van.configuration(), *trip.configuration()))
        sentences.push_back(std::move(caution));
    sentences.emplace_back(trip::kPlanningAid);
    return sentences;
}

}  // namespace

Risk simulate(const Van& van, const Trip& trip, const Options& options) {
    if (!(options.trials >= 1 && options.trials <= kMostTrials))
        throw InputError({.path = "trials",
                          .value = std::to_string(options.trials),
                          .allowed = "1 to " + stats::grouped(kMostTrials)});
    Risk risk;
    const trip::Clock clock = clock_of(trip, options, risk.warnings);
    const auto compiled = std::make_shared<const trip::CompiledTrip>(van.configuration(), trip.configuration(), clock);
    trip::refuse_life_support(compiled->load_names());
    risk.warnings.insert(risk.warnings.end(), compiled->warnings().begin(), compiled->warnings().end());

    ensemble::EnsembleOptions wanted;
    wanted.trials = options.trials;
    wanted.seed = options.seed;
    wanted.precision =
        options.precision == Precision::double_ ? engine::Precision::double_ : engine::Precision::single_;
    wanted.run.threads = options.threads;
    ensemble::EnsembleResult result = ensemble::simulate(compiled, wanted, options.progress);
    if (result.trials == 0) throw std::runtime_error("stopped before any trial was finished");

    risk.trials = result.trials;
    risk.stopped = result.cancelled;
    const std::int64_t events = (result.columns.of<std::uint8_t>(engine::kCutoutCause) > 0).count();
    risk.cutout = stats::wilson(events, result.trials);
    const std::int64_t off = (result.columns.of<float>(engine::kLongestOffH) > 1.0F).count();
    risk.fridge_off_over_1h = stats::wilson(off, result.trials);
    risk.columns = columns_of(result.columns);
    risk.cautions = cautions_of(van, trip);
    return risk;
}

const std::vector<float>& Risk::column(std::string_view name) const {
    if (const auto found = columns.find(name); found != columns.end()) return found->second;
    if (const std::string now = engine::name_now(name); !now.empty())
        throw InputError("column = \"" + std::string(name) + "\": now \"" + now + "\"");
    std::vector<std::string> names;
    names.reserve(columns.size());
    for (const auto& column : columns) names.push_back(column.first);
    const std::string near = base::nearest_name(name, names);
    throw InputError({.path = "column",
                      .value = "\"" + std::string(name) + "\"",
                      .reason = "no such column",
                      .suggestion = near.empty() ? "" : "\"" + near + "\""});
}

std::string Risk::text() const {
    std::string out;
    for (const std::string& warning : warnings) out += "Warning: " + warning + "\n";
    out += stats::chance_text(cutout) + ": a low-voltage cut-out drops the fridge before the trip ends\n(" +
           stats::estimate_text(cutout) + ").\n" + stats::chance_text(fridge_off_over_1h) +
           ": the fridge is off for more than an hour in a row\n(" + stats::estimate_text(fridge_off_over_1h) + ").\n";
    if (stopped) out += "The run was stopped early; this is what its finished trials say.\n";
    for (const std::string& caution : cautions) out += caution + "\n";
    return out;
}

}  // namespace ridethrough
