// The places of a trip in their order: one where Trip.site is given, else those of Trip.stops. Internal to the layer.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/solar/compile.hpp"
#include "ridethrough/trip/clock.hpp"
#include "ridethrough/trip/plan.hpp"
#include "ridethrough/weather/tables.hpp"

namespace ridethrough::trip {

struct Place {
    config::ConfigurationPtr stop;  // null where the trip has one site
    config::ConfigurationPtr site, climate;
    int first_day = 0, days = 0;  // calendar days of the trip, the first 0; the day of a move is the new place's
    std::string path;             // "trip.stops.beach.", or "trip."

    double arrival_h() const { return 24 * first_day + (stop ? stop->number("arrival_h") : 0); }
    double departure_h() const { return arrival_h() - (stop ? stop->number("drive_duration_h") : 0); }  // for here
};

// The climate of a site that has one, at the site's place where it does not say its own.
config::ConfigurationPtr climate_of(const config::Configuration& site);

// InputError where a place has no climate.
std::vector<Place> places_of(const config::Configuration& trip);
// The place to which each hour from midnight of day 0 belongs: the road to a place counts as that place.
std::vector<std::size_t> places_by_hour(const std::vector<Place>& places, int days);

// Tables of `drawn_days` days, each of its place; the last place has the days that are over.
std::vector<sun::SkyDay> skies_of(std::vector<Place>& places, int first_day, int drawn_days, double utc_offset_h);
// Factors of the weather's own plane, and tables for the other arrays.
weather::PlaneFactors place_planes(const std::vector<Place>& places, const std::vector<sun::SkyDay>& skies,
                                   const config::Configuration& van, const solar::Horizon& horizon,
                                   const ClockSteps& steps, std::vector<solar::PlaneNumbers>& tables);
std::vector<weather::ClimateDays> climates_of(const std::vector<Place>& places);

// Parameters of each day's climate and each hour's shade at several places; see StopDays.
struct PlaceParameters {
    random::ParameterIndex lag, scale, shade_beam, shade_sky, air_offset;
};
// Of each place; the plan has those of the first one, and of what no place says.
std::vector<PlaceParameters> compile_places(const std::vector<Place>& places, const Plan& plan,
                                            random::ParameterTable& table);

}  // namespace ridethrough::trip
