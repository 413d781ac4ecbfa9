#include "load_plans.hpp"

#include <algorithm>

namespace ridethrough::trip {

namespace {

using Event = load::EventPlan<double>;

Event window(int index, double earliest_h, double latest_h) {
    Event e;
    e.load = index;
    e.earliest_h = earliest_h;
    e.latest_h = latest_h;
    return e;
}

}  // namespace

int add_load(const base::Record& load, int index, const DayHabits& habits, const SlotOf& slot,
             const ConstantSlot& constant, LoadPlans& plans) {
    const std::string& kind = load.schema().name;
    std::vector<Event> events;
    if (kind == "Standby") {
        plans.standbys.push_back({index, slot(load, "current_a")});
    } else if (kind == "Fan") {
        plans.fans.push_back(
            {index, slot(load, "current_a"), load.number("starts_above_c"), load.number("full_above_c")});
    } else if (kind == "Lights") {
        Event evening = window(index, 0, 0);
        evening.from = Event::From::dusk;
        evening.to = Event::To::bedtime;
        evening.end_h = habits.bedtime_h;
        evening.end_spread_h = load.number("bedtime_spread_h");
        Event morning = window(index, 0, 0);
        morning.from = Event::From::wake;
        morning.to = Event::To::dawn;
        for (Event* e : {&evening, &morning}) {
            e->current_slot = slot(load, "current_a");
            events.push_back(*e);
        }
    } else if (kind == "WaterPump") {
        Event e = window(index, habits.wake_h, habits.bedtime_h);
        e.uses = 3;
        e.current_slot = slot(load, "current_a");
        e.hours_slot = slot(load, "water_l_per_day");
        e.hours_factor = 1.0 / (3 * 60 * load.number("flow_l_per_min"));
        e.hours_spread = 0.3;
        events.push_back(e);
    } else if (kind == "Phones") {
        Event e = window(index, 17, 21);
        e.current_slot = slot(load, "charge_ah");
        e.current_factor = load.number("count") / load.number("hours");
        e.hours_slot = constant(load.number("hours"));
        e.hours_spread = 0.2;
        events.push_back(e);
    } else if (kind == "Laptop") {
        Event e = window(index, load.number("earliest_h"), load.number("latest_h"));
        e.current_slot = slot(load, "current_a");
        e.hours_slot = slot(load, "hours");
        e.share_slot = slot(load, "share_of_days");
        e.hours_spread = 0.3;
        events.push_back(e);
    } else if (kind == "Heater") {
        const double spread = load.number("start_spread_h");
        for (const char* time : {"morning_h", "evening_h"}) {
            const bool morning = time[0] == 'm';
            const double middle = load.number(time);
            Event e = window(index, std::max(0.0, middle - spread), std::min(24.0, middle + spread));
            e.current_slot = slot(load, "current_a");
            e.start_current_slot = slot(load, "glow_a");
            e.start_hours = load.number("glow_min") / 60;
            e.hours_slot = slot(load, "hours");
            e.hours_spread = 0.25;
            if (!morning) e.share_slot = slot(load, "evening_use");
            e.only_below = true;
            e.condition_hour = std::min(23, static_cast<int>(middle));
            e.condition_c = load.number("runs_below_c");
            events.push_back(e);
        }
    } else if (kind == "Inverter") {
        Event e = window(index, load.number("earliest_h"), load.number("latest_h"));
        e.current_slot = slot(load, "idle_a");
        e.hours_slot = slot(load, "hours");
        e.hours_spread = 0.3;
        e.share_slot = slot(load, "share_of_days");
        e.left_on_slot = slot(load, "left_on_share");
        e.left_on_until_h = 24 + habits.wake_h;
        e.at_posts = true;
        events.push_back(e);
    } else {  // Appliance
        Event e = window(index, load.number("earliest_h"), load.number("latest_h"));
        e.uses = load.integer("uses");
        e.current_slot = slot(load, "current_a");
        e.hours_slot = slot(load, "minutes");
        e.hours_factor = 1.0 / 60;
        e.hours_spread = load.number("minutes_spread");
        e.share_slot = slot(load, "use_share");
        if (load.number("start_min") > 0) {
            e.start_current_slot = slot(load, "start_a");
            e.start_hours = load.number("start_min") / 60;
        }
        e.at_posts = load.text("feed") == "inverter";
        events.push_back(e);
    }

    int words = 0;
    for (Event& e : events) {
        e.first_word = words;
        words += e.uses * (e.left_on_slot >= 0 ? 3 : 2);
    }
    for (Event& e : events) {
        e.words_a_day = words;
        plans.events.push_back(e);
    }
    return words;
}

}  // namespace ridethrough::trip
