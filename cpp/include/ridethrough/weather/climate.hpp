// The climate of a place: twelve normals and how the days vary about them.
#pragma once

#include <array>
#include <memory>
#include <optional>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/parameter_table.hpp"
#include "ridethrough/weather/model.hpp"
#include "ridethrough/weather/series.hpp"

namespace ridethrough::weather {

const config::Schema& climate_schema();
// The draws of a trip's weather, and what its climate gives a trial.
Model compile(const config::Configuration& climate, random::ParameterTable& table);

// The climate, at this place and height where it does not say its own. InputError where its normals do not fit them.
config::ConfigurationPtr climate_at(const config::ConfigurationPtr& climate, double latitude, double longitude,
                                    std::optional<double> altitude_m = {});
// Its height above the sea; 0 where nobody says it.
double altitude_m(const config::Configuration& climate);

// What follows needs a climate whose place is known.
// Mean clearness of each month; 0 where the month is dark (under 0.5 MJ/m2 a day without an atmosphere).
std::array<double, 12> mean_clearness(const config::Configuration& climate);
// Same-day correlation of the normal scores of clearness and temperature, by month: declared, or by the seasons that
// the normals of temperature have.
std::array<double, 12> clearness_temp_corr(const config::Configuration& climate);
// By month, how many times as far as learned the days lie from their mean: more in spring and autumn far from the sea.
std::array<double, 12> clearness_spread(const config::Configuration& climate);
// Standard deviation of daily mean temperature by month: declared, or from the normals.
std::array<double, 12> air_temp_sd_c(const config::Configuration& climate);
// Whether the twelve normals of irradiation rise and fall with the Sun of the opposite latitude, not with that of the
// climate's own, as with a latitude of the wrong sign. Never within 23 deg of the equator, where rainy seasons rule.
bool follows_other_hemisphere(const config::Configuration& climate);
// The measured hours, nullptr where the climate has none.
std::shared_ptr<const WeatherSeries> weather_series_of(const config::Configuration& climate);

}  // namespace ridethrough::weather
