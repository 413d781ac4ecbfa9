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
    HeaterPlan<double> heater;
};

struct DayHabits {
    double wake_h, bedtime_h;
    double persons = 2;
};

// One load on its way to plans.
class LoadPlanner {
  public:
    using Event = load::EventPlan<double>;

    LoadPlanner(const base::Record& load, int index, const DayHabits& day, const SlotOf& slot_of,
                const ConstantSlot& constant_slot, LoadPlans& plans)
        : record(load), habits(day), index_(index), slot_of_(slot_of), constant_(constant_slot), plans_(plans) {}

    const base::Record& record;
    const DayHabits& habits;

    double number(const char* field) const { return record.number(field); }
    int slot(const char* field) const { return slot_of_(record, field); }
    int constant(double value) const { return constant_(value); }
    // A use that begins between two clock hours.
    Event window(double earliest_h, double latest_h) const;
    Event window() const { return window(number("earliest_h"), number("latest_h")); }
    // What the load declares of rain and weekdays, where it has such fields.
    void weather_and_days(Event& e) const;
    void add(const Event& e) { events_.push_back(e); }
    void add_fan();
    void add_standby();
    void add_heater(HeaterPlan<double> heater);  // InputError where the van has one already
    int finish();  // words a day

  private:
    int index_;
    const SlotOf& slot_of_;
    const ConstantSlot& constant_;
    LoadPlans& plans_;
    std::vector<Event> events_;
    int other_words_ = 0;  // a day, of a heater
};

// Each plans the kinds of its subject; false for any other.
bool plan_light(LoadPlanner& p, const std::string& kind);
bool plan_screen(LoadPlanner& p, const std::string& kind);
bool plan_comfort(LoadPlanner& p, const std::string& kind);
bool plan_inverter(LoadPlanner& p, const std::string& kind);
bool plan_other(LoadPlanner& p, const std::string& kind);

// Appends the plans of load number `index`; the first words of its events count from 0 within the load. Returns the
// words that the load takes a day.
int add_load(const base::Record& load, int index, const DayHabits& habits, const SlotOf& slot,
             const ConstantSlot& constant, LoadPlans& plans);

}  // namespace ridethrough::trip
