// Solar arrays with their charge controllers, what lies on them, and the shade of kinds of places.
#pragma once

#include <optional>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::solar {

const config::Schema& solar_array_schema();
const config::Schema& portable_array_schema();
const config::Schema& snow_and_frost_schema();
// Temperature rise of the cells per W/m2 for a mounting (Ross 1981; Skoplaki & Palyvos 2009).
double mounting_rise_k_per_w_m2(const std::string& mounting);
// Where SolarArray.dark_shunt_share says nothing. From memory: cheap flexible cells leak more than those behind glass.
// .05 to .1 has the low light of the better set of coefficients in Chatzipanagi et al. 2025, .5 that of the worse.
config::Spread dark_shunt_share(bool flexible);

// Shares of the direct sun (a new one each day) and of the sky's light lost at "open", "park_plot", "scattered_trees"
// or "forest"; nothing for any other name. From memory, those of the sky weak.
struct SiteShade {
    config::Spread beam, sky;
};
std::optional<SiteShade> site_shade(const std::string& surroundings);

}  // namespace ridethrough::solar
