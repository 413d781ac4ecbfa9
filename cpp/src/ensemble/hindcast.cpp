#include "ridethrough/ensemble/hindcast.hpp"

#include <string>

#include "ridethrough/engine/results.hpp"

namespace ridethrough::ensemble {
using base::InputError;

namespace {

void check(const trip::CompiledTrip& compiled, const engine::MeasuredDays& days, const HindcastOptions& o) {
    const std::size_t rows = o.first_trial.size();
    if (!(o.trials >= 1 && o.trials <= 1'000'000))
        throw InputError("trials = " + std::to_string(o.trials) + ": allowed 1 to 1000000 for each start day");
    if (!rows) throw InputError("hindcast: no start day");
    if (compiled.replay()) {
        if (days.replay_start.size() != rows) throw InputError("hindcast: one start of the record a row is needed");
        return;
    }
    const std::size_t size = rows * static_cast<std::size_t>(compiled.drawn_days());
    if (days.clearness.size() != size || days.air_mean_c.size() != size)
        throw InputError("hindcast: " + std::to_string(compiled.drawn_days()) + " days a row are needed");
    for (const double k : days.clearness)
        if (!(k >= 0 && k <= 1)) throw InputError("clearness = " + base::number_text(k) + ": allowed 0 to 1");
    for (const double t : days.air_mean_c)
        if (!(t >= -90 && t <= 70))
            throw InputError("temperature = " + base::number_text(t) + " C: allowed -90 to 70 C");
}

}  // namespace

HindcastResult hindcast(const std::shared_ptr<const trip::CompiledTrip>& compiled, const engine::MeasuredDays& days,
                        const HindcastOptions& o, const Poll& poll) {
    check(*compiled, days, o);
    const auto all = static_cast<std::int64_t>(o.first_trial.size()) * o.trials;
    HindcastResult result;
    result.first_cutout_h.resize(static_cast<std::size_t>(all));
    result.min_soc.resize(static_cast<std::size_t>(all));
    const engine::InstructionSet& set = engine::instruction_set_named("");
    const Task task = [&](std::int64_t first, std::int64_t count, const std::atomic<bool>& stop) {
        const auto pack = engine::make_runner(compiled, o.seed, engine::Precision::double_, set, {});
        std::vector<std::int64_t> trials;
        std::vector<std::int32_t> rows;
        for (std::int64_t done = 0; done < count; done += static_cast<std::int64_t>(trials.size())) {
            trials.clear();
            rows.clear();
            for (std::int64_t i = first + done; i < first + count && std::ssize(trials) < pack->lanes(); ++i) {
                rows.push_back(static_cast<std::int32_t>(i / o.trials));
                trials.push_back(o.first_trial[static_cast<std::size_t>(rows.back())] + i % o.trials);
            }
            pack->use(days, rows);
            if (!pack->run(trials, &stop)) return false;
            for (int lane = 0; lane < std::ssize(trials); ++lane) {
                const auto at = static_cast<std::size_t>(first + done + lane);
                const bool cut = pack->column(engine::kCutoutCause, lane) > 0;
                const double never = *engine::kResults[engine::kFirstCutoutH].never;
                result.first_cutout_h[at] = static_cast<float>(cut ? pack->column(engine::kFirstCutoutH, lane) : never);
                result.min_soc[at] = static_cast<float>(pack->column(engine::kMinSoc, lane));
            }
        }
        return true;
    };
    result.cancelled = run(all, o.run, task, poll).cancelled;
    return result;
}

}  // namespace ridethrough::ensemble
