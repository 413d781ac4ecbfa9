#include "ridethrough/ensemble/ensemble.hpp"

#include <algorithm>
#include <limits>
#include <mutex>
#include <stdexcept>

#include "ridethrough/ensemble/fixed_sum.hpp"

namespace ridethrough::ensemble {
using engine::Column;

std::span<const ColumnEntry<float>> float_columns() {
    using C = Columns;
    static constexpr ColumnEntry<float> all[] = {
        {"first_cutout_h", engine::kFirstCutoutH, &C::first_cutout_h},
        {"lowest_charge", engine::kLowestCharge, &C::lowest_charge},
        {"hours_off", engine::kHoursOff, &C::hours_off},
        {"warmest_food_c", engine::kWarmestFoodC, &C::warmest_food_c},
        {"hours_above_5c", engine::kHoursAbove5c, &C::hours_above_5c},
        {"hours_below_half", engine::kHoursBelowHalf, &C::hours_below_half},
        {"longest_warm_spell_h", engine::kLongestWarmSpellH, &C::longest_warm_spell_h},
        {"frozen_food_h", engine::kFrozenFoodH, &C::frozen_food_h},
        {"cold_cabin_h", engine::kColdCabinH, &C::cold_cabin_h},
        {"coldest_cabin_c", engine::kColdestCabinC, &C::coldest_cabin_c},
        {"solar_wh", engine::kSolarWh, &C::solar_wh},
        {"dc_dc_wh", engine::kDcDcWh, &C::dc_dc_wh},
        {"mains_wh", engine::kMainsWh, &C::mains_wh},
        {"curtailed_wh", engine::kCurtailedWh, &C::curtailed_wh},
        {"fridge_wh", engine::kFridgeWh, &C::fridge_wh},
        {"other_loads_wh", engine::kOtherLoadsWh, &C::other_loads_wh},
        {"loss_wh", engine::kLossWh, &C::loss_wh},
        {"unserved_ah", engine::kUnservedAh, &C::unserved_ah},
        {"medicine_out_coldest_h", engine::kMedicineOutColdestH, &C::medicine_out_coldest_h, &C::medicine},
        {"medicine_out_warmest_h", engine::kMedicineOutWarmestH, &C::medicine_out_warmest_h, &C::medicine},
        {"medicine_frozen_h", engine::kMedicineFrozenH, &C::medicine_frozen_h, &C::medicine},
        {"warmest_freezer_c", engine::kWarmestFreezerC, &C::warmest_freezer_c, &C::freezer},
    };
    return all;
}

std::span<const ColumnEntry<std::uint8_t>> count_columns() {
    using C = Columns;
    static constexpr ColumnEntry<std::uint8_t> all[] = {
        {"device", engine::kDevice, &C::device},
        {"water_dry_night", engine::kWaterDryNight, &C::water_dry_night, &C::water},
        {"grey_full_night", engine::kGreyFullNight, &C::grey_full_night, &C::water},
        {"failed_starts", engine::kFailedStarts, &C::failed_starts, &C::starts},
        {"frozen", engine::kFrozen, &C::frozen},
    };
    return all;
}

void Columns::resize(std::size_t trials) {
    for (const auto& e : float_columns()) (this->*e.values).resize(e.kept(*this) ? trials : 0);
    for (const auto& e : count_columns()) (this->*e.values).resize(e.kept(*this) ? trials : 0);
    days_full.resize(trials);
}

namespace {

void store(const engine::PackRunner& pack, int lane, std::size_t i, Columns& to) {
    const auto value = [&](Column c) {
        const double x = pack.column(c, lane);
        if (!(x - x == 0)) throw std::runtime_error("the engine produced a number that is not finite: please report");
        return static_cast<float>(x);
    };
    for (const auto& e : float_columns())
        if (e.kept(to)) (to.*e.values)[i] = value(e.from);
    for (const auto& e : count_columns())
        if (e.kept(to)) (to.*e.values)[i] = static_cast<std::uint8_t>(std::min(value(e.from), 255.0f));
    to.days_full[i] = static_cast<std::uint16_t>(value(engine::kDaysFull));
    if (!to.device[i]) to.first_cutout_h[i] = std::numeric_limits<float>::infinity();
}

}  // namespace

EnsembleResult simulate(const std::shared_ptr<const trip::Compiled>& compiled, const EnsembleOptions& options,
                        const Poll& poll) {
    if (!(options.trials > 0))
        throw base::InputError("trials = " + std::to_string(options.trials) + ": allowed 1 or more");
    if (options.path_values.size() != options.paths.size())
        throw std::invalid_argument("path_values: one for each of the paths");
    const auto hours = static_cast<std::size_t>(compiled->hours());
    const std::size_t loads = compiled->load_names().size();
    EnsembleResult result;
    result.columns.medicine = compiled->plan<double>().fridge.medicine();
    result.columns.freezer = compiled->plan<double>().fridge.freezer_box();
    result.columns.water = compiled->has_water();
    result.columns.starts = compiled->has_heater();
    result.columns.resize(static_cast<std::size_t>(options.trials));

    // Counts and maxima do not depend on the order in which tasks are merged.
    result.charge_histogram.assign(hours * kChargeBins, 0);
    std::mutex merging;
    std::vector<FixedSum> load_sums(loads, FixedSum(options.trials));
    engine::PathsWanted wanted{};
    for (engine::Path p : options.paths) wanted[p] = true;
    if (!options.paths.empty()) wanted[engine::kPathPostsV] = true;  // the means of a step are gathered with it
    wanted[engine::kPathCharge] = true;

    const engine::Level& level = engine::level(options.level);
    const Task task = [&](std::int64_t first, std::int64_t count, const std::atomic<bool>& stop) {
        const auto pack = engine::make_runner(compiled, options.seed, options.precision, level, wanted);
        pack->give(options.scores);
        std::vector<std::uint32_t> histogram(hours * kChargeBins);
        double charge_miss = 0, energy_miss = 0;
        std::vector<std::int64_t> trials;
        for (std::int64_t done = 0; done < count;) {
            trials.clear();
            for (; static_cast<int>(trials.size()) < pack->lanes() && done < count; ++done)
                trials.push_back(options.first_trial + first + done);
            if (!pack->run(trials, &stop)) return false;
            for (int lane = 0; lane < static_cast<int>(trials.size()); ++lane) {
                const std::int64_t i = first + done - static_cast<std::int64_t>(trials.size()) + lane;
                store(*pack, lane, static_cast<std::size_t>(i), result.columns);
                for (std::size_t l = 0; l < loads; ++l) load_sums[l].add(i, pack->load_ah(static_cast<int>(l), lane));
                charge_miss = std::max(charge_miss, pack->charge_miss(lane));
                energy_miss = std::max(energy_miss, pack->energy_miss(lane));
                for (std::size_t p = 0; p < options.paths.size(); ++p)
                    pack->copy_path(options.paths[p], lane,
                                    options.path_values[p] + static_cast<std::size_t>(i) * hours);
            }
            pack->count_charge(static_cast<int>(trials.size()), kChargeBins, histogram.data());
        }
        const std::lock_guard lock(merging);
        for (std::size_t i = 0; i < histogram.size(); ++i) result.charge_histogram[i] += histogram[i];
        result.worst_charge_miss = std::max(result.worst_charge_miss, charge_miss);
        result.worst_energy_miss = std::max(result.worst_energy_miss, energy_miss);
        return true;
    };
    const RunResult run_result = run(options.trials, options.run, task, poll);

    result.trials = run_result.finished_prefix;
    result.cancelled = run_result.cancelled;
    result.columns.resize(static_cast<std::size_t>(result.trials));
    for (const FixedSum& sum : load_sums)
        result.load_ah.push_back(result.trials ? sum.total(result.trials) / static_cast<double>(result.trials) : 0);
    return result;
}

Traces trace(const std::shared_ptr<const trip::Compiled>& compiled, std::uint64_t seed, engine::Precision precision,
             const std::vector<std::int64_t>& trials, const std::vector<engine::Path>& paths,
             const std::string& level) {
    Traces out;
    out.hours = compiled->hours();
    out.days = compiled->days();
    out.paths = paths;
    out.values.resize(paths.size());
    engine::PathsWanted wanted{};
    for (engine::Path p : paths) wanted[p] = true;
    // The means of a step are gathered only where the posts' voltage is asked for.
    if (!paths.empty()) wanted[engine::kPathPostsV] = true;
    const auto pack = engine::make_runner(compiled, seed, precision, engine::level(level), wanted);
    const auto slots = static_cast<int>(compiled->slots().size());
    for (std::size_t first = 0; first < trials.size();) {
        const std::size_t count = std::min(static_cast<std::size_t>(pack->lanes()), trials.size() - first);
        pack->run(std::span(trials).subspan(first, count), nullptr);
        for (int lane = 0; lane < static_cast<int>(count); ++lane) {
            for (std::size_t p = 0; p < paths.size(); ++p)
                for (int h = 0; h < out.hours; ++h) out.values[p].push_back(pack->path(paths[p], h, lane));
            for (int d = 0; d < out.days; ++d) out.clearness.push_back(pack->clearness(d, lane));
            for (int s = 0; s < slots; ++s) out.drawn.push_back(pack->drawn(s, lane));
        }
        first += count;
    }
    return out;
}

}  // namespace ridethrough::ensemble
