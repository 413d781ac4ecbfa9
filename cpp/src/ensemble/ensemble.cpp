#include "ridethrough/ensemble/ensemble.hpp"

#include <algorithm>
#include <limits>
#include <mutex>
#include <stdexcept>
#include <type_traits>

#include "ridethrough/ensemble/fixed_sum.hpp"

namespace ridethrough::ensemble {
using engine::Column;

namespace {

bool fills(const trip::CompiledTrip& compiled, engine::Condition condition) {
    switch (condition) {
        case engine::Condition::water_tanks:
            return compiled.has_water();
        case engine::Condition::heater:
            return compiled.has_heater();
        case engine::Condition::inverter:
            return compiled.plan().inverter.given;
        case engine::Condition::medicine:
            return compiled.plan().fridge.medicine();
        case engine::Condition::freezer_box:
            return compiled.plan().fridge.freezer_box();
        case engine::Condition::ice:
            return compiled.plan().fridge.ice();
        default:
            return !engine::absent_without(condition);
    }
}

Columns::Values values_for(engine::Stored stored) {
    switch (stored) {
        case engine::Stored::uint8:
            return base::Column<std::uint8_t>();
        case engine::Stored::uint16:
            return base::Column<std::uint16_t>();
        case engine::Stored::float32:
            break;
    }
    return base::Column<float>();
}

}  // namespace

Columns::Columns(const trip::CompiledTrip& compiled) {
    for (std::size_t c = 0; c < engine::kColumns; ++c) {
        const engine::Result& result = engine::kResults[c];
        values_[c] = values_for(result.type.stored);
        kept_[c] = fills(compiled, result.condition);
    }
}

void Columns::resize(std::int64_t trials) {
    for (std::size_t c = 0; c < engine::kColumns; ++c)
        if (kept_[c]) std::visit([&](auto& values) { values.conservativeResize(trials); }, values_[c]);
}

void Columns::set(Column c, std::int64_t trial, double value) {
    std::visit(
        [&]<class T>(base::Column<T>& values) {
            if constexpr (std::is_integral_v<T>)
                value = std::min(value, static_cast<double>(std::numeric_limits<T>::max()));
            values[trial] = static_cast<T>(value);
        },
        values_[c]);
}

namespace {

void store(const engine::PackRunner& pack, int lane, std::int64_t trial, Columns& to) {
    for (int i = 0; i < engine::kColumns; ++i) {
        const auto c = static_cast<Column>(i);
        if (!to.kept(c)) continue;
        to.set(c, trial, pack.column(c, lane));
    }
    if (!(pack.column(engine::kCutoutCause, lane) > 0))
        to.set(engine::kFirstCutoutH, trial, *engine::kResults[engine::kFirstCutoutH].never);
}

void check(const trip::CompiledTrip& compiled, const EnsembleOptions& o) {
    const auto rows = static_cast<std::size_t>(std::max<std::int64_t>(o.trials, 0));
    if (o.first_trial < 0)
        throw base::InputError({.path = "first_trial", .value = std::to_string(o.first_trial), .allowed = "0 or more"});
    if (!(o.trials > 0))
        throw base::InputError({.path = "trials", .value = std::to_string(o.trials), .allowed = "1 or more"});
    if (o.series_values.size() != o.series.size())
        throw std::invalid_argument("series_values: one for each of the series");
    if (!o.listed.empty() && o.listed.size() != rows) throw std::invalid_argument("listed: as many as trials");
    for (const std::int64_t trial : o.listed)
        if (trial < 0)
            throw base::InputError({.path = "trial", .value = std::to_string(trial), .allowed = "0 or more"});
    for (const int hour : o.state_hours)
        if (!(hour >= 0 && hour < compiled.hours()))
            throw base::InputError({.path = "hour",
                                    .value = std::to_string(hour),
                                    .allowed = "0 to " + std::to_string(compiled.hours() - 1)});
    if (!o.numbers) return;
    const std::size_t purposes = engine::purposes(compiled).size(), size = rows * purposes;
    const engine::TrialNumbers& n = *o.numbers;
    if (n.of_purpose.size() != size || !(n.later.empty() || n.later.size() == size) ||
        (!n.later.empty() && n.from_day.size() != purposes))
        throw std::invalid_argument("numbers: one for each row and purpose");
}

std::int64_t trial_of_row(const EnsembleOptions& o, std::int64_t row) {
    return o.listed.empty() ? o.first_trial + row : o.listed[static_cast<std::size_t>(row)];
}

void store_states(const engine::PackRunner& pack, int lane, std::size_t row, const EnsembleOptions& o) {
    double* to = o.state_values + row * o.state_hours.size() * o.states.size();
    for (const int hour : o.state_hours)
        for (const engine::Series state : o.states) *to++ = pack.series_at(state, hour, lane);
}

}  // namespace

EnsembleResult simulate(const std::shared_ptr<const trip::CompiledTrip>& compiled, const EnsembleOptions& options,
                        const Poll& poll) {
    check(*compiled, options);
    const auto hours = static_cast<std::size_t>(compiled->hours());
    const std::size_t loads = compiled->load_names().size();
    EnsembleResult result;
    result.columns = Columns(*compiled);
    result.columns.resize(options.trials);

    // Counts and maxima do not depend on the order in which tasks are merged.
    result.charge_histogram.setZero(compiled->hours(), kChargeBins);
    std::mutex merging;
    std::vector<FixedSum> load_sums(loads, FixedSum(options.trials));
    engine::SeriesWanted wanted{};
    for (engine::Series p : options.series) wanted[p] = true;
    for (engine::Series p : options.states) wanted[p] = true;
    // The means of a step are gathered with it.
    if (!options.series.empty() || !options.states.empty()) wanted[engine::kSeriesTerminalV] = true;
    wanted[engine::kSeriesSoc] = true;

    const engine::InstructionSet& set = engine::instruction_set_named(options.instruction_set);
    const Task task = [&](std::int64_t first, std::int64_t count, const std::atomic<bool>& stop) {
        const auto pack = engine::make_runner(compiled, options.seed, options.precision, set, wanted);
        pack->give(options.scores);
        pack->renumber(options.numbers);
        base::Table<std::uint32_t> histogram = base::Table<std::uint32_t>::Zero(compiled->hours(), kChargeBins);
        double charge_balance_error = 0, energy_balance_error = 0;
        std::vector<std::int64_t> trials;
        for (std::int64_t done = 0; done < count;) {
            trials.clear();
            const std::int64_t first_row = first + done;
            for (; static_cast<int>(trials.size()) < pack->lanes() && done < count; ++done)
                trials.push_back(trial_of_row(options, first + done));
            if (!pack->run(trials, &stop, first_row)) return false;
            for (int lane = 0; lane < static_cast<int>(trials.size()); ++lane) {
                const std::int64_t i = first_row + lane;
                store(*pack, lane, i, result.columns);
                for (std::size_t l = 0; l < loads; ++l) load_sums[l].add(i, pack->load_ah(static_cast<int>(l), lane));
                charge_balance_error = std::max(charge_balance_error, pack->charge_balance_error(lane));
                energy_balance_error = std::max(energy_balance_error, pack->energy_balance_error(lane));
                for (std::size_t p = 0; p < options.series.size(); ++p)
                    pack->copy_series(options.series[p], lane,
                                      options.series_values[p] + static_cast<std::size_t>(i) * hours);
                store_states(*pack, lane, static_cast<std::size_t>(i), options);
            }
            pack->count_charge(static_cast<int>(trials.size()), kChargeBins, histogram.data());
        }
        const std::lock_guard lock(merging);
        result.charge_histogram += histogram;
        result.worst_charge_balance_error = std::max(result.worst_charge_balance_error, charge_balance_error);
        result.worst_energy_balance_error = std::max(result.worst_energy_balance_error, energy_balance_error);
        return true;
    };
    const RunResult run_result = run(options.trials, options.run, task, poll);

    result.trials = run_result.finished_prefix;
    result.cancelled = run_result.cancelled;
    result.columns.resize(result.trials);
    for (const FixedSum& sum : load_sums)
        result.load_ah.push_back(result.trials ? sum.total(result.trials) / static_cast<double>(result.trials) : 0);
    return result;
}

Traces trace(const std::shared_ptr<const trip::CompiledTrip>& compiled, std::uint64_t seed, engine::Precision precision,
             const std::vector<std::int64_t>& trials, const std::vector<engine::Series>& series,
             const std::string& instruction_set) {
    const auto rows = std::ssize(trials);
    const int hours = compiled->hours(), days = compiled->days();
    const auto parameters = static_cast<int>(compiled->parameters().size());
    Traces out{series, std::vector(series.size(), base::Table<double>(rows, hours)), {}, {}};
    out.clearness.resize(rows, days);
    out.drawn.resize(rows, parameters);
    engine::SeriesWanted wanted{};
    for (engine::Series p : series) wanted[p] = true;
    // The means of a step are gathered only where the terminal voltage is asked for.
    if (!series.empty()) wanted[engine::kSeriesTerminalV] = true;
    const auto pack =
        engine::make_runner(compiled, seed, precision, engine::instruction_set_named(instruction_set), wanted);
    for (std::ptrdiff_t first = 0; first < rows; first += pack->lanes()) {
        const auto count = std::min<std::ptrdiff_t>(pack->lanes(), rows - first);
        pack->run(std::span(trials).subspan(static_cast<std::size_t>(first), static_cast<std::size_t>(count)), nullptr);
        for (int lane = 0; lane < count; ++lane) {
            const auto row = first + lane;
            for (std::size_t p = 0; p < series.size(); ++p) pack->copy_series(series[p], lane, &out.values[p](row, 0));
            for (int d = 0; d < days; ++d) out.clearness(row, d) = pack->clearness(d, lane);
            for (int s = 0; s < parameters; ++s) out.drawn(row, s) = pack->drawn(s, lane);
        }
    }
    return out;
}

}  // namespace ridethrough::ensemble
