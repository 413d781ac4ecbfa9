// Heat and cold: fan, heater, blanket.
#include <algorithm>

#include "compiler.hpp"
#include "fields.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& fan() {
    static const Schema s{
        "Fan",
        "Roof fan that follows the heat: off below one cabin temperature, on full above another. It cools the cabin "
        "towards the outdoor air; nobody lets it run in a parked van.",
        {name_field("fan"), current({0.1, 10}, Spread::triangular(0.4, 1.2, 2.5)),
         formerly("fitted_share",
                  number("fitted_probability", "", Variation::fixed, {0, 1}, 0.6, from_memory(),
                         "share of vans that have one: 1 where yours does, and take the fan away where it has none")),
         number("starts_above_c", "degC", Variation::fixed, {5, 40}, 28.0,
                own_choice("some 6 Ah a day in a warm summer, near 30 in a hot one"),
                "cabin temperature where it starts"),
         number("full_above_c", "degC", Variation::fixed, {6, 60}, 35.0, own_choice("with starts_above_c"),
                "cabin temperature of full speed"),
         number("ventilation", "", Variation::trial, {0, 20}, Spread::triangular(1.5, 2.5, 3.5), weak(from_memory()),
                "what it adds at full speed to the van's heat loss, in parts of cabin_heat_loss_w_per_k")},
        [](const Configuration& r) {
            if (!(r.number("full_above_c") > r.number("starts_above_c")))
                throw InputError(
                    {.path = "Fan.full_above_c",
                     .value = number_text(r.number("full_above_c")),
                     .unit = "degC",
                     .reason = "must be above starts_above_c = " + number_text(r.number("starts_above_c")) + " degC"});
        }};
    return s;
}
double mean_of(const Value& number) {
    const auto* spread = std::get_if<Spread>(&number);
    return spread ? spread->mean() : std::get<double>(number);
}
// Fields of everything that heats: what it holds, in which hours, and how strong it is.
std::vector<Field> heating(std::vector<Field> own, double power_w) {
    std::vector<Field> shared{
        formerly(
            "holds_cabin_c",
            number(
                "set_point_c", "degC", Variation::trial, {5, 30}, Spread::triangular(16, 19, 22), from_memory(),
                "cabin temperature that its thermostat holds in the waking hours in which it is wanted; it draws only "
                "where the cabin is colder without it",
                Owner::person)),
        formerly("night_holds_c",
                 number("night_set_point_c", "degC", Variation::trial, {0, 30}, Spread::triangular(10, 12, 16),
                        weak(from_memory()), "the same from bedtime to getting up", Owner::person)),
        number("switch_on_below_c", "degC", Variation::trial, {0, 30}, 15.0, from_memory(),
               "people switch it on only where the cabin gets colder than this without it", Owner::person),
        flag("all_night", true, from_memory("own choice after practice, below freezing on low all night"),
             "on its thermostat from bedtime to getting up; false: off, and the cabin falls to what people alone make"),
        clock("evening_from_h", 17, "wanted from this clock hour to bedtime, and on through the night with all_night"),
        clock("morning_until_h", 17,
              "wanted from getting up to this clock hour: all waking hours where it is evening_from_h, less where the "
              "van is left or let cool in the day"),
        number("start_spread_h", "h", Variation::fixed, {0, 3}, 0.5, from_memory(),
               "a start varies by up to this much either way"),
        number("power_w", "W", Variation::fixed, {200, 20000}, power_w, from_memory(), "most heat that it gives")};
    own.insert(own.end(), shared.begin(), shared.end());
    return own;
}
const Schema& heater() {
    static const Schema s{
        "Heater",
        "Diesel air heater on a thermostat: a glow start, then burner, blower and pump as strong as the cold asks for.",
        heating(
            {name_field("heater"),
             formerly("low_a",
                      number("low_current_a", "A", Variation::trial, {0, 10}, 0.1,
                             own_choice("some .8 A with the smallest flame"),
                             "current towards no heat at all; between this and full_current_a it rises with the heat")),
             formerly("full_a", number("full_current_a", "A", Variation::trial, {0.2, 15},
                                       Spread::triangular(1.4, 1.8, 2.4), from_memory(), "current at full heat")),
             number("least_share", "", Variation::fixed, {0.05, 1}, 0.4, from_memory(),
                    "smallest flame, as a share of full heat: below that it goes on and off"),
             formerly("glow_a", number("glow_current_a", "A", Variation::trial, {0, 30}, 9.0, from_memory(),
                                       "current of the glow start")),
             formerly("glow_min", number("glow_duration_min", "min", Variation::fixed, {0, 15}, 5.0, from_memory(),
                                         "length of the glow start")),
             number("starts_above_v", "V", Variation::trial, {8, 13}, 10.0, from_memory(),
                    "voltage at its terminals, under the glow current, below which a start fails and the use is lost"),
             number("supply_mohm", "mohm", Variation::fixed, {0, 500}, 40.0, weak(from_memory()),
                    "resistance of its own cable, there and back")},
            2000),
        [](const Configuration& r) {
            // By their means: spreads of the two may overlap.
            const double low = mean_of(r.at("low_current_a")), full = mean_of(r.at("full_current_a"));
            if (low > full)
                throw InputError({.path = "Heater.low_current_a",
                                  .value = number_text(low),
                                  .unit = "A",
                                  .reason = "must not be above full_current_a = " + number_text(full) + " A"});
        }};
    return s;
}
const Schema& gas_furnace() {
    static const Schema s{
        "GasFurnace",
        "Gas furnace, as large caravans have: the gas gives the heat, its blower goes on and off with the thermostat.",
        heating({name_field("gas_furnace"), current({0.5, 20}, Spread::triangular(3, 7, 11))}, 3500)};
    return s;
}
const Schema& electric_blanket() {
    static const Schema s{
        "ElectricBlanket",
        "12 V electric blanket, from bedtime on cold nights. On an inverter it takes up to twice as much (from "
        "memory).",
        {name_field("electric_blanket"), current({0.5, 15}, Spread::triangular(2, 4, 5)),
         hours_field({0, 12}, Spread::triangular(1, 3, 6), "hours on a night it is used"), daily_probability(1.0),
         number("used_below_c", "degC", Variation::fixed, {-40, 30}, 5.0, weak(from_memory()),
                "it is used when the outdoor temperature at bedtime is below this")}};
    return s;
}

// Two uses a day, morning and evening; when they start and what they draw follows the cold (cabin/heater.hpp).
void compile_heating(LoadCompiler& p, bool glows) {
    cabin::HeaterModel h;
    h.holds_c = p.parameter("set_point_c");
    h.night_set_point_c = p.parameter("night_set_point_c");
    h.switch_on_below_c = p.parameter("switch_on_below_c");
    h.full_a = p.parameter(glows ? "full_current_a" : "current_a");
    h.low_a = glows ? p.parameter("low_current_a") : h.full_a;
    h.least_share = glows ? p.number("least_share") : 1;
    h.glow_a = glows ? p.parameter("glow_current_a") : p.constant(0);
    h.glow_h = glows ? p.number("glow_duration_min") / 60 : 0;
    h.starts_above_v = glows ? p.parameter("starts_above_v") : p.constant(0);
    h.supply_ohm = glows ? p.number("supply_mohm") / 1000 : 0;
    h.power_w = p.number("power_w");
    h.all_night = p.configuration.flag("all_night");
    h.evening_from_h = p.number("evening_from_h");
    h.morning_until_h = p.number("morning_until_h");
    h.start_spread_h = p.number("start_spread_h");
    p.add_heater(h);
}

void compile_blanket(LoadCompiler& p) {
    EventModel e = p.window(p.habits.bedtime_h, p.habits.bedtime_h);
    e.current = p.parameter("current_a");
    e.hours = p.parameter("duration_h");
    e.hours_spread = 0.2;
    e.share = p.parameter("daily_probability");
    e.only_below = true;
    e.condition_hour = std::min(23, static_cast<int>(p.habits.bedtime_h));
    e.condition_c = p.number("used_below_c");
    p.add(e);
}

void compile_fan(LoadCompiler& p) { p.add_fan(); }
void compile_heater(LoadCompiler& p) { compile_heating(p, true); }
void compile_furnace(LoadCompiler& p) { compile_heating(p, false); }

}  // namespace

std::span<const LoadType> comfort() {
    static constexpr LoadType types[] = {{fan, compile_fan},
                                         {heater, compile_heater},
                                         {gas_furnace, compile_furnace},
                                         {electric_blanket, compile_blanket}};
    return types;
}

}  // namespace ridethrough::loads
