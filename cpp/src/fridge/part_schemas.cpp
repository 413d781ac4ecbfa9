// What may be added to a fridge: a freezer box, a cover, a fan at the vent, a set-back at night, medicine inside.
#include <array>

#include "ridethrough/config/declare.hpp"
#include "ridethrough/fridge/schemas.hpp"

namespace ridethrough::fridge {
using namespace config;

namespace {

const Schema& freezer_box() {
    static const Schema s{
        "FreezerBox",
        "Box for ice inside the fridge: a second node coupled to the main one. The thermostat stays on the main node, "
        "so the box gets colder the hotter the day.",
        {
            number("volume_l", "l", Variation::fixed, {1, 60}, 8.0, common_practice("a common size"), "inside volume"),
            derived("heat_capacity_kj_per_k", "kJ/K", Variation::trial, {0.5, 200}, own_choice("1.0 a litre"),
                    "heat capacity of what is in it, without melting; not given: from the volume"),
            number("coupling_w_per_k", "W/K", Variation::trial, {0.1, 20}, 1.0, weak(from_memory()),
                   "heat that flows between the box and the rest of the inside per K of difference"),
            number("heat_leak_share", "", Variation::trial, {0.01, 0.9}, 0.1, weak(from_memory()),
                   "share of the whole fridge's heat leak that enters the box"),
            number("cooling_share", "", Variation::trial, {0, 1}, 0.5, weak(from_memory()),
                   "share of the cooling that the box gets; the rest goes to the main inside"),
            number("evaporator_c", "degC", Variation::fixed, {-40, -5}, -18.0, weak(from_memory()),
                   "temperature of the evaporator; without a box it is -12 degC"),
        }};
    return s;
}

const Schema& insulated_cover() {
    static const Schema s{
        "InsulatedCover",
        "Insulated cover around the fridge.",
        {number("heat_leak_factor", "", Variation::trial, {0.3, 1}, Spread::triangular(0.80, 0.85, 0.9),
                from_memory("it saves 10 to 20 %"), "factor on the heat leak with the cover on")}};
    return s;
}

const Schema& vent_fan() {
    static const Schema s{
        "VentFan",
        "Small fan that moves the air behind the fridge while the compressor runs, on the fridge's own cable.",
        {number("current_a", "A", Variation::trial, {0, 3}, 0.15, from_memory(), "current at 12 V while it runs"),
         number("vent_rise_factor", "", Variation::trial, {0, 1}, Spread::triangular(0.2, 0.35, 0.6),
                weak(from_memory()), "what is left of the fridge's vent_rise_k with the fan")}};
    return s;
}

const Schema& night_set_back() {
    static const Schema s{
        "NightSetBack",
        "Warmer set point in some hours of the night. Food must stay at or below 5 degC.",
        {number("rise_k", "K", Variation::fixed, {0, 5}, 1.0, own_choice(), "how much warmer the thermostat is set"),
         integer("from_h", "h", {0, 23}, 22.0, own_choice(), "clock hour in which it begins"),
         integer("to_h", "h", {0, 23}, 7.0, own_choice(), "clock hour in which it ends")},
        [](const Configuration& r) {
            if (r.integer("from_h") == r.integer("to_h"))
                throw InputError({.path = "NightSetBack.to_h",
                                  .value = number_text(r.number("to_h")),
                                  .unit = "h",
                                  .reason = "must differ from from_h"});
        }};
    return s;
}

const Schema& medicine() {
    static const Schema s{
        "Medicine",
        "Medicine in the fridge that has to stay at 2 to 8 degC and must not freeze: an outcome of its own, with no "
        "pass mark. It needs an independent, tested back-up.",
        {number("coldest_place_k", "K", Variation::trial, {-20, 0}, Spread::triangular(-4, -2, -0.5),
                weak(from_memory()),
                "coldest place against the fridge's node; beside the plate of a camping fridge "
                "things freeze"),
         number("warmest_place_k", "K", Variation::trial, {0, 20}, Spread::triangular(0.5, 1.5, 4), weak(from_memory()),
                "warmest place against the fridge's node, near the lid or in the door")}};
    return s;
}

}  // namespace

std::span<const Schema* const> fridge_part_schemas() {
    static const std::array<const Schema*, 5> all{&freezer_box(), &insulated_cover(), &vent_fan(), &night_set_back(),
                                                  &medicine()};
    return all;
}

}  // namespace ridethrough::fridge
