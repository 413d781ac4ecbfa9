#include "load_fields.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& lights() {
    static const Schema s{"Lights",
                          "Lighting from dusk to bedtime.",
                          {name_field("lights"), current({0, 20}, Spread::triangular(0.3, 0.8, 1.9)),
                           number("bedtime_spread_h", "h", Level::fixed, {0, 3}, 0.75, kMemory,
                                  "bedtime varies by up to this much either way"),
                           number("rain_hours", "h", Level::fixed, {0, 8}, 2.0, kMemory,
                                  "on this much earlier on a rainy day; needs Trip.party")}};
    return s;
}
const Schema& outside_light() {
    static const Schema s{
        "OutsideLight",
        "Light under the awning, from dusk on warm evenings, now and then left on overnight.",
        {name_field("outside_light"), current({0, 20}, Spread::triangular(0.3, 0.6, 1.2)),
         hours_field({0, 12}, Spread::triangular(0.5, 1.5, 4), "hours on an evening it is used"), share_of_days(0.6),
         number("used_above_c", "degC", Level::fixed, {-40, 40}, 12.0, kWeak,
                "it is used when the outdoor temperature at 21 h is above this"),
         rain_share_factor(0.3, kWeak),
         number("left_on_share", "", Level::trial, {0, 1}, 0.05, kMemory,
                "chance that it is left on until the next waking hour")}};
    return s;
}
const Schema& guest_evening() {
    static const Schema s{
        "GuestEvening",
        "An evening with guests: more light, music and cold drinks, as one draw from dusk on.",
        {name_field("guest_evening"),
         number("charge_ah", "Ah", Level::trial, {0, 60}, Spread::triangular(8, 11, 15), kMemory,
                "taken from the battery on such an evening"),
         number("hours", "h", Level::fixed, {0.5, 10}, 4.0, "own choice", "how long it lasts"), share_of_days(0.1),
         choice("nights", {"all", "stationary"}, "all", "own choice",
                "stationary: only on days on which the van is not driven")}};
    return s;
}

}  // namespace

Schemas light_schemas() { return {&lights(), &outside_light(), &guest_evening()}; }

}  // namespace ridethrough::loads
