// Lights, evenings with guests.
#include <algorithm>

#include "load_plans.hpp"

namespace ridethrough::trip {

using Event = LoadPlanner::Event;

namespace {

// Each person beyond a couple adds .5 Ah to a usual 4 Ah a day, from memory.
double share_of_party(double persons) { return persons > 0 ? std::max(0.5, 1 + 0.125 * (persons - 2)) : 0; }

void lights(LoadPlanner& p) {
    Event evening = p.window(0, 0);
    evening.from = Event::From::dusk;
    evening.to = Event::To::bedtime;
    evening.end_h = p.habits.bedtime_h;
    evening.end_spread_h = p.number("bedtime_spread_h");
    evening.wet_early_h = p.number("rain_hours");
    Event morning = p.window(0, 0);
    morning.from = Event::From::wake;
    morning.to = Event::To::dawn;
    for (Event* e : {&evening, &morning}) {
        e->current_slot = p.slot("current_a");
        e->current_factor = share_of_party(p.habits.persons);
        p.add(*e);
    }
}

void outside_light(LoadPlanner& p) {
    Event e = p.window(0, 0);
    e.from = Event::From::dusk;
    e.current_slot = p.slot("current_a");
    e.hours_slot = p.slot("hours");
    e.hours_spread = 0.3;
    e.share_slot = p.slot("share_of_days");
    e.left_on_slot = p.slot("left_on_share");
    e.left_on_until_h = 24 + p.habits.wake_h;
    e.only_above = true;
    e.condition_hour = 21;
    e.condition_c = p.number("used_above_c");
    p.weather_and_days(e);
    p.add(e);
}

void guest_evening(LoadPlanner& p) {
    Event e = p.window(0, 0);
    e.from = Event::From::dusk;
    e.current_slot = p.slot("charge_ah");
    e.current_factor = 1 / p.number("hours");
    e.hours_slot = p.constant(p.number("hours"));
    e.share_slot = p.slot("share_of_days");
    e.scaled = false;
    e.stationary_only = p.record.text("nights") == "stationary";
    p.add(e);
}

}  // namespace

bool plan_light(LoadPlanner& p, const std::string& kind) {
    if (kind == "Lights")
        lights(p);
    else if (kind == "OutsideLight")
        outside_light(p);
    else if (kind == "GuestEvening")
        guest_evening(p);
    else
        return false;
    return true;
}

}  // namespace ridethrough::trip
