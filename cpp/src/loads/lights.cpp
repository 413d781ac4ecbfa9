// Lights and evenings with guests.
#include <algorithm>

#include "compiler.hpp"
#include "fields.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& lights_schema() {
    static const Schema s{
        "Lights",
        "Lighting from dusk to bedtime.",
        {name_field("lights"), current({0, 20}, Spread::triangular(0.3, 0.8, 1.9)),
         number("bedtime_spread_h", "h", Variation::fixed, {0, 3}, 0.75, from_memory(),
                "bedtime varies by up to this much either way"),
         formerly("rain_hours", number("rain_earlier_h", "h", Variation::fixed, {0, 8}, 2.0, from_memory(),
                                       "on this much earlier on a rainy day; needs Trip.party"))}};
    return s;
}
const Schema& outside_light() {
    static const Schema s{
        "OutsideLight",
        "Light under the awning, from dusk on warm evenings, now and then left on overnight.",
        {name_field("outside_light"), current({0, 20}, Spread::triangular(0.3, 0.6, 1.2)),
         hours_field({0, 12}, Spread::triangular(0.5, 1.5, 4), "hours on an evening it is used"),
         daily_probability(0.6),
         number("used_above_c", "degC", Variation::fixed, {-40, 40}, 12.0, weak(from_memory()),
                "it is used when the outdoor temperature at 21 h is above this"),
         rain_probability_factor(0.3, weak(from_memory())),
         formerly("left_on_share", number("left_on_probability", "", Variation::trial, {0, 1}, 0.05, from_memory(),
                                          "chance that it is left on until the next waking hour", Owner::person))}};
    return s;
}
const Schema& guest_evening() {
    static const Schema s{"GuestEvening",
                          "An evening with guests: more light, music and cold drinks, as one draw from dusk on.",
                          {name_field("guest_evening"),
                           number("charge_ah", "Ah", Variation::trial, {0, 60}, Spread::triangular(8, 11, 15),
                                  from_memory(), "taken from the battery on such an evening", Owner::person),
                           formerly("hours", number("duration_h", "h", Variation::fixed, {0.5, 10}, 4.0, own_choice(),
                                                    "how long it lasts")),
                           daily_probability(0.1),
                           choice("nights", {"all", "stationary"}, "all", own_choice(),
                                  "stationary: only on days on which the van is not driven")}};
    return s;
}

// Each person beyond a couple adds .5 Ah to a usual 4 Ah a day, from memory.
double share_of_party(double persons) { return persons > 0 ? std::max(0.5, 1 + 0.125 * (persons - 2)) : 0; }

void compile_lights(LoadCompiler& p) {
    EventModel evening = p.window(0, 0);
    evening.from = EventModel::From::dusk;
    evening.to = EventModel::To::bedtime;
    evening.end_h = p.habits.bedtime_h;
    evening.end_spread_h = p.number("bedtime_spread_h");
    evening.wet_early_h = p.number("rain_earlier_h");
    EventModel morning = p.window(0, 0);
    morning.from = EventModel::From::wake;
    morning.to = EventModel::To::dawn;
    for (EventModel* e : {&evening, &morning}) {
        e->current = p.parameter("current_a");
        e->current_factor = share_of_party(p.habits.persons);
        p.add(*e);
    }
}

void compile_outside_light(LoadCompiler& p) {
    EventModel e = p.window(0, 0);
    e.from = EventModel::From::dusk;
    e.current = p.parameter("current_a");
    e.hours = p.parameter("duration_h");
    e.hours_spread = 0.3;
    e.share = p.parameter("daily_probability");
    e.left_on_probability = p.parameter("left_on_probability");
    e.left_on_until_h = 24 + p.habits.wake_h;
    e.only_above = true;
    e.condition_hour = 21;
    e.condition_c = p.number("used_above_c");
    p.weather_and_days(e);
    p.add(e);
}

void compile_guest_evening(LoadCompiler& p) {
    EventModel e = p.window(0, 0);
    e.from = EventModel::From::dusk;
    e.current = p.parameter("charge_ah");
    e.current_factor = 1 / p.number("duration_h");
    e.hours = p.constant(p.number("duration_h"));
    e.share = p.parameter("daily_probability");
    e.scaled = false;
    e.stationary_only = p.configuration.text("nights") == "stationary";
    p.add(e);
}

}  // namespace

std::span<const LoadType> lights() {
    static constexpr LoadType types[] = {{lights_schema, compile_lights},
                                         {outside_light, compile_outside_light},
                                         {guest_evening, compile_guest_evening}};
    return types;
}

}  // namespace ridethrough::loads
