#include "ridethrough/ensemble/ensemble.hpp"

#include <algorithm>
#include <limits>
#include <mutex>
#include <stdexcept>

#include "ridethrough/ensemble/fixed_sum.hpp"

namespace ridethrough::ensemble {
using trip::Column;

void Columns::resize(std::size_t trials, bool water, bool starts) {
    for (auto* v :
         {&first_cutout_h, &lowest_charge, &hours_off, &warmest_food_c, &hours_above_5c, &hours_below_half, &solar_wh,
          &dc_dc_wh, &mains_wh, &curtailed_wh, &fridge_wh, &other_loads_wh, &loss_wh, &unserved_ah})
        v->resize(trials);
    if (medicine)
        for (auto* v : {&medicine_out_coldest_h, &medicine_out_warmest_h, &medicine_frozen_h}) v->resize(trials);
    if (freezer) warmest_freezer_c.resize(trials);
    device.resize(trials);
    days_full.resize(trials);
    for (auto* v : {&water_dry_night, &grey_full_night}) v->resize(water ? trials : 0);
    failed_starts.resize(starts ? trials : 0);
    frozen.resize(trials);
}

namespace {

void store(const trip::PackRunner& pack, int lane, std::size_t i, Columns& to) {
    const auto value = [&](Column c) {
        const double x = pack.column(c, lane);
        if (!(x - x == 0)) throw std::runtime_error("the engine produced a number that is not finite: please report");
        return static_cast<float>(x);
    };
    to.device[i] = static_cast<std::uint8_t>(value(trip::kDevice));
    to.first_cutout_h[i] = to.device[i] ? value(trip::kFirstCutoutH) : std::numeric_limits<float>::infinity();
    to.lowest_charge[i] = value(trip::kLowestCharge);
    to.hours_off[i] = value(trip::kHoursOff);
    to.warmest_food_c[i] = value(trip::kWarmestFoodC);
    to.hours_above_5c[i] = value(trip::kHoursAbove5c);
    to.hours_below_half[i] = value(trip::kHoursBelowHalf);
    to.solar_wh[i] = value(trip::kSolarWh);
    to.dc_dc_wh[i] = value(trip::kDcDcWh);
    to.mains_wh[i] = value(trip::kMainsWh);
    to.curtailed_wh[i] = value(trip::kCurtailedWh);
    to.fridge_wh[i] = value(trip::kFridgeWh);
    to.other_loads_wh[i] = value(trip::kOtherLoadsWh);
    to.loss_wh[i] = value(trip::kLossWh);
    to.unserved_ah[i] = value(trip::kUnservedAh);
    if (to.medicine) {
        to.medicine_out_coldest_h[i] = value(trip::kMedicineOutColdestH);
        to.medicine_out_warmest_h[i] = value(trip::kMedicineOutWarmestH);
        to.medicine_frozen_h[i] = value(trip::kMedicineFrozenH);
    }
    if (to.freezer) to.warmest_freezer_c[i] = value(trip::kWarmestFreezerC);
    to.days_full[i] = static_cast<std::uint16_t>(value(trip::kDaysFull));
    const auto count = [&](Column c) { return static_cast<std::uint8_t>(std::min(value(c), 255.0f)); };
    if (!to.water_dry_night.empty()) {
        to.water_dry_night[i] = count(trip::kWaterDryNight);
        to.grey_full_night[i] = count(trip::kGreyFullNight);
    }
    if (!to.failed_starts.empty()) to.failed_starts[i] = count(trip::kFailedStarts);
    to.frozen[i] = static_cast<std::uint8_t>(value(trip::kFrozen));
}

}  // namespace

EnsembleResult simulate(const std::shared_ptr<const trip::Compiled>& compiled, const EnsembleOptions& options,
                        const Poll& poll) {
    if (!(options.trials > 0))
        throw base::InputError("trials = " + std::to_string(options.trials) + ": allowed 1 or more");
    const auto hours = static_cast<std::size_t>(compiled->hours());
    const std::size_t loads = compiled->load_names().size();
    EnsembleResult result;
    result.columns.medicine = compiled->plan<double>().fridge.medicine();
    result.columns.freezer = compiled->plan<double>().fridge.freezer_box();
    const bool water = compiled->has_water(), starts = compiled->counts_failed_starts();
    result.columns.resize(static_cast<std::size_t>(options.trials), water, starts);

    // Counts and maxima do not depend on the order in which tasks are merged.
    result.charge_histogram.assign(hours * kChargeBins, 0);
    std::mutex merging;
    std::vector<FixedSum> load_sums(loads, FixedSum(options.trials));
    trip::PathsWanted wanted{};
    wanted[trip::kPathCharge] = true;

    const Task task = [&](std::int64_t first, std::int64_t count, const std::atomic<bool>& stop) {
        const auto pack = trip::make_runner(compiled, options.seed, options.precision, options.width, wanted);
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
                for (std::size_t h = 0; h < hours; ++h) {
                    const double x = pack->path(trip::kPathCharge, static_cast<int>(h), lane) * kChargeBins;
                    const auto bin = static_cast<std::size_t>(std::clamp(x, 0.0, kChargeBins - 1.0));
                    ++histogram[h * kChargeBins + bin];
                }
            }
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
    result.columns.resize(static_cast<std::size_t>(result.trials), water, starts);
    for (const FixedSum& sum : load_sums)
        result.load_ah.push_back(result.trials ? sum.total(result.trials) / static_cast<double>(result.trials) : 0);
    return result;
}

Traces trace(const std::shared_ptr<const trip::Compiled>& compiled, std::uint64_t seed, trip::Precision precision,
             const std::vector<std::int64_t>& trials, const std::vector<trip::Path>& paths) {
    Traces out;
    out.hours = compiled->hours();
    out.days = compiled->days();
    out.paths = paths;
    out.values.resize(paths.size());
    trip::PathsWanted wanted{};
    for (trip::Path p : paths) wanted[p] = true;
    // The means of a step are gathered only where the posts' voltage is asked for.
    if (!paths.empty()) wanted[trip::kPathPostsV] = true;
    const auto pack = trip::make_runner(compiled, seed, precision, 0, wanted);
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
