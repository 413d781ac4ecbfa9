// What a van or a place allows but hardly anybody means: the warnings that are shown before a number. Internal to the
// layer.
#pragma once

#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/trip/clock.hpp"

namespace ridethrough::trip {

using Warnings = std::vector<std::string>;

// As text, rounded to so many decimal places.
std::string rounded(double x, int places = 2);

Warnings van_warnings(const config::Configuration& van);
// Of chargers that are too strong for the battery, on a trip that drives, or has shore power or a generator's hours.
Warnings charger_warnings(const config::Configuration& van, bool drives, bool powered);
// Of AGM and an appliance that takes more than 1 C of it, whose cut-outs long steps miss.
Warnings step_warnings(const config::Configuration& van, double step_h);
Warnings site_warnings(const config::Configuration& site);
// A clock and a longitude that can't belong together. `clock` names where the offset comes from: "utc_offset_h = -6 h".
Warnings clock_warnings(double utc_offset_h, double longitude_deg, const std::string& clock);

// The same of a time zone that was given; a fixed offset is the site's own matter.
Warnings zone_warnings(const Clock& clock, const config::Configuration& site);

}  // namespace ridethrough::trip
