// The inverter and what is plugged into it: all on its own branch at the posts.
#include "load_plans.hpp"

namespace ridethrough::trip {

using Event = LoadPlanner::Event;

namespace {

// Battery voltage under an inverter's load, at which mains power is turned into a current. Own choice: a healthy
// battery under 100 A; the heat of 1 l boiled at 1.4 kW (about 9.7 Ah in 5 min, common practice, no source) fits it.
constexpr double kInverterV = 12.5;
// Over the hours of a charge. From memory.
constexpr double kChargingV = 12.8;

void idle(LoadPlanner& p) {
    Event e = p.window();
    e.current_slot = p.slot("idle_a");
    e.hours_slot = p.slot("hours");
    e.hours_spread = 0.3;
    e.share_slot = p.slot("share_of_days");
    e.left_on_slot = p.slot("left_on_share");
    e.left_on_until_h = 24 + p.habits.wake_h;
    e.at_posts = true;
    p.add(e);
}

void appliance(LoadPlanner& p) {
    Event e = p.window();
    e.uses = p.record.integer("uses");
    e.current_slot = p.slot("watts");
    e.current_over_slot = p.slot("efficiency");
    e.current_factor = 1 / kInverterV;
    e.hours_slot = p.slot("minutes");
    e.hours_factor = 1.0 / 60;
    e.hours_spread = p.number("minutes_spread");
    e.share_slot = p.slot("use_share");
    e.at_posts = true;
    p.add(e);
}

void e_bike(LoadPlanner& p) {
    Event e = p.window();
    e.uses = p.record.integer("bikes");
    e.current_slot = p.slot("energy_wh");
    e.current_over_slot = p.slot("efficiency");
    e.current_factor = 1 / (kChargingV * p.number("hours"));
    e.hours_slot = p.constant(p.number("hours"));
    e.share_slot = p.slot("charge_share");
    e.at_posts = true;
    e.scaled = false;  // an empty bike takes what it takes
    p.weather_and_days(e);
    p.add(e);
}

}  // namespace

bool plan_inverter(LoadPlanner& p, const std::string& kind) {
    if (kind == "Inverter")
        idle(p);
    else if (kind == "InverterAppliance" || kind == "Kettle" || kind == "InductionHob" || kind == "Microwave" ||
             kind == "HairDryer")
        appliance(p);
    else if (kind == "EBike")
        e_bike(p);
    else
        return false;
    return true;
}

}  // namespace ridethrough::trip
