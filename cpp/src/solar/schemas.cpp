#include "ridethrough/solar/schemas.hpp"

#include "ridethrough/base/declare.hpp"
#include "ridethrough/charge/schemas.hpp"

namespace ridethrough::solar {
using namespace base;

const Schema& solar_array_schema() {
    static const Schema schema{
        "SolarArray",
        "Crystalline solar array on one plane with a maximum-power-point tracking (MPPT) regulator.",
        {
            number("rated_w", "W", Level::trial, {0, 5000}, 220.0, "common size", "power at standard test conditions"),
            number("tilt_deg", "deg", Level::fixed, {0, 90}, 0.0, "flat on the roof", "tilt from horizontal"),
            derived("azimuth_deg", "deg", Level::fixed, {0, 360}, "own choice",
                    "direction it faces when tilted, clockwise from north (180 is south); not given: the equator"),
            choice("mounting", {"glued", "air_gap", "framed"}, "glued", "Skoplaki & Palyvos 2009",
                   "glued flat to the roof, with a narrow air gap, or framed and free-standing: sets how hot it runs"),
            number("dirt_loss", "", Level::trial, {0, 1}, Spread::triangular(0.02, 0.05, 0.12), "from memory",
                   "share of the light lost to dirt"),
            number("other_loss", "", Level::trial, {0, 1}, Spread::triangular(0.02, 0.05, 0.10), "from memory",
                   "share of the power lost to wiring, mismatch and ageing"),
            number("regulator_efficiency", "", Level::trial, {0.5, 1}, 0.96, "from memory: .94 to .97",
                   "power at the battery per power at the array's maximum-power point"),
            charge::profile_field(),
        }};
    return schema;
}

double mounting_rise_k_per_w_m2(const std::string& mounting) {
    if (mounting == "glued") return 0.0563;    // sloped roof, not ventilated
    if (mounting == "air_gap") return 0.0342;  // sloped roof, poorly ventilated
    return 0.0208;                             // free-standing
}

}  // namespace ridethrough::solar
