// Trips given what meters have shown.
#include <pybind11/eigen.h>
#include <pybind11/numpy.h>

#include <functional>
#include <map>
#include <optional>

#include "bindings.hpp"
#include "ensemble.hpp"
#include "ridethrough/forecast/estimates.hpp"
#include "ridethrough/forecast/posterior.hpp"
#include "tables.hpp"

namespace {
using namespace ridethrough;
using forecast::MeterReading;

template <class Choice>
Choice choice(const char* path, const std::string& name, const std::map<std::string, Choice>& all) {
    if (const auto found = all.find(name); found != all.end()) return found->second;
    std::string names;
    for (const auto& [one, value] : all) names += (names.empty() ? "\"" : ", \"") + one + "\"";
    throw base::InputError({.path = path, .value = "\"" + name + "\"", .allowed = names});
}

MeterReading reading(const std::string& quantity, double hour, double low, double high, double sd, double relative_sd,
                     const std::string& bias, double bias_sd, double bias_relative_sd, const std::string& at,
                     std::optional<bool> compressor, std::optional<double> loads_w, bool nothing_charges,
                     std::optional<double> since_full_h) {
    using forecast::Place;
    using forecast::Quantity;
    return {
        choice<Quantity>("quantity", quantity,
                         {{"soc", Quantity::soc},
                          {"ah_used", Quantity::ah_used},
                          {"ah_left", Quantity::ah_left},
                          {"volts", Quantity::volts},
                          {"amps", Quantity::amps},
                          {"yield_wh", Quantity::yield_wh},
                          {"fridge_c", Quantity::fridge_c}}),
        hour,
        low,
        high,
        sd,
        relative_sd,
        bias,
        bias_sd,
        bias_relative_sd,
        choice<Place>("at", at, {{"terminals", Place::terminals}, {"panel", Place::panel}, {"fridge", Place::fridge}}),
        compressor,
        loads_w,
        nothing_charges,
        since_full_h};
}

py::dict weigh(const std::shared_ptr<const trip::CompiledTrip>& compiled, const std::vector<MeterReading>& readings,
               double now_h, std::int64_t trials, std::uint64_t seed, std::int64_t first_trial, int threads,
               bool kept_on, const py::object& progress) {
    if (!(trials > 0))
        throw base::InputError({.path = "trials", .value = std::to_string(trials), .allowed = "1 or more"});
    if (first_trial < 0)
        throw base::InputError({.path = "first_trial", .value = std::to_string(first_trial), .allowed = "0 or more"});
    bindings::PythonPoll poll(progress);
    forecast::Weighed result;
    {
        const py::gil_scoped_release release;
        result = forecast::weigh(compiled, {readings, now_h, kept_on}, first_trial, trials, seed, {threads, 256},
                                 std::ref(poll));
    }
    py::dict out;
    out["log_likelihood"] = py::array_t<double>(std::ssize(result.log_likelihood), result.log_likelihood.data());
    out["cancelled"] = result.cancelled;
    out["raised"] = poll.raised();
    return out;
}

py::dict sample_posterior(const std::shared_ptr<const trip::CompiledTrip>& compiled,
                          const std::vector<MeterReading>& readings, double now_h, std::uint64_t seed, int particles,
                          int replicates, int moves, int threads, bool kept_on, const py::object& progress) {
    bindings::PythonPoll poll(progress);
    forecast::Sample result;
    {
        const py::gil_scoped_release release;
        result = forecast::sample(compiled, {readings, now_h, kept_on}, {seed, particles, replicates, moves, threads},
                                  std::ref(poll));
    }
    py::dict out;
    out["scores"] = py::cast(std::move(result.copies.scores));
    out["numbers"] = py::cast(std::move(result.copies.numbers));
    out["log_evidence"] = py::array_t<double>(std::ssize(result.log_evidence), result.log_evidence.data());
    out["stages"] = result.stages;
    out["accepted"] = result.accepted;
    out["cancelled"] = result.cancelled;
    out["raised"] = poll.raised();
    return out;
}

using bindings::Numbers;

// Of one dimension, without a copy.
template <class T>
std::span<const T> span_of(const Numbers<T>& values) {
    return {values.data(), static_cast<std::size_t>(values.size())};
}

}  // namespace

void bind_forecast(py::module_& m) {
    py::class_<MeterReading>(m, "MeterReading", "A meter's reading in numbers, with its errors.")
        .def(py::init(&reading), py::arg("quantity"), py::arg("hour"), py::arg("low"), py::arg("high"), py::arg("sd"),
             py::arg("relative_sd") = 0.0, py::arg("bias") = "", py::arg("bias_sd") = 0.0,
             py::arg("bias_relative_sd") = 0.0, py::arg("at") = "terminals", py::arg("compressor") = py::none(),
             py::arg("loads_w") = py::none(), py::arg("nothing_charges") = false, py::arg("since_full_h") = py::none());
    m.def(
        "log_likelihood",
        [](const std::vector<MeterReading>& readings, const std::vector<double>& true_values) {
            if (readings.size() != true_values.size())
                throw base::InputError({.path = "true_values", .allowed = "one for each reading"});
            return forecast::log_likelihood(readings, true_values);
        },
        py::arg("readings"), py::arg("true_values"), "Log likelihood of readings where those are the true values.");
    m.def("weigh", &weigh, py::arg("compiled"), py::arg("readings"), py::arg("now_h"), py::arg("trials"),
          py::arg("seed"), py::kw_only(), py::arg("first_trial") = 0, py::arg("threads") = 0, py::arg("kept_on") = true,
          py::arg("progress") = py::none(),
          "Log likelihood of readings for each trial; minus infinity where the fridge was dropped before now.");
    m.def("sample_posterior", &sample_posterior, py::arg("compiled"), py::arg("readings"), py::arg("now_h"),
          py::kw_only(), py::arg("seed"), py::arg("particles") = 1024, py::arg("replicates") = 8, py::arg("moves") = 36,
          py::arg("threads") = 0, py::arg("kept_on") = true, py::arg("progress") = py::none(),
          "Scores and trial numbers of copies that fit the readings, by sequential Monte Carlo in replicates.");
    m.def(
        "weights",
        [](const Numbers<double>& log_likelihood) {
            const forecast::Weights w = forecast::weights(span_of(log_likelihood));
            py::dict out;
            out["share"] = py::array_t<double>(std::ssize(w.share), w.share.data());
            out["effective"] = w.effective;
            out["largest"] = w.largest;
            out["log_mean"] = w.log_mean;
            return out;
        },
        py::arg("log_likelihood"), "Weights whose sum is 1, their effective number, the largest, the log evidence.");
    m.def(
        "weighted_share",
        [](const Numbers<double>& share, const Numbers<std::uint8_t>& event, double confidence) {
            return forecast::weighted_share(span_of(share), span_of(event), confidence);
        },
        py::arg("share"), py::arg("event"), py::arg("confidence") = 0.95,
        "Share of the weight on trials with an event, with its score interval.");
    m.def(
        "weighted_mean",
        [](const Numbers<double>& share, const Numbers<double>& values, double confidence) {
            return forecast::weighted_mean(span_of(share), span_of(values), confidence);
        },
        py::arg("share"), py::arg("values"), py::arg("confidence") = 0.95, "Weighted mean with its interval.");
    m.def("split_days", &forecast::split_days, py::arg("compiled"), py::arg("now_h"),
          "For each purpose the first day of which nothing has been seen by now.");
    m.def(
        "future_scores",
        [](const trip::CompiledTrip& compiled, const Numbers<double>& scores, double now_h, std::uint64_t seed,
           int futures) -> py::object {
            return py::cast(
                forecast::future_scores(compiled, bindings::table_of("scores", scores), now_h, seed, futures));
        },
        py::arg("compiled"), py::arg("scores"), py::arg("now_h"), py::arg("seed"), py::arg("futures"),
        "Scores of that many futures for each copy; the past stays.");
    m.def(
        "future_numbers",
        [](const Numbers<std::int64_t>& numbers, int futures) -> py::object {
            return py::cast(forecast::future_numbers(bindings::table_of("numbers", numbers), futures));
        },
        py::arg("numbers"), py::arg("futures"), "Trial numbers from the split on, one of its own for each future.");
}
