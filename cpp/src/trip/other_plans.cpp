// Water, what is always on, the breathing machine, and any other load.
#include "load_plans.hpp"

namespace ridethrough::trip {

using Event = LoadPlanner::Event;

namespace {

void water_pump(LoadPlanner& p) {
    Event e = p.window(p.habits.wake_h, p.habits.bedtime_h);
    const bool by_person = p.record.has("l_per_person_day");
    e.uses = 3;
    e.current_slot = p.slot("current_a");
    e.hours_slot = p.slot(by_person ? "l_per_person_day" : "water_l_per_day");
    e.hours_factor =
        1.0 / (3 * 60 * p.number("flow_l_per_min")) * (by_person ? p.habits.persons : p.habits.persons / 2);
    e.hours_spread = 0.3;
    e.litres_per_h = 60 * p.number("flow_l_per_min");
    p.add(e);
}

// High until measured; cautious guides count 25 W, and 76 to 80 W with a heated humidifier (from memory).
void breathing_machine(LoadPlanner& p) {
    const bool heated = p.record.text("heated_humidifier") == "yes";
    Event e = p.window(p.habits.bedtime_h, p.habits.bedtime_h);
    e.current_slot = p.record.has("night_ah") ? p.slot("night_ah") : p.constant(heated ? 55 : 20);
    e.current_factor = 1 / p.number("hours");
    e.hours_slot = p.constant(p.number("hours"));
    e.scaled = false;
    e.at_posts = p.record.text("feed") == "inverter";
    p.add(e);
}

void tyre_pump(LoadPlanner& p) {
    Event e = p.window();
    e.current_slot = p.slot("current_a");
    e.hours_slot = p.slot("minutes");
    e.hours_factor = 1.0 / 60;
    e.hours_spread = 0.2;
    e.share_slot = p.slot("share_of_days");
    e.scaled = false;
    p.add(e);
}

void appliance(LoadPlanner& p) {
    Event e = p.window();
    e.uses = p.record.integer("uses");
    e.current_slot = p.slot("current_a");
    e.hours_slot = p.slot("minutes");
    e.hours_factor = 1.0 / 60;
    e.hours_spread = p.number("minutes_spread");
    e.share_slot = p.slot("use_share");
    if (p.number("start_min") > 0) {
        e.start_current_slot = p.slot("start_a");
        e.start_hours = p.number("start_min") / 60;
    }
    e.at_posts = p.record.text("feed") == "inverter";
    p.weather_and_days(e);
    p.add(e);
}

}  // namespace

bool plan_other(LoadPlanner& p, const std::string& kind) {
    if (kind == "WaterPump")
        water_pump(p);
    else if (kind == "Standby" || kind == "Detectors")
        p.add_standby();
    else if (kind == "BreathingMachine")
        breathing_machine(p);
    else if (kind == "TyrePump")
        tyre_pump(p);
    else if (kind == "Appliance")
        appliance(p);
    else
        return false;
    return true;
}

}  // namespace ridethrough::trip
