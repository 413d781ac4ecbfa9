#include "ridethrough/cabin/schemas.hpp"

#include "ridethrough/config/declare.hpp"

namespace ridethrough::cabin {
using namespace config;

std::vector<Field> van_fields() {
    return {
        number("cabin_sun_rise_k_per_w_m2", "K m2/W", Variation::trial, {0, 0.05},
               Spread::triangular(0.009, 0.0115, 0.014), common_practice("10 to 13 K in full sun"),
               "rise over the outdoor air at which the shut cabin settles, per W/m2 of sun on the horizontal"),
        number("cabin_person_heat_w", "W", Variation::trial, {0, 500}, Spread::triangular(60, 80, 120),
               from_memory("seated some 65 to 75 W that can be felt, of 105 to 126 W in all (ISO 7730, 1.0 to 1.2 "
                           "met), asleep less; the rest cooking and lights"),
               "heat of each person who is inside, with what he cooks and lights", Owner::person),
        number("cabin_heat_loss_w_per_k", "W/K", Variation::trial, {5, 1000}, Spread::triangular(40, 50, 60),
               from_memory("beside common practice"),
               "heat that the shut van loses per kelvin over the outdoor air, which its heater makes up for"),
        number("cabin_lag_h", "h", Variation::trial, {0.05, 24}, Spread::triangular(1, 1.5, 2), from_memory(),
               "time constant with which the shut cabin follows; with open windows it is shorter"),
        number("window_ventilation", "", Variation::trial, {0, 20}, Spread::triangular(1, 2, 3.5), weak(from_memory()),
               "what windows wide open add to the van's heat loss, in parts of cabin_heat_loss_w_per_k", Owner::person),
        number("windows_open_above_c", "degC", Variation::fixed, {0, 50}, 24.0, from_memory(),
               "people open the windows when the cabin is warmer than this"),
        number("windows_wide_above_c", "degC", Variation::fixed, {1, 60}, 30.0, from_memory(),
               "cabin temperature at which they are wide open"),
        number("windows_open_at_night", "", Variation::fixed, {0, 1}, 0.5, weak(from_memory()),
               "share of that opening that is left when people sleep", Owner::person),
    };
}

std::vector<Field> trip_fields() {
    return {
        number("out_from_h", "h", Variation::fixed, {0, 24}, 10.0, own_choice(),
               "clock hour from which people are mostly out of the van"),
        number("out_to_h", "h", Variation::fixed, {0, 24}, 17.0, own_choice(), "clock hour until which they are"),
        number("out_share", "", Variation::fixed, {0, 1}, 0.75, from_memory(), "share of these hours spent outside"),
    };
}

void check_van(const Configuration& van) {
    const double open_c = van.number("windows_open_above_c"), wide_c = van.number("windows_wide_above_c");
    if (!(wide_c > open_c))
        throw InputError({.path = "Van.windows_wide_above_c",
                          .value = number_text(wide_c),
                          .unit = "degC",
                          .reason = "must be above windows_open_above_c = " + number_text(open_c) + " degC"});
}

void check_trip(const Configuration& trip) {
    if (trip.number("out_to_h") < trip.number("out_from_h"))
        throw InputError(
            {.path = "Trip.out_to_h",
             .value = number_text(trip.number("out_to_h")),
             .unit = "h",
             .reason = "must not be before out_from_h = " + number_text(trip.number("out_from_h")) + " h"});
}

AirModel compile(const Configuration& van, const Configuration& trip, double persons, random::ParameterTable& table) {
    return {table.add(van, "cabin_sun_rise_k_per_w_m2", ""),
            table.add(van, "cabin_person_heat_w", ""),
            table.add(van, "cabin_heat_loss_w_per_k", ""),
            table.add(van, "cabin_lag_h", ""),
            table.add(van, "window_ventilation", ""),
            persons,
            van.number("windows_open_above_c"),
            van.number("windows_wide_above_c"),
            van.number("windows_open_at_night"),
            trip.number("out_from_h"),
            trip.number("out_to_h"),
            trip.number("out_share")};
}

}  // namespace ridethrough::cabin
