// From the declared loads to event plans. Internal to compile.cpp.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "ridethrough/base/record.hpp"
#include "ridethrough/trip/plan.hpp"

namespace ridethrough::trip {

// Gives a field of a load its slot in the trial's parameters.
using SlotOf = std::function<int(const base::Record& load, const char* field)>;
// A slot that holds a constant.
using ConstantSlot = std::function<int(double value)>;

struct LoadPlans {
    std::vector<load::EventPlan<double>> events;
    std::vector<FanPlan<double>> fans;
    std::vector<StandbyPlan> standbys;
};

struct DayHabits {
    double wake_h, bedtime_h;
};

// Appends the plans of load number `index`; the first words of its events count from 0 within the load. Returns the
// words that the load takes a day.
int add_load(const base::Record& load, int index, const DayHabits& habits, const SlotOf& slot,
             const ConstantSlot& constant, LoadPlans& plans);

}  // namespace ridethrough::trip
