// The most that a cloudless day gives: an upper end for days drawn about a month's mean.
#pragma once

#include <array>

namespace ridethrough::weather {

// Global horizontal irradiance of a clear sky, W/m2: Haurwitz 1945 (Journal of Meteorology 2, 154-166; the exponent's
// -0.059 as in pvlib's clearsky.haurwitz).
double haurwitz_w_m2(double sin_altitude);

// Clear skies of a height over those of sea level: 3 % a kilometre (own reading of stations; from memory).
double over_sea_level(double altitude_m);

// Daily clearness of each month's clearest days at a latitude and a height above the sea; 0 in a dark month. Haurwitz's
// sky is an average clear one: the clearest days have a tenth more (own reading of stations; from memory).
std::array<double, 12> clearest_days(double latitude_deg, double altitude_m);

}  // namespace ridethrough::weather
