// From the declared loads to event plans. Internal to compile.cpp.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/engine/plan.hpp"

namespace ridethrough::trip {

// Gives a field of a load its slot in the trial's parameters.
using SlotOf = std::function<int(const config::Record& load, const char* field)>;
// A slot that holds a constant.
using ConstantSlot = std::function<int(double value)>;

struct LoadPlans {
    std::vector<loads::EventPlan<double>> events;
    std::vector<engine::FanPlan<double>> fans;
    std::vector<engine::StandbyPlan> standbys;
    cabin::HeaterPlan<double> heater;
};

struct DayHabits {
    double wake_h, bedtime_h;
    double persons = 2;
};

// One load on its way to plans.
class LoadPlanner {
  public:
    using Event = loads::EventPlan<double>;

    LoadPlanner(const config::Record& load, int index, const DayHabits& day, const SlotOf& slot_of,
                const ConstantSlot& constant_slot, LoadPlans& plans)
        : record(load), habits(day), index_(index), slot_of_(slot_of), constant_(constant_slot), plans_(plans) {}

    const config::Record& record;
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
    void add_heater(cabin::HeaterPlan<double> heater);  // InputError where the van has one already
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
int add_load(const config::Record& load, int index, const DayHabits& habits, const SlotOf& slot,
             const ConstantSlot& constant, LoadPlans& plans);

}  // namespace ridethrough::trip
