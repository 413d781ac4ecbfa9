// Heat and cold: fan, heater, blanket.
#include <algorithm>

#include "load_plans.hpp"

namespace ridethrough::trip {

using Event = LoadPlanner::Event;

namespace {

// With a glow start, or the blower of a gas furnace.
void heater(LoadPlanner& p, bool glows) {
    const double spread = p.number("start_spread_h");
    const int starts_above = glows && p.record.has("starts_above_v") ? p.slot("starts_above_v") : -1;
    const bool warms = p.record.has("holds_cabin_c");
    for (const char* time : {"morning_h", "evening_h"}) {
        const bool morning = time[0] == 'm';
        const double middle = p.number(time);
        Event e = p.window(std::max(0.0, middle - spread), std::min(24.0, middle + spread));
        e.current_slot = p.slot("current_a");
        if (glows) {
            e.start_current_slot = p.slot("glow_a");
            e.start_hours = p.number("glow_min") / 60;
            e.starts_above_slot = starts_above;
            e.start_ohm = p.number("supply_mohm") / 1000;
        }
        e.hours_slot = p.slot("hours");
        e.hours_spread = 0.25;
        if (!morning) e.share_slot = p.slot("evening_use");
        e.only_below = true;
        e.condition_hour = std::min(23, static_cast<int>(middle));
        e.condition_c = p.number("runs_below_c");
        e.wet_warmer_k = p.number("rain_warmer_k");
        e.warms_cabin = warms;
        p.add(e);
    }
    if (warms) p.holds_cabin("holds_cabin_c");
}

void electric_blanket(LoadPlanner& p) {
    Event e = p.window(p.habits.bedtime_h, p.habits.bedtime_h);
    e.current_slot = p.slot("current_a");
    e.hours_slot = p.slot("hours");
    e.hours_spread = 0.2;
    e.share_slot = p.slot("share_of_days");
    e.only_below = true;
    e.condition_hour = std::min(23, static_cast<int>(p.habits.bedtime_h));
    e.condition_c = p.number("used_below_c");
    p.add(e);
}

}  // namespace

bool plan_comfort(LoadPlanner& p, const std::string& kind) {
    if (kind == "Fan")
        p.add_fan();
    else if (kind == "Heater")
        heater(p, true);
    else if (kind == "GasFurnace")
        heater(p, false);
    else if (kind == "ElectricBlanket")
        electric_blanket(p);
    else
        return false;
    return true;
}

}  // namespace ridethrough::trip
