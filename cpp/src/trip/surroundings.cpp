#include "surroundings.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/solar/schemas.hpp"
#include "ridethrough/sun/calendar.hpp"

namespace ridethrough::trip {
using base::InputError;
using config::Configuration;

SiteShade compile_shade(const Configuration& trip, random::ParameterTable& table) {
    const auto place = solar::site_shade(trip.text("surroundings"));
    if (!place) return {table.add(trip, "shade_beam", "trip."), table.add(trip, "shade_sky", "trip.")};
    return {table.spread(trip, "shade_beam", "trip.", place->beam),
            table.spread(trip, "shade_sky", "trip.", place->sky)};
}

void check_shade(const Configuration& trip) {
    const auto points = trip.numbers("horizon_deg").size() / 2;
    if (!(points <= 360))
        throw InputError(
            {.path = "Trip.horizon_deg", .value = std::to_string(points) + " pairs", .allowed = "up to 360 of them"});
    if (points > 0 && !trip.parts("stops").empty())
        throw InputError({.path = "Trip.horizon_deg", .allowed = "for a trip to one place, as it is one place's"});
    if (trip.text("surroundings") == "as_given") return;
    for (const char* field : {"shade_beam", "shade_sky"})
        if (!(trip.at(field) == trip.schema().field(field).default_value))
            throw InputError({.path = "Trip.surroundings",
                              .value = base::quoted(trip.text("surroundings")),
                              .reason = std::string("not allowed beside Trip.") + field + ", which it sets"});
}

StorageModel compile_storage(const Configuration& storage, const Configuration& climate, int first_day,
                             double mean_days, double self_discharge_per_month, random::ParameterTable& table) {
    const std::string at = "trip.storage.";
    StorageModel m;
    m.weeks = table.add(storage, "weeks", at);
    m.isolator_on = storage.text("isolator") == "on";
    m.bypass_share = table.add(storage, "bypass_share", at);
    m.self_discharge = table.add(storage, "self_discharge_per_month", at, self_discharge_per_month);
    m.sun_share = table.add(storage, "sun_share", at);
    m.controllers_on = storage.text("solar") != "disconnected";
    if (storage.text("solar") != "connected") return m;

    const int days = std::max(1, static_cast<int>(std::round(mean_days)));
    const auto& by_month = climate.numbers("ghi_kwh_m2_day");
    for (int d = first_day - days; d < first_day; ++d)
        m.sun_h_per_day += by_month[static_cast<std::size_t>(sun::date_of(d).month - 1)] / days;
    return m;
}

}  // namespace ridethrough::trip
