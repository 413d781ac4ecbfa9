// Heat and cold: fan, heater, blanket.
#include <algorithm>

#include "load_plans.hpp"

namespace ridethrough::trip {

using Event = LoadPlanner::Event;

namespace {

// Two uses a day, morning and evening; when they start and what they draw follows the cold (cabin/heater.hpp).
void heater(LoadPlanner& p, bool glows) {
    cabin::HeaterPlan<double> h;
    h.holds_slot = p.slot("holds_cabin_c");
    h.night_holds_slot = p.slot("night_holds_c");
    h.switch_on_slot = p.slot("switch_on_below_c");
    h.full_a_slot = p.slot(glows ? "full_a" : "current_a");
    h.low_a_slot = glows ? p.slot("low_a") : h.full_a_slot;
    h.least_share = glows ? p.number("least_share") : 1;
    h.glow_a_slot = glows ? p.slot("glow_a") : p.constant(0);
    h.glow_h = glows ? p.number("glow_min") / 60 : 0;
    h.starts_above_slot = glows ? p.slot("starts_above_v") : p.constant(0);
    h.supply_ohm = glows ? p.number("supply_mohm") / 1000 : 0;
    h.power_w = p.number("power_w");
    h.all_night = p.record.flag("all_night");
    h.evening_from_h = p.number("evening_from_h");
    h.morning_until_h = p.number("morning_until_h");
    h.start_spread_h = p.number("start_spread_h");
    p.add_heater(h);
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
