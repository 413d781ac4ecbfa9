// The schedule of a compiled trip, for pictures and texts.
#pragma once

#include <string>
#include <vector>

#include "bindings.hpp"
#include "ridethrough/trip/compile.hpp"

namespace ridethrough::bindings {

struct ClockInterval {
    trip::Interval interval;
    std::string begin, end;  // clock times
};

void bind_interval(py::module_& m);
std::vector<ClockInterval> schedule_of(const trip::CompiledTrip& compiled);

}  // namespace ridethrough::bindings
