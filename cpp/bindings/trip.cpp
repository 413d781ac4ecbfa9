// Compiled trips, ensembles and traces.
#include <pybind11/eigen.h>
#include <pybind11/numpy.h>

#include <algorithm>
#include <functional>
#include <optional>
#include <set>

#include "bindings.hpp"
#include "ensemble.hpp"
#include "ridethrough/ensemble/ensemble.hpp"
#include "ridethrough/ensemble/hindcast.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "schedule.hpp"
#include "tables.hpp"

namespace {
using namespace ridethrough;
using bindings::precision_of;

// The array's memory becomes NumPy's: no copy, read-only.
template <class Array>
py::object owned(Array&& values) {
    py::object array = py::cast(std::forward<Array>(values), py::return_value_policy::move);
    array.attr("flags").attr("writeable") = false;
    return array;
}

py::dict columns_of(ensemble::Columns&& c) {
    py::dict d;
    for (int i = 0; i < engine::kColumns; ++i) {
        const auto at = static_cast<engine::Column>(i);
        if (!c.kept(at)) continue;
        d[engine::kResults[at].name] = std::visit(
            [](auto&& values) -> py::object { return owned(std::forward<decltype(values)>(values)); }, c.take(at));
    }
    return d;
}

std::vector<engine::Series> series_of(const std::vector<std::string>& names) {
    std::vector<engine::Series> series;
    std::vector<std::string> all;
    all.reserve(std::size(engine::kTimeSeries));
    for (const engine::TimeSeriesInfo& one : engine::kTimeSeries) all.emplace_back(one.name);
    for (const std::string& name : names) {
        const auto at = std::find(all.begin(), all.end(), name);
        if (at == all.end()) {
            const std::string now = engine::name_now(name), near = base::nearest_name(name, all);
            throw base::InputError(
                {.path = "time_series",
                 .reason = now.empty() ? "none is called \"" + name + "\"" : "\"" + name + "\": now \"" + now + "\"",
                 .suggestion = now.empty() && !near.empty() ? "\"" + near + "\"" : ""});
        }
        series.push_back(static_cast<engine::Series>(at - all.begin()));
    }
    return series;
}

engine::TrialNumbers numbers_of(const trip::CompiledTrip& compiled, std::int64_t trials,
                                const bindings::Numbers<std::int64_t>& numbers,
                                const std::optional<bindings::Numbers<std::int64_t>>& later,
                                const std::vector<int>& from_day) {
    const auto purposes = std::ssize(engine::purposes(compiled));
    const auto check = [&](const char* path, const bindings::Numbers<std::int64_t>& values) {
        const base::Table<std::int64_t> table = bindings::table_of(path, values);
        if (table.rows() != trials || table.cols() != purposes)
            throw base::InputError({.path = path, .allowed = "shape (trials, " + std::to_string(purposes) + ")"});
        if (!(table >= 0).all()) throw base::InputError({.path = path, .allowed = "0 or more"});
        return std::vector<std::int64_t>(table.data(), table.data() + table.size());
    };
    engine::TrialNumbers out{check("numbers", numbers), {}, from_day};
    if (!later) return out;
    out.later = check("later", *later);
    if (std::ssize(from_day) != purposes)
        throw base::InputError(
            {.path = "from_day", .allowed = std::to_string(purposes) + " days, one for each purpose"});
    return out;
}

py::dict simulate(const std::shared_ptr<const trip::CompiledTrip>& compiled, std::int64_t trials, std::uint64_t seed,
                  std::int64_t first_trial, int threads, const std::string& precision,
                  const std::string& instruction_set, std::int64_t trials_per_task, const py::object& progress,
                  const std::optional<bindings::Numbers<double>>& scores, const std::vector<std::string>& series,
                  const std::optional<std::vector<std::int64_t>>& listed,
                  const std::optional<bindings::Numbers<std::int64_t>>& numbers,
                  const std::optional<bindings::Numbers<std::int64_t>>& later, const std::vector<int>& from_day) {
    ensemble::EnsembleOptions options;
    options.first_trial = first_trial;
    options.trials = trials;
    options.seed = seed;
    options.precision = precision_of(precision);
    options.instruction_set = instruction_set;
    options.series = series_of(series);
    if (listed) {
        if (std::ssize(*listed) != trials) throw base::InputError({.path = "listed", .allowed = "as many as trials"});
        options.listed = *listed;
    }
    engine::TrialNumbers trial_numbers;
    if (numbers) {
        trial_numbers = numbers_of(*compiled, trials, *numbers, later, from_day);
        options.numbers = &trial_numbers;
    }
    options.run = {threads, trials_per_task};
    std::vector<py::array_t<double>> series_values;  // NumPy's memory: measured, new pages of it cost half
    for (std::size_t p = 0; p < series.size(); ++p) {
        const auto rows = std::max<std::int64_t>(trials, 0);  // the ensemble says what is wrong with fewer
        series_values.emplace_back(std::vector<py::ssize_t>{rows, compiled->hours()});
        options.series_values.push_back(series_values.back().mutable_data());
    }
    engine::GivenScores given;
    if (scores) {
        given = {engine::coordinates(*compiled), scores->data()};
        const auto columns = static_cast<py::ssize_t>(given.where.size());
        if (scores->ndim() != 2 || scores->shape(0) != trials || scores->shape(1) != columns)
            throw base::InputError({.path = "scores", .allowed = "shape (trials, " + std::to_string(columns) + ")"});
        const Eigen::Map<const base::Table<double>> z(scores->data(), scores->shape(0), columns);
        if (!(z >= -38 && z <= 38).all()) throw base::InputError({.path = "scores", .allowed = "-38 to 38"});
        options.scores = &given;
    }

    bindings::PythonPoll poll(progress);
    ensemble::EnsembleResult result;
    {
        const py::gil_scoped_release release;  // the compiled trip is immutable, the scores are held here
        result = ensemble::simulate(compiled, options, std::ref(poll));
    }
    py::dict out;
    out["trials"] = result.trials;
    out["cancelled"] = result.cancelled;
    out["raised"] = poll.raised();  // what stopped it: Ctrl-C or an exception of the progress function
    out["columns"] = columns_of(std::move(result.columns));
    out["charge_histogram"] = owned(std::move(result.charge_histogram));
    py::dict kept;
    for (std::size_t p = 0; p < series.size(); ++p) {
        series_values[p].attr("flags").attr("writeable") = false;
        kept[series[p].c_str()] = series_values[p][py::slice(0, result.trials, 1)];
    }
    out["time_series"] = kept;
    out["load_ah"] = result.load_ah;
    out["worst_charge_miss"] = result.worst_charge_balance_error;
    out["worst_energy_miss"] = result.worst_energy_balance_error;
    return out;
}

py::dict hindcast(const std::shared_ptr<const trip::CompiledTrip>& compiled, std::vector<double> clearness,
                  std::vector<double> air_mean_c, std::vector<std::int32_t> replay_start,
                  std::vector<std::int64_t> first_trial, std::int64_t trials, std::uint64_t seed, int threads) {
    const engine::MeasuredDays days{std::move(clearness), std::move(air_mean_c), std::move(replay_start)};
    const ensemble::HindcastOptions options{std::move(first_trial), trials, seed, {threads, 256}};
    bindings::PythonPoll poll(py::none{});
    ensemble::HindcastResult result;
    {
        const py::gil_scoped_release release;
        result = ensemble::hindcast(compiled, days, options, std::ref(poll));
    }
    py::dict out;
    out["cancelled"] = result.cancelled;
    out["raised"] = poll.raised();
    out["first_cutout_h"] = owned(std::move(result.first_cutout_h));
    out["min_soc"] = owned(std::move(result.min_soc));
    return out;
}

py::dict trace(const std::shared_ptr<const trip::CompiledTrip>& compiled, const std::vector<std::int64_t>& trials,
               std::uint64_t seed, const std::string& precision, const std::vector<std::string>& names,
               const std::string& instruction_set) {
    const std::vector<engine::Series> series = series_of(names);
    if (trials.empty()) throw base::InputError({.path = "trials", .reason = "at least one trial number is needed"});
    ensemble::Traces t;
    {
        const py::gil_scoped_release release;
        t = ensemble::trace(compiled, seed, precision_of(precision), trials, series, instruction_set);
    }
    py::dict out;
    for (std::size_t p = 0; p < names.size(); ++p) out[names[p].c_str()] = owned(std::move(t.values[p]));
    out["clearness"] = owned(std::move(t.clearness));
    out["drawn"] = owned(std::move(t.drawn));
    return out;
}

}  // namespace

void bind_trip(py::module_& m) {
    bindings::bind_interval(m);
    py::class_<trip::CompiledTrip, std::shared_ptr<trip::CompiledTrip>>(m, "Compiled",
                                                                        "A validated van and trip, immutable.")
        .def(py::init<config::ConfigurationPtr, config::ConfigurationPtr, trip::Clock>(), py::arg("van"),
             py::arg("trip"), py::arg("clock"), py::call_guard<py::gil_scoped_release>())
        .def_property_readonly("hours", &trip::CompiledTrip::hours)
        .def_property_readonly("days", &trip::CompiledTrip::days)
        .def_property_readonly("drawn_days", &trip::CompiledTrip::drawn_days)
        .def_property_readonly("clock", &trip::CompiledTrip::clock)
        .def_property_readonly("utc_offset_h", &trip::CompiledTrip::utc_offset_h, "Of the clock at the start.")
        .def_property_readonly("sky_utc_offset_h", &trip::CompiledTrip::sky_utc_offset_h,
                               "Of the clock whose midnights part the days of the sky.")
        .def_property_readonly("start_hour", &trip::CompiledTrip::start_hour)
        .def_property_readonly("start_date", [](const trip::CompiledTrip& c) { return sun::date_text(c.first_day()); })
        .def_property_readonly("schedule", &bindings::schedule_of,
                               "Drives, shore power and all else that is planned, cut to the trip, in order of time.")
        .def_property_readonly("load_names", &trip::CompiledTrip::load_names)
        .def_property_readonly("warnings", &trip::CompiledTrip::warnings)
        .def_property_readonly("replay_starts", [](const trip::CompiledTrip& c) { return c.replay_starts().size(); })
        .def_property_readonly("starts_over_a_splice", &trip::CompiledTrip::starts_over_a_splice)
        .def_property_readonly("parameter_paths",
                               [](const trip::CompiledTrip& c) {
                                   std::vector<std::string> paths;
                                   for (const auto& s : c.parameters()) paths.push_back(s.path);
                                   return paths;
                               })
        .def_property_readonly(
            "parameter_owners",
            [](const trip::CompiledTrip& c) {
                std::vector<std::string> owners;
                for (const auto& s : c.parameters()) owners.emplace_back(config::name_of(s.owner));
                return owners;
            },
            "To whom each of parameter_paths belongs: 'van', 'person', 'trip' or 'model'.")
        .def_property_readonly(
            "purposes", [](const trip::CompiledTrip& c) { return engine::purposes(c); },
            "What draws are made under: the columns of trial numbers.")
        .def_property_readonly("coordinates",
                               [](const trip::CompiledTrip& c) {
                                   std::vector<std::pair<std::string, int>> named;  // name, day (-1: once a trial)
                                   for (const auto& at : engine::coordinates(c))
                                       named.emplace_back(at.name, at.day.value_or(-1));
                                   return named;
                               })
        .def_property_readonly("spread_parameters", [](const trip::CompiledTrip& c) {
            std::vector<std::size_t> places;  // drawn once a trial; one of each path
            std::set<std::string> seen;
            for (const std::size_t i : engine::spreads_in_order(c))
                if (!c.parameters()[i].daily && seen.insert(c.parameters()[i].path).second) places.push_back(i);
            return places;
        });
    m.def("simulate", &simulate, py::arg("compiled"), py::arg("trials"), py::arg("seed"), py::kw_only(),
          py::arg("first_trial") = 0, py::arg("threads") = 0, py::arg("precision") = "double",
          py::arg("instruction_set") = "", py::arg("trials_per_task") = 256, py::arg("progress") = py::none(),
          py::arg("scores") = py::none(), py::arg("time_series") = std::vector<std::string>{},
          py::arg("listed") = py::none(), py::arg("numbers") = py::none(), py::arg("later") = py::none(),
          py::arg("from_day") = std::vector<int>{});
    m.def("hindcast", &hindcast, py::arg("compiled"), py::kw_only(), py::arg("clearness"), py::arg("air_mean_c"),
          py::arg("replay_start"), py::arg("first_trial"), py::arg("trials"), py::arg("seed"), py::arg("threads") = 0,
          "Trials of a trip through measured days: rows of clearness and mean temperature for a trip whose weather is "
          "generated, else a starting hour of the measured series a row.");
    m.def("trace", &trace, py::arg("compiled"), py::arg("trials"), py::arg("seed"), py::arg("precision"),
          py::arg("time_series"), py::arg("instruction_set") = "");
    m.def(
        "instruction_set", [] { return std::string(engine::instruction_set_named("").name); },
        "Instruction set of the kernel in use: the widest one of the processor, or what RIDETHROUGH_INSTRUCTION_SET "
        "names.");
    m.attr("MOST_THREADS") = ensemble::most_threads;
}
