#include "schedule.hpp"

#include <cmath>

#include "ridethrough/sun/calendar.hpp"

namespace ridethrough::bindings {

namespace {

std::string clock_text(const trip::CompiledTrip& of, double since_start_h) {
    const double hour = of.start_hour() + of.clock().clock_elapsed_h(since_start_h), day = std::floor(hour / 24);
    return sun::date_text(sun::ClockTime{of.first_day() + static_cast<int>(day), hour - 24 * day});
}

}  // namespace

std::vector<ClockInterval> schedule_of(const trip::CompiledTrip& compiled) {
    std::vector<ClockInterval> out;
    for (const trip::Interval& i : compiled.schedule())
        out.push_back({i, clock_text(compiled, i.begin_h), clock_text(compiled, i.end_h)});
    return out;
}

void bind_interval(py::module_& m) {
    py::class_<ClockInterval>(m, "Interval",
                              "Something that a trip plans, from begin to end; a moment where they are equal.")
        .def_property_readonly(
            "kind", [](const ClockInterval& i) { return std::string(trip::name_of(i.interval.activity)); },
            "'drive', 'day_trip', 'idling', 'generator', 'shore_power', 'water', 'warm_food' or 'storage'.")
        .def_property_readonly(
            "path", [](const ClockInterval& i) { return i.interval.path; },
            "Of what plans it: 'trip.drives.1', 'trip.stops.lake'.")
        .def_property_readonly(
            "day", [](const ClockInterval& i) { return i.interval.day; },
            "On which it begins, or whose night it is: counted from 1, the day of the start.")
        .def_property_readonly(
            "begin_h", [](const ClockInterval& i) { return i.interval.begin_h; }, "Hours since the start.")
        .def_property_readonly(
            "end_h", [](const ClockInterval& i) { return i.interval.end_h; }, "Hours since the start.")
        .def_readonly("begin", &ClockInterval::begin, "Clock time, '2026-11-07 10:00'.")
        .def_readonly("end", &ClockInterval::end, "Clock time.")
        .def("__repr__", [](const ClockInterval& i) {
            return "<Interval " + std::string(trip::name_of(i.interval.activity)) + ", " + i.begin + " to " + i.end +
                   ">";
        });
}

}  // namespace ridethrough::bindings
