// The tables of what a trial reports.
#include "ridethrough/engine/results.hpp"

#include "bindings.hpp"

namespace {
namespace engine = ridethrough::engine;

template <class Table>
py::tuple rows(const Table& table) {
    py::list out;
    for (const auto& row : table) out.append(py::cast(row, py::return_value_policy::reference));
    return py::tuple(out);
}

template <class Row>
std::string shown(const char* what, const Row& row) {
    return std::string("<") + what + " " + row.name + ">";
}

}  // namespace

void bind_results(py::module_& m) {
    using engine::CutoutCause, engine::Result, engine::TimeSeriesInfo;
    py::class_<Result>(m, "Result", "Declaration of one result of a trial.")
        .def_readonly("name", &Result::name)
        .def_readonly("unit", &Result::unit, "'1' for a pure number.")
        .def_property_readonly(
            "type", [](const Result& r) { return r.type.name; },
            "'amount', 'hours', 'level', 'time', 'days', 'count', 'flag', 'night' or 'code'.")
        .def_property_readonly(
            "averaged", [](const Result& r) { return r.type.averaged; }, "Whether a mean over trials says something.")
        .def_property_readonly(
            "condition", [](const Result& r) { return engine::text_of(r.condition); },
            "What van or trip must have for it to be filled; 'always' for nothing.")
        .def_property_readonly(
            "absent_without", [](const Result& r) { return engine::absent_without(r.condition); },
            "Whether it is absent without that; else it is 0.")
        .def_readonly("never", &Result::never, "Stands for what did not happen; None where there is no such value.")
        .def_readonly("label", &Result::label, "A few words; of a flag and a night the end of 'the chance that ...'.")
        .def_readonly("doc", &Result::doc)
        .def("__repr__", [](const Result& r) { return shown("Result", r); });
    py::class_<CutoutCause>(m, "CutoutCause", "Declaration of what may drop the fridge.")
        .def_readonly("name", &CutoutCause::name)
        .def_property_readonly("condition", [](const CutoutCause& c) { return engine::text_of(c.condition); })
        .def_readonly("doc", &CutoutCause::doc)
        .def("__repr__", [](const CutoutCause& c) { return shown("CutoutCause", c); });
    py::class_<TimeSeriesInfo>(m, "TimeSeriesInfo", "Declaration of one hourly time series.")
        .def_readonly("name", &TimeSeriesInfo::name)
        .def_readonly("unit", &TimeSeriesInfo::unit, "'1' for a pure number.")
        .def_readonly("type", &TimeSeriesInfo::type, "What of the hour it is: its mean, its end or its lowest.")
        .def_readonly("doc", &TimeSeriesInfo::doc)
        .def("__repr__", [](const TimeSeriesInfo& s) { return shown("TimeSeriesInfo", s); });
    m.attr("RESULTS") = rows(engine::kResults);
    py::dict former;
    for (const auto& [before, now] : engine::kFormerNames) former[before] = now;
    m.attr("FORMER_RESULTS") = former;
    m.attr("CUTOUT_CAUSES") = rows(engine::kCutoutCauses);
    m.attr("TIME_SERIES") = rows(engine::kTimeSeries);
}
