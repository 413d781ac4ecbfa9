// Fields that every battery is declared with, and checks of them. Internal to the layer.
#pragma once

#include <array>
#include <vector>

#include "ridethrough/config/declare.hpp"

namespace ridethrough::battery {

inline void check_rising(const config::Configuration& r, const char* field) {
    const auto& v = r.numbers(field);
    for (std::size_t i = 1; i < v.size(); ++i)
        if (!(v[i] > v[i - 1]))
            throw base::InputError({.path = r.schema().name + "." + field + "[" + std::to_string(i) + "]",
                                    .value = base::number_text(v[i]),
                                    .reason = "must be above the value before it, " + base::number_text(v[i - 1])});
}

inline void check_above(const config::Configuration& r, const char* upper, const char* lower) {
    if (!(r.number(upper) > r.number(lower)))
        throw base::InputError(
            {.path = r.schema().name + "." + upper,
             .value = base::number_text(r.number(upper)),
             .unit = "V",
             .reason = std::string("must be above ") + lower + " = " + base::number_text(r.number(lower)) + " V"});
}

inline config::Field initial_soc() {
    return config::formerly(
        "start_charge",
        config::number("initial_soc", "", config::Variation::trial, {0, 1}, config::Spread::triangular(0.9, 1.0, 1.0),
                       config::from_memory("most owners leave with a full battery"),
                       "share of the full charge that is in the battery when the trip starts, or the storage before it",
                       config::Owner::person));
}
inline config::Field cabin_share() {
    return config::derived(
        "cabin_share", "", config::Variation::trial, {0, 1},
        config::own_choice("by location, 1 in the living space, else 0"),
        "where the battery lives: 1 in the living space, 0 in an unheated locker at outdoor temperature; not "
        "given: as its location says");
}
inline config::Field location() {
    return config::choice(
        "location", {"living_space", "locker", "engine_bay"}, "living_space", config::own_choice(),
        "living_space follows the cabin's temperature, locker the outdoor air, engine_bay the outdoor air and "
        "the engine's heat on drives; lead-acid in the living space needs a box vented to the outside, lithium "
        "there is allowed only where the local code says so");
}
inline config::Field engine_bay_rise() {
    return config::number(
        "engine_bay_rise_k", "K", config::Variation::fixed, {0, 80}, 35.0, config::weak(config::from_memory()),
        "rise of the engine bay over the outdoor air on a long drive: reached with a time constant of 0.5 h, lost "
        "with one of 2 h; used with location = engine_bay");
}
inline config::Field age_years() {
    return config::derived(
        "age_years", "years", config::Variation::fixed, {0, 15}, config::own_choice("as new"),
        "age, which sets state_of_health and resistance_mohm_100ah where these are at their defaults: health "
        "falls in a straight line to .55/.75/.90 (AGM) or .85/.92/.98 (lithium) at 5 years, resistance "
        "rises by a fifth (AGM, at most threefold) or a twentieth (lithium) a year; from memory");
}
inline config::Field measured_capacity() {
    return config::derived("measured_capacity_ah", "Ah", config::Variation::trial, {1, 2000},
                           config::own_choice("capacity_ah x state_of_health"),
                           "capacity now, measured at about the 20-hour rate and 25 degC, in place of capacity_ah x "
                           "state_of_health");
}
inline config::Field battery_name() {
    config::Field f = config::text("name", std::monostate{}, "name of the battery in paths where a van has several");
    f.optional = true;
    f.source = config::own_choice("its place in the list");
    return f;
}
inline std::vector<config::Moved> moved_fields() {
    return {{"second", "Van.batteries", "Van(batteries=[AgmBattery(capacity_ah=100), AgmBattery(capacity_ah=90)])",
             "[van.batteries.first] and [van.batteries.second] in place of [van.battery]"}};
}
inline config::Field thermal_lag() {
    return config::number("thermal_lag_h", "h", config::Variation::trial, {0.1, 72}, 8.0, config::from_memory(),
                          "time constant with which the battery follows the air around it");
}

// Health after some years: a triangular spread whose three corners move in straight lines through those of 5 years.
config::Spread aged_share(std::array<double, 3> fresh, std::array<double, 3> five, double years);

}  // namespace ridethrough::battery
