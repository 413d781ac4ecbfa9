#include "load_plans.hpp"

#include <stdexcept>

namespace ridethrough::trip {

LoadPlanner::Event LoadPlanner::window(double earliest_h, double latest_h) const {
    Event e;
    e.load = index_;
    e.earliest_h = earliest_h;
    e.latest_h = latest_h;
    return e;
}

void LoadPlanner::weather_and_days(Event& e) const {
    for (const config::Field& f : record.schema().fields) {
        if (f.name == "rain_factor") e.wet_hours_factor = number("rain_factor");
        if (f.name == "rain_share_factor") e.wet_share_factor = number("rain_share_factor");
        if (f.name == "days" && record.text("days") != "all")
            e.days = record.text("days") == "workdays" ? Event::Days::workdays : Event::Days::weekends;
    }
}

void LoadPlanner::add_fan() {
    plans_.fans.push_back({index_, slot("current_a"), number("starts_above_c"), number("full_above_c"), -1});
}

void LoadPlanner::add_standby() { plans_.standbys.push_back({index_, slot("current_a")}); }

void LoadPlanner::add_heater(cabin::HeaterPlan<double> heater) {
    if (plans_.heater.load >= 0)
        throw base::InputError("Van.loads." + record.text("name") +
                               ": a van has one heater; take the other away, or make it an Appliance");
    heater.load = index_;
    plans_.heater = heater;
    other_words_ = cabin::kHeaterUses;
}

int LoadPlanner::finish() {
    int words = 0;
    for (Event& e : events_) {
        e.first_word = words;
        words += e.uses * (e.left_on_slot >= 0 ? 3 : 2);
    }
    for (Event& e : events_) {
        e.words_a_day = words;
        plans_.events.push_back(e);
    }
    return words + other_words_;
}

int add_load(const config::Record& load, int index, const DayHabits& habits, const SlotOf& slot,
             const ConstantSlot& constant, LoadPlans& plans) {
    LoadPlanner planner(load, index, habits, slot, constant, plans);
    const std::string& kind = load.schema().name;
    for (const auto plan : {plan_light, plan_screen, plan_comfort, plan_inverter, plan_other})
        if (plan(planner, kind)) return planner.finish();
    throw std::logic_error("no plan for a load of the kind " + kind);
}

}  // namespace ridethrough::trip
