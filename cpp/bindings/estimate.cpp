// Intervals, quantiles, paired differences, the stopping rule and the words for a chance.
#include <pybind11/numpy.h>

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bindings.hpp"
#include "ridethrough/stats/interval.hpp"
#include "ridethrough/stats/paired.hpp"
#include "ridethrough/stats/phrasing.hpp"
#include "ridethrough/stats/quantile.hpp"
#include "ridethrough/stats/stopping.hpp"

namespace {

namespace est = ridethrough::stats;
using est::Estimate;
using ridethrough::base::InputError;
using ridethrough::base::number_text;

py::object events_of(const Estimate& e) {
    return e.events == Estimate::not_counted ? py::object(py::none()) : py::cast(e.events);
}
py::tuple state_of(const Estimate& e) {
    return py::make_tuple(e.value, e.low, e.high, events_of(e), e.trials, e.confidence);
}
Estimate make(double value, double low, double high, std::optional<std::int64_t> events, std::int64_t trials,
              double confidence) {
    est::require_confidence(confidence);
    if (events)
        est::require_counts(*events, trials);
    else
        est::require_trials(trials);
    if (!(low <= value && value <= high))
        throw InputError({.path = "value",
                          .value = number_text(value),
                          .allowed = "from low = " + number_text(low) + " to high = " + number_text(high)});
    return {value, low, high, events.value_or(Estimate::not_counted), trials, confidence};
}
std::string repr(const Estimate& e) {
    return "Estimate(value=" + number_text(e.value) + ", low=" + number_text(e.low) + ", high=" + number_text(e.high) +
           ", events=" + (e.events == Estimate::not_counted ? "None" : std::to_string(e.events)) +
           ", trials=" + std::to_string(e.trials) + ", confidence=" + number_text(e.confidence) + ")";
}

// A list or an array as numbers of our own, so that the GIL may go.
template <class T>
std::vector<T> column(const py::array& values, const char* name) {
    if (values.ndim() != 1)
        throw InputError({.path = name, .reason = std::to_string(values.ndim()) + " dimensions", .allowed = "1"});
    if (std::string("biuf").find(values.dtype().kind()) == std::string::npos)
        throw InputError({.path = name, .allowed = "numbers"});
    const py::array_t<T, py::array::c_style | py::array::forcecast> same(values);
    return {same.data(), same.data() + same.size()};
}

Estimate quantile_interval(const py::object& values, double q, double confidence) {
    const auto numbers = column<double>(py::array(values), "column");
    const py::gil_scoped_release released;  // sorting a million takes a tenth of a second
    return est::quantile_interval(numbers, q, confidence);
}

template <class T>
Estimate difference(const py::array& first, const py::array& second, double confidence) {
    const auto a = column<T>(first, "first"), b = column<T>(second, "second");
    const py::gil_scoped_release released;
    return est::paired_difference(std::span<const T>(a), std::span<const T>(b), confidence);
}
Estimate paired_difference(const py::object& first_column, const py::object& second_column, double confidence) {
    const py::array first(first_column), second(second_column);
    const bool first_is_yes_no = first.dtype().kind() == 'b', second_is_yes_no = second.dtype().kind() == 'b';
    if (first_is_yes_no != second_is_yes_no)
        throw InputError(
            {.path = "paired columns", .reason = "one is of bool and one is not", .allowed = "both or neither"});
    return first_is_yes_no ? difference<std::uint8_t>(first, second, confidence)
                           : difference<double>(first, second, confidence);
}

}  // namespace

void bind_estimate(py::module_& m) {
    py::class_<Estimate>(m, "Estimate", "A number estimated from trials, with its interval: sampling error alone.")
        .def(py::init(&make), py::kw_only(), py::arg("value"), py::arg("low"), py::arg("high"), py::arg("events"),
             py::arg("trials"), py::arg("confidence") = 0.95)
        .def_readonly("value", &Estimate::value, "The estimate.")
        .def_readonly("low", &Estimate::low, "Lower limit.")
        .def_readonly("high", &Estimate::high, "Upper limit.")
        .def_property_readonly("events", &events_of, "Trials in which it happened; None if this is no probability.")
        .def_readonly("trials", &Estimate::trials, "Number of trials.")
        .def_readonly("confidence", &Estimate::confidence, "Share of such intervals that cover the truth.")
        .def_property_readonly("half_width", &Estimate::half_width, "Half the distance between the limits.")
        .def(
            "__eq__", [](const Estimate& a, const Estimate& b) { return a == b; }, py::is_operator())
        .def("__hash__", [](const Estimate& e) { return py::hash(state_of(e)); })
        .def("__repr__", &repr)
        .def(py::pickle(&state_of, [](const py::tuple& s) {
            return make(s[0].cast<double>(), s[1].cast<double>(), s[2].cast<double>(),
                        s[3].cast<std::optional<std::int64_t>>(), s[4].cast<std::int64_t>(), s[5].cast<double>());
        }));

    m.def("wilson", &est::wilson, py::arg("events"), py::arg("trials"), py::arg("confidence") = 0.95,
          "Share of trials with an event and its score interval (Wilson 1927).");
    m.def(
        "score_interval",
        [](double share, double trials, double confidence) {
            const est::Ends ends = est::score_interval(share, trials, confidence);
            return std::pair(ends.low, ends.high);
        },
        py::arg("share"), py::arg("trials"), py::arg("confidence") = 0.95,
        "Ends of the score interval of a share of so many trials, which need not be whole.");
    m.def("clopper_pearson", &est::clopper_pearson, py::arg("events"), py::arg("trials"), py::arg("confidence") = 0.95,
          "Share of trials with an event and its exact tail interval (Clopper and Pearson 1934): never too short.");
    m.def("quantile_interval", &quantile_interval, py::arg("column"), py::arg("q"), py::arg("confidence") = 0.95,
          "The q-quantile of a column (an element of it) with distribution-free order-statistic limits.");
    m.def("paired_difference", &paired_difference, py::arg("first"), py::arg("second"), py::arg("confidence") = 0.95,
          "First less second over the same trials. Columns of bool: difference of risks, method 10 of Newcombe 1998\n"
          "for pairs. Columns of numbers: difference of means with Student's interval.");
    m.def(
        "next_block",
        [](std::int64_t events, std::int64_t trials, double half_width, double confidence, std::int64_t block,
           std::int64_t max_trials) {
            return est::next_block(events, trials, {half_width, confidence, block, max_trials});
        },
        py::arg("events"), py::arg("trials"), py::kw_only(), py::arg("half_width"), py::arg("confidence") = 0.95,
        py::arg("block") = 4096, py::arg("max_trials") = 1'000'000,
        "Trials to add before the Wilson interval is as narrow as asked; 0 when it is, or when max_trials is reached.");
    m.def("half_width_reached", &est::half_width_reached, py::arg("estimate"), py::arg("half_width"),
          "Whether the interval is as narrow as asked.");
    m.def("chance_text", &est::chance_text, py::arg("estimate"), "A probability in words: 'About 1 in 8'.");
    m.def("estimate_text", &est::estimate_text, py::arg("estimate"),
          "The figures behind it: '12 %; sampling error alone 11.9-12.9 %, 20,000 trials'.");
}
