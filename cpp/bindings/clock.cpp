// The clock of a trip, as resolved in Python.
#include "ridethrough/trip/clock.hpp"

#include <pybind11/numpy.h>

#include "bindings.hpp"

namespace {

using ridethrough::trip::Clock;
using Changes = std::vector<std::pair<double, double>>;

Clock make_clock(double utc_offset_h, const Changes& changes, std::string zone, std::string source,
                 std::string zone_data, std::vector<std::string> warnings) {
    Clock clock{utc_offset_h, {}, std::move(zone), std::move(source), std::move(zone_data), std::move(warnings)};
    for (const auto& [at_h, offset] : changes) clock.changes.push_back({at_h, offset});
    return clock;
}

Changes changes_of(const Clock& clock) {
    Changes out;
    for (const Clock::Change& c : clock.changes) out.emplace_back(c.at_h, c.utc_offset_h);
    return out;
}

// Of a replayed trip whose series has full hours on another clock.
double sky_utc_offset_h(double utc_offset_h, double series_utc_offset_h, int step_min) {
    ridethrough::trip::ClockSteps steps({utc_offset_h}, 0, 0, 24, step_min);
    steps.follow_series(series_utc_offset_h);
    return steps.sky_utc_offset_h();
}

}  // namespace

void bind_clock(py::module_& m) {
    py::class_<Clock>(m, "Clock",
                      "The clock of a trip: its offset from UTC at the start, and (hours since the start, offset from "
                      "then on) for each change within the trip.")
        .def(py::init(&make_clock), py::kw_only(), py::arg("utc_offset_h"), py::arg("changes") = Changes{},
             py::arg("zone") = "", py::arg("source") = "", py::arg("zone_data") = "",
             py::arg("warnings") = std::vector<std::string>{})
        .def_readonly("utc_offset_h", &Clock::utc_offset_h, "Clock time ahead of UTC at the start [h].")
        .def_property_readonly("changes", &changes_of)
        .def_readonly("zone", &Clock::zone, "IANA name of the time zone; empty where an offset was given.")
        .def_readonly("source", &Clock::source, "What the zone or the offset comes from.")
        .def_readonly("zone_data", &Clock::zone_data, "Versions of the zones' rules and outlines.")
        .def_readonly("warnings", &Clock::warnings)
        .def("offset_at", py::vectorize(&Clock::offset_at), py::arg("since_start_h"), "Clock time ahead of UTC [h].")
        .def("gone_on_h", py::vectorize(&Clock::clock_elapsed_h), py::arg("since_start_h"),
             "Hours that the clock has gone on since the start.")
        .def("since_start_h", py::vectorize(&Clock::since_start_h), py::arg("gone_on_h"),
             "Hours since the start at which the clock has first gone on so far.")
        .def(
            "__eq__", [](const Clock& a, const Clock& b) { return a == b; }, py::is_operator())
        .def("__repr__",
             [](const Clock& c) {
                 return "<Clock " + (c.zone.empty() ? c.source : c.zone) + ", UTC" + (c.utc_offset_h < 0 ? "" : "+") +
                        ridethrough::base::number_text(c.utc_offset_h) + " h, " + std::to_string(c.changes.size()) +
                        " changes>";
             })
        .def(py::pickle(
            [](const Clock& c) {
                return py::make_tuple(c.utc_offset_h, changes_of(c), c.zone, c.source, c.zone_data, c.warnings);
            },
            [](const py::tuple& s) {
                return make_clock(s[0].cast<double>(), s[1].cast<Changes>(), s[2].cast<std::string>(),
                                  s[3].cast<std::string>(), s[4].cast<std::string>(),
                                  s[5].cast<std::vector<std::string>>());
            }));
    m.def("sky_utc_offset_h", &sky_utc_offset_h, py::arg("utc_offset_h"), py::arg("series_utc_offset_h"),
          py::arg("step_min"), "Offset of the clock whose midnights part the days of a replayed sky [h].");
}
