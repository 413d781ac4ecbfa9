#include "ridethrough/base/math.hpp"
#include "ridethrough/config/declare.hpp"
#include "ridethrough/fridge/schemas.hpp"

namespace ridethrough::fridge {
using namespace config;

namespace {

constexpr double kWarmestFoodC = 5;

// Food stays at or below 5 degC: its temperature follows the middle of the thermostat's band.
void check_set_back(const Configuration& fridge) {
    const ConfigurationPtr back = fridge.part("night_set_back");
    if (!back) return;
    const double rise = back->number("rise_k"), at_night = fridge.number("set_point_c") + rise;
    base::Fault wrong{.path = "Fridge.night_set_back.rise_k", .value = number_text(rise), .unit = "K"};
    if (fridge.has("medicine"))
        wrong.reason = "no set-back with medicine inside; take out night_set_back";
    else if (!(at_night <= kWarmestFoodC))
        wrong.reason = "with set_point_c = " + number_text(fridge.number("set_point_c")) + " degC that is " +
                       number_text(at_night) + " degC; food must stay at or below 5 degC";
    if (!wrong.reason.empty()) throw InputError(std::move(wrong));
}

// Ice in a freezer box would not melt, and beside one the two would trade heat that no equation here has.
void check_ice(const Configuration& fridge) {
    if (!has_ice(fridge) || !fridge.part("freezer_box")) return;
    const auto* kg = std::get_if<double>(&fridge.at("ice_kg"));
    throw InputError({.path = "Fridge.ice_kg",
                      .value = kg ? number_text(*kg) : std::get<Spread>(fridge.at("ice_kg")).text(),
                      .unit = "kg",
                      .reason = "no ice beside a freezer box; take out ice_kg or freezer_box",
                      .allowed = "0 kg with a freezer_box"});
}

void check(const Configuration& fridge) {
    check_set_back(fridge);
    check_ice(fridge);
}

std::vector<std::string> warn_set_back(const Configuration& fridge) {
    const ConfigurationPtr back = fridge.part("night_set_back");
    if (!back) return {};
    const double top = fridge.number("set_point_c") + back->number("rise_k") + fridge.number("hysteresis_k");
    if (!(top > kWarmestFoodC)) return {};
    return {"Fridge.night_set_back.rise_k = " + number_text(back->number("rise_k")) +
            " K: at the top of the thermostat's band the inside gets to " + number_text(top) +
            " degC; food should stay at or below 5 degC"};
}

}  // namespace

bool has_ice(const Configuration& fridge) {
    const auto* kg = std::get_if<double>(&fridge.at("ice_kg"));
    return !kg || *kg > 0;
}

double usual_compressor_w(double volume_l) { return 60 * base::pow(volume_l / 55, 0.3); }

const Schema& fridge_schema() {
    static const Schema schema{
        "Fridge",
        "Compressor fridge: one node for inside air and contents, a thermostat, a compressor at constant power, and "
        "the low-voltage cut-out of its electronics, measured at its terminals.",
        {
            number("volume_l", "l", Variation::fixed, {5, 500}, 55.0, common_practice("a common size"),
                   "inside volume"),
            choice("form", {"chest", "upright"}, "chest", common_practice("a common form"),
                   "chest: opens at the top; upright: opens in front, its doors lose twice as much (from memory) and, "
                   "where ua_w_per_k is not given, its walls 8 % more (from memory: the same consumption as a chest a "
                   "tenth larger)"),
            number("set_point_c", "degC", Variation::fixed, {-2, 12}, 4.0, common_practice("food at or below 5 degC"),
                   "middle of the thermostat's band"),
            number("hysteresis_k", "K", Variation::fixed, {0.2, 5}, 1.0, from_memory(),
                   "the thermostat switches this much above and below the set point"),
            derived("ua_w_per_k", "W/K", Variation::trial, {0.05, 20}, own_choice("a fit, 1.0 (volume/55)^.74"),
                    "heat leak of the closed box; not given: from the volume"),
            number("heat_leak_factor", "", Variation::trial, {0.3, 3}, Spread::triangular(0.8, 1.0, 1.4), from_memory(),
                   "factor on the heat leak: build, seal, cover, age"),
            derived("heat_capacity_kj_per_k", "kJ/K", Variation::trial, {2, 500}, own_choice("30 volume/55"),
                    "heat capacity of the contents; not given: from the volume"),
            derived("compressor_w", "W", Variation::trial, {10, 300}, own_choice("a fit, 60 (volume/55)^.3"),
                    "electric power while the compressor runs; not given: from the volume"),
            number("carnot_share", "", Variation::trial, {0.1, 0.8}, 0.47, from_memory("own fit"),
                   "coefficient of performance as a share of Carnot's at 20 degC around the fridge"),
            number("carnot_share_loss_per_k", "1/K", Variation::fixed, {0, 0.02}, 0.007, from_memory("own fit"),
                   "relative fall of that share per K above 20 degC"),
            number("vent_rise_k", "K", Variation::trial, {0, 25}, Spread::triangular(0, 1, 4), from_memory(),
                   "how much warmer the air around the condenser is than the cabin"),
            number(
                "start_loss_s", "s", Variation::trial, {0, 600}, Spread::triangular(30, 105, 180),
                own_choice("4 to 21 % less efficient at 25 degC; cycling makes domestic refrigerators 5 to 25 % less "
                           "efficient, Coulter & Bullard 1995, ACRC TR-77"),
                "how much longer each run of the compressor lasts for having started: until refrigerant that has "
                "moved while it stood is back and the evaporator cold, it only holds the temperature"),
            number("door_openings_per_day", "1/d", Variation::trial, {0, 80}, 20.0, from_memory("10 to 50"),
                   "mean number of door openings a day", Owner::person),
            number("door_opening_wh", "Wh", Variation::fixed, {0, 10}, 0.6,
                   own_choice("psychrometrics, .5 to 1.1 for 50 l"),
                   "heat that one opening of a chest lets in when the cabin is 28 K warmer than the inside"),
            formerly("start_inside_c",
                     derived("initial_inside_c", "degC", Variation::trial, {-30, 70},
                             own_choice("within the thermostat's band"),
                             "inside temperature when the trip starts, for a fridge that is switched on warm",
                             Owner::person)),
            number(
                "ice_kg", "kg", Variation::trial, {0, 50}, 0.0, common_practice("none"),
                "ice at 0 degC put in at the start, in bottles or packs; it melts once, and none is in a freezer box",
                Owner::person),
            number("ice_coupling_w_per_k", "W/K", Variation::trial, {0.05, 50}, 1.0,
                   weak(own_choice("two bottles of 1 l: .12 m2 at 8 W/m2 K")),
                   "heat that flows from the inside into the ice per K above 0 degC"),
            part("freezer_box", {"FreezerBox"}, std::monostate{}, true, "box for ice inside"),
            part("cover", {"InsulatedCover"}, std::monostate{}, true, "insulated cover around it"),
            part("vent_fan", {"VentFan"}, std::monostate{}, true, "fan behind it"),
            part("night_set_back", {"NightSetBack"}, std::monostate{}, true, "warmer set point at night"),
            part("medicine", {"Medicine"}, std::monostate{}, true, "medicine that must stay at 2 to 8 degC"),
            number("cutout_v", "V", Variation::trial, {8.5, 12.6}, 10.4, from_memory("a typical setting"),
                   "terminal voltage, compressor running, below which the electronics stop it"),
            number("restart_v", "V", Variation::trial, {9, 13.5}, 11.7, from_memory("a typical setting"),
                   "terminal voltage at which it may start again"),
            number("cutout_delay_s", "s", Variation::fixed, {0, 600}, 3.0, from_memory(),
                   "how long the voltage has to stay below"),
            number("restart_wait_s", "s", Variation::fixed, {0, 3600}, 60.0, from_memory(),
                   "shortest pause before a new start"),
        },
        check,
        warn_set_back};
    return schema;
}

}  // namespace ridethrough::fridge
