#include "ridethrough/solar/schemas.hpp"

#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/config/declare.hpp"

namespace ridethrough::solar {
using namespace config;

namespace {

Field sky_model_field() {
    return choice(
        "sky_model", {"isotropic", "hdkr", "perez"}, "isotropic", published("Liu & Jordan 1963"),
        "how diffuse light spreads over the sky: evenly, HDKR (Reindl, Beckman & Duffie 1990) or Perez et al. "
        "1990; a flat plane gets the same from all");
}

// Dirt, other losses, ageing and the charge controller, which every array has.
void add_loss_fields(std::vector<Field>& fields, Spread soiling, Spread other) {
    const std::vector<Field> more{
        formerly("dirt_loss", number("soiling_loss", "", Variation::trial, {0, 1}, std::move(soiling), from_memory(),
                                     "share of the light lost to dirt")),
        formerly("other_loss", number("system_loss", "", Variation::trial, {0, 1}, std::move(other), from_memory(),
                                      "share of the power lost to wiring, mismatch and ageing")),
        formerly("regulator_efficiency",
                 number("controller_efficiency", "", Variation::trial, {0.5, 1}, 0.96, from_memory(".94 to .97"),
                        "power at the battery per power at the array's maximum-power point; not of a PWM controller")),
        charging::profile_field(),
        formerly("regulator",
                 choice("charge_controller", {"mppt", "pwm"}, "mppt", own_choice(),
                        "mppt: works at the array's maximum-power point; pwm: joins module and battery, so that the "
                        "module works at battery voltage, which wastes what its own best voltage is above that")),
        formerly("regulator_drop_v", number("controller_drop_v", "V", Variation::trial, {0, 3}, 0.4, from_memory(),
                                            "volts lost between module and battery; of a PWM charge controller only")),
        number("self_consumption_ma", "mA", Variation::trial, {0, 500}, Spread::triangular(5, 10, 20), from_memory(),
               "what the charge controller itself takes from the battery, day and night; counted with the other loads"),
        formerly("start_w", number("controller_start_w", "W", Variation::trial, {0, 100}, 0.0,
                                   weak(from_memory("1 to 5 W; 0 by own choice")),
                                   "power of the array below which the charge controller rests")),
        formerly(
            "starts_above_battery_v",
            number(
                "controller_starts_above_battery_v", "V", Variation::trial, {0, 10}, Spread::triangular(1, 3.5, 6),
                own_choice(),
                "the tracker starts when the array's open voltage is this far above the battery's, and cannot work the "
                "array below battery voltage; 0: voltages are not looked at; not of a PWM controller")),
        formerly("stays_above_battery_v", number("controller_stays_above_battery_v", "V", Variation::trial, {0, 10},
                                                 Spread::triangular(0.3, 1, 2), own_choice(),
                                                 "once started it goes on while that voltage is this far above the "
                                                 "battery's, never more than it started "
                                                 "at, and rests below it")),
        formerly("module_v",
                 number("module_vmp_v", "V", Variation::fixed, {9, 60}, 18.0, common_practice("36 cells in series"),
                        "voltage of one module at its maximum-power point, at standard test conditions")),
        number("age_years", "year", Variation::trial, {0, 40}, 0.0, own_choice("new"), "age of the modules"),
        derived("ageing_per_year", "", Variation::trial, {0, 0.2},
                weak(from_memory(".02 glued or folding (2 to 6 years of life), .006 others (15 to 25 years)")),
                "share of the power lost with each year")};
    fields.insert(fields.end(), more.begin(), more.end());
}

// What the cells make of light and heat.
void add_cell_fields(std::vector<Field>& fields) {
    const std::vector<Field> more{
        number("power_loss_per_k", "1/K", Variation::trial, {0.001, 0.008}, Spread::triangular(0.003, 0.0038, 0.0047),
               from_memory("the ends are those of the two coefficient sets in Chatzipanagi et al. 2025"),
               "share of the rated power that each kelvin of the cells above 25 degC takes: a data sheet's temperature "
               "coefficient of power, .0038 for -.38 %/K"),
        number("cell_rise_factor", "", Variation::trial, {0.2, 2}, Spread::triangular(0.85, 0.95, 1.07),
               from_memory("winds of 5, 2.5 and 0 m/s"),
               "how much warmer than the air the cells are in the trip's wind, over what the mounting says, which is "
               "for some 1.5 m/s"),
        derived("dark_shunt_share", "", Variation::trial, {0, 1},
                weak(from_memory("triangular (.1, .2, .5) glued or folding, (0, .07, .2) others")),
                "share of the cells' leak at standard test conditions that stays when the light goes: what a dull day "
                "loses beside its light; 0 after De Soto et al. 2006, .5 for poor flexible cells")};
    fields.insert(fields.end(), more.begin(), more.end());
}

void check_shadow(const Configuration& r) {
    if (!(r.number("shadow_to_h") > r.number("shadow_from_h")))
        throw InputError({.path = "SolarArray.shadow_to_h",
                          .value = number_text(r.number("shadow_to_h")),
                          .unit = "h",
                          .reason = "must be after shadow_from_h = " + number_text(r.number("shadow_from_h")) + " h"});
    if (r.text("charge_controller") == "pwm" && r.text("layout") == "series" && r.integer("modules") > 1)
        throw InputError(
            {.path = "SolarArray.layout",
             .value = "'series'",
             .reason = "not allowed with charge_controller = 'pwm', which brings the whole string down to battery "
                       "voltage",
             .allowed = "'parallel'"});
}

void check_hours(const Configuration& r) {
    if (!(r.number("pack_up_h") > r.number("set_up_h")))
        throw InputError({.path = "PortableArray.pack_up_h",
                          .value = number_text(r.number("pack_up_h")),
                          .unit = "h",
                          .reason = "must be after set_up_h = " + number_text(r.number("set_up_h")) + " h"});
}

std::vector<Field> array_fields() {
    std::vector<Field> fields{
        text("name", std::string("roof"), "name of the array in paths and results where a van has several"),
        number("rated_w", "W", Variation::trial, {0, 5000}, 220.0, common_practice("a common size"),
               "power at standard test conditions"),
        number("tilt_deg", "deg", Variation::fixed, {0, 90}, 0.0, own_choice("flat on the roof"),
               "tilt from horizontal"),
        derived("azimuth_deg", "deg", Variation::fixed, {0, 360}, own_choice(),
                "direction it faces when tilted, clockwise from north (180 is south); not given: the equator"),
        sky_model_field(),
        choice("mounting", {"glued", "air_gap", "framed"}, "glued", published("Skoplaki & Palyvos 2009"),
               "glued flat to the roof, with a narrow air gap, or framed and free-standing: sets how hot it runs")};
    add_cell_fields(fields);
    add_loss_fields(fields, Spread::triangular(0.02, 0.05, 0.12), Spread::triangular(0.02, 0.05, 0.10));
    const std::vector<Field> shadow{
        integer("modules", "", {1, 20}, 1.0, own_choice(), "equal modules that make up the array"),
        choice(
            "layout", {"parallel", "series"}, "parallel", own_choice(),
            "how the modules are joined: a hard shadow stops the modules it touches in parallel, the substrings that "
            "it touches in series"),
        integer("substrings", "", {0, 6}, 2.0, from_memory("36 cells have two"),
                "parts of a module with a bypass diode each; 0: no working diode, so that in series one shaded cell "
                "stops the whole string"),
        number(
            "shadow_share", "", Variation::day, {0, 1}, 0.0, own_choice(),
            "share of the array under a hard shadow (open hatch, awning, aerial) in the shadow's hours, taken as one "
            "piece from an edge; what it touches has diffuse light only"),
        number("shadow_from_h", "h", Variation::fixed, {0, 24}, 8.0, own_choice(), "clock hour at which it comes"),
        number("shadow_to_h", "h", Variation::fixed, {0, 24}, 18.0, own_choice(), "clock hour at which it goes")};
    fields.insert(fields.end(), shadow.begin(), shadow.end());
    return fields;
}

std::vector<Field> portable_fields() {
    std::vector<Field> fields{
        text("name", std::string("portable"), "name of the panel in paths and results"),
        number("rated_w", "W", Variation::trial, {0, 2000}, 100.0, from_memory("100, 200 or 300 W"),
               "power at standard test conditions"),
        formerly("use_share", number("use_probability", "", Variation::trial, {0, 1},
                                     Spread::triangular(0.4, 0.55, 0.7), from_memory(".4 to .7"),
                                     "share of the stationary days on which it is set up; never on a day with a drive",
                                     Owner::person)),
        number("set_up_h", "h", Variation::fixed, {0, 23}, 9.0, weak(from_memory()), "clock hour of setting it up"),
        number("pack_up_h", "h", Variation::fixed, {1, 24}, 18.0, weak(from_memory()), "clock hour of packing it"),
        integer("aims_per_day", "", {1, 12}, 2.0, from_memory("1 to 3"),
                "how often it is turned to where the Sun will be, in equal parts of the light"),
        derived("tilt_deg", "deg", Variation::fixed, {0, 90}, from_memory("feet allow 15 to 70 deg"),
                "tilt on its feet; not given: square to the Sun at each aiming, as far as the feet allow"),
        number(
            "shade_kept", "", Variation::trial, {0, 1}, Spread::triangular(0.2, 0.5, 1.0), own_choice(),
            "share of the van's shade (Trip.shade_beam, Trip.shade_sky) that the panel has too: it can be put in the "
            "sun",
            Owner::person),
        sky_model_field()};
    add_cell_fields(fields);
    add_loss_fields(fields, Spread::triangular(0, 0.02, 0.06), Spread::triangular(0.03, 0.06, 0.12));
    return fields;
}

}  // namespace

const Schema& solar_array_schema() {
    static const Schema schema{
        "SolarArray",
        "Crystalline solar array on one plane with its charge controller: maximum-power-point tracking "
        "(MPPT) or pulse-width modulation (PWM).",
        array_fields(), check_shadow};
    return schema;
}

const Schema& portable_array_schema() {
    static const Schema schema{
        "PortableArray",
        "Folding panel on feet beside the van, with its charge controller: set up on some stationary "
        "days, turned to the Sun now and then, free-standing.",
        portable_fields(), check_hours};
    return schema;
}

const Schema& snow_and_frost_schema() {
    static const Schema schema = formerly(
        "PanelFilm",
        Schema{
            "SnowAndFrost",
            "Frost or snow on the roof's arrays after a night below freezing, until the air or the sun clears it. Rule "
            "and figures from memory, weak.",
            {
                formerly("share_of_cold_nights",
                         number("film_probability", "", Variation::trial, {0, 1}, Spread::triangular(0.3, 0.6, 0.9),
                                weak(from_memory()), "share of the nights cold enough that leave a film")),
                number("night_below_c", "degC", Variation::fixed, {-20, 5}, 0.0, weak(from_memory()),
                       "a night is cold enough when the air falls below this before sunrise"),
                formerly("light_share",
                         number("transmittance", "", Variation::trial, {0, 1}, Spread::triangular(0.02, 0.15, 0.4),
                                weak(from_memory()),
                                "share of the light that passes the film: little through snow, more through frost")),
                number("clears_above_c", "degC", Variation::fixed, {-5, 20}, 2.0, weak(from_memory()),
                       "the film goes when the air is warmer than this"),
                number("clears_after_wh_m2", "Wh/m2", Variation::trial, {0, 10000}, Spread::triangular(100, 300, 800),
                       weak(from_memory()), "or when this much sun has fallen on the horizontal since midnight"),
            },
            {},
            {},
            Owner::model});
    return schema;
}

double mounting_rise_k_per_w_m2(const std::string& mounting) {
    if (mounting == "glued") return 0.0563;    // sloped roof, not ventilated
    if (mounting == "air_gap") return 0.0342;  // sloped roof, poorly ventilated
    return 0.0208;                             // free-standing
}

Spread dark_shunt_share(bool flexible) {
    return flexible ? Spread::triangular(0.1, 0.2, 0.5) : Spread::triangular(0, 0.07, 0.2);
}

std::optional<SiteShade> site_shade(const std::string& surroundings) {
    if (surroundings == "open") return SiteShade{Spread::triangular(0, 0.02, 0.05), Spread::triangular(0, 0.02, 0.05)};
    if (surroundings == "park_plot")
        return SiteShade{Spread::triangular(0.10, 0.17, 0.25), Spread::triangular(0.03, 0.08, 0.15)};
    if (surroundings == "scattered_trees")
        return SiteShade{Spread::triangular(0.25, 0.37, 0.50), Spread::triangular(0.10, 0.20, 0.30)};
    if (surroundings == "forest")
        return SiteShade{Spread::triangular(0.60, 0.75, 0.90), Spread::triangular(0.30, 0.45, 0.60)};
    return std::nullopt;
}

}  // namespace ridethrough::solar
