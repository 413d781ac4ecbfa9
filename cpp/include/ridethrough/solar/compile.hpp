// From a van's declared arrays to the kernel's models, and the tables of their planes.
#pragma once

#include <span>
#include <vector>

#include "ridethrough/random/parameter_table.hpp"
#include "ridethrough/solar/arrays.hpp"
#include "ridethrough/solar/plane_hours.hpp"
#include "ridethrough/sun/sky.hpp"
#include "ridethrough/weather/series.hpp"

namespace ridethrough::solar {

// Shade by the time of day and film on the roof; `arrays` gets the van's arrays, at which the model is still to point.
Model compile(const config::Configuration& van, const config::Configuration& trip, random::ParameterTable& table,
              std::vector<ArrayModel>& arrays);
// The array on whose plane the weather's light is worked out: the first, where it lies on the roof; null for none, and
// a flat plane. Others have tables of their own, with the same light to rounding.
config::ConfigurationPtr array_of_weather(const config::Configuration& van);
// Whose charge stages serve all the sun: the first's, as there is one set; null where the van has none.
config::ConfigurationPtr array_of_stages(const config::Configuration& van);
// Without an azimuth it faces the equator. Flat where there is none.
Plane plane_of(const config::ConfigurationPtr& array, double latitude_deg);
// Appends to the tables of the arrays that don't lie on the weather's own plane `days` with one albedo. `hours_ahead`:
// of the trip's clock on that of the days. `aimed_only`: of arrays that are aimed by the clock.
void append_plane_tables(std::vector<PlaneNumbers>& tables, const config::Configuration& van,
                         std::span<const sun::SkyDay> days, double albedo, const Horizon& horizon, double hours_ahead,
                         bool aimed_only = false);
// Tables of the clock's next offset behind those that there are.
void add_part(std::vector<PlaneNumbers>& tables, const std::vector<PlaneNumbers>& more);
// Factors of the weather's own plane, and tables for the others, for a record's hours. `hours_ahead`: of each part of
// the trip's clock on the record's.
weather::PlaneFactors series_planes(const weather::WeatherSeries& record, const config::Configuration& van,
                                    double latitude_deg, double albedo, const Horizon& horizon,
                                    std::span<const double> hours_ahead, std::vector<PlaneNumbers>& tables);

}  // namespace ridethrough::solar
