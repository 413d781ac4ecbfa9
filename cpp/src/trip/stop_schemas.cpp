// Stops of a trip and the weeks of storage before it.
#include "ridethrough/config/declare.hpp"
#include "ridethrough/trip/schemas.hpp"

namespace ridethrough::trip {
using namespace config;

const Schema& stop_schema() {
    static const Schema schema{
        "Stop",
        "One place of a trip with several: the drive there, and the nights spent.",
        {
            text("name", std::monostate{}, "name of this stop in paths and results, unique in a trip"),
            part("site", {"Site"}, std::monostate{}, false, "the place; the day of the move has its weather"),
            integer("nights", "", {1, 365}, 1.0, from_memory("1 to 4 when touring"), "nights spent here"),
            formerly(
                "drive_hours",
                number("drive_duration_h", "h", Variation::fixed, {0, 12}, 2.0, from_memory("1 to 4 h"),
                       "length of the drive that ends here; of the first stop's, what lies after the trip's start")),
            number("arrival_h", "h", Variation::fixed, {0, 23}, 16.0, from_memory("13 to 19 h"),
                   "clock hour of the arrival; the shade is this stop's from the departure for it"),
            choice("power", {"off_grid", "shore"}, "off_grid", own_choice(),
                   "shore: plugged in from the arrival until the departure"),
            derived("shade_beam", "", Variation::day, {0, 1}, own_choice("as Trip.shade_beam"),
                    "share of the direct sun lost here"),
            derived("shade_sky", "", Variation::trial, {0, 1}, own_choice("as Trip.shade_sky"),
                    "share of the diffuse light lost here"),
        },
        [](const Configuration& r) {
            if (!(r.number("drive_duration_h") <= r.number("arrival_h")))
                throw InputError({.path = "Stop.drive_duration_h",
                                  .value = number_text(r.number("drive_duration_h")),
                                  .unit = "h",
                                  .allowed = "0 to arrival_h = " + number_text(r.number("arrival_h")) +
                                             " h, as a drive begins on the day it ends"});
        },
        {},
        Owner::trip};
    return schema;
}

const Schema& storage_schema() {
    static const Schema schema{
        "Storage",
        "The van stands for some weeks before the trip, fridge off; battery.initial_soc is then the charge with which "
        "it was put away. Worked out with steady means, in the climate of the first place.",
        {
            number("weeks", "", Variation::trial, {0, 104}, 4.0, own_choice(), "how long it stands"),
            choice("isolator", {"off", "on"}, "off", own_choice(), "left on, all standby current flows on"),
            number(
                "bypass_share", "", Variation::trial, {0, 1}, Spread::triangular(0.05, 0.15, 0.4), weak(from_memory()),
                "share of the standby current that the isolator does not stop: alarm, tracker, detectors", Owner::van),
            derived("self_discharge_per_month", "", Variation::trial, {0, 0.3},
                    from_memory(".03 lead-acid, .025 lithium with its BMS"),
                    "share of its charge that the battery loses by itself in a month", Owner::van),
            choice("solar", {"connected", "under_roof", "disconnected"}, "connected",
                   from_memory("most charge controllers bypass the isolator"),
                   "whether the panel still charges; under a roof no sun reaches it, and its charge controller still "
                   "takes "
                   "what it takes for itself; disconnected, neither"),
            number("sun_share", "", Variation::trial, {0, 1}, Spread::triangular(0.4, 0.75, 1.0), weak(from_memory()),
                   "share of the sun that reaches the panel where the van stands, shade and dirt of standing included"),
        },
        {},
        {},
        Owner::trip};
    return schema;
}

}  // namespace ridethrough::trip
