// What is charged and looked at: phones, computers, screens, radios.
#include "load_plans.hpp"

namespace ridethrough::trip {

using Event = LoadPlanner::Event;

namespace {

// `count` devices that each take an amount of charge within a time that varies.
Event charging(LoadPlanner& p, double earliest_h, double latest_h, double count) {
    Event e = p.window(earliest_h, latest_h);
    e.current_slot = p.slot("charge_ah");
    e.current_factor = count / p.number("hours");
    e.hours_slot = p.constant(p.number("hours"));
    e.hours_spread = 0.2;
    return e;
}

// Hours at a current, on a share of the days.
Event running(LoadPlanner& p) {
    Event e = p.window();
    e.current_slot = p.slot("current_a");
    e.hours_slot = p.slot("hours");
    e.share_slot = p.slot("share_of_days");
    e.hours_spread = 0.3;
    p.weather_and_days(e);
    return e;
}

}  // namespace

bool plan_screen(LoadPlanner& p, const std::string& kind) {
    if (kind == "Phones") {
        p.add(charging(p, 17, 21, p.record.has("count") ? p.number("count") : p.habits.persons));
    } else if (kind == "Tablets") {
        Event e = charging(p, 14, 21, p.number("count"));
        e.share_slot = p.slot("share_of_days");
        p.weather_and_days(e);
        p.add(e);
    } else if (kind == "Laptop" || kind == "Television" || kind == "InternetTerminal" || kind == "Router" ||
               kind == "Radio" || kind == "BatteryPacks") {
        p.add(running(p));
    } else {
        return false;
    }
    return true;
}

}  // namespace ridethrough::trip
