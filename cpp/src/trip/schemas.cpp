#include "ridethrough/trip/schemas.hpp"

#include <cmath>

#include "activity_schemas.hpp"
#include "places.hpp"
#include "plausible.hpp"
#include "ridethrough/battery/chemistry.hpp"
#include "ridethrough/cabin/schemas.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/circuit/schemas.hpp"
#include "ridethrough/config/declare.hpp"
#include "ridethrough/fridge/schemas.hpp"
#include "ridethrough/loads/schemas.hpp"
#include "ridethrough/solar/compile.hpp"
#include "ridethrough/solar/schemas.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "surroundings.hpp"
#include "timetable.hpp"

namespace ridethrough::trip {
using namespace config;

namespace {

std::vector<std::string> battery_names() {
    std::vector<std::string> names;
    for (const battery::Chemistry* c : battery::chemistries()) names.push_back(c->schema().name);
    return names;
}

std::vector<std::string> load_names() {
    std::vector<std::string> names;
    for (const Schema* s : loads::load_schemas()) names.push_back(s->name);
    return names;
}

void check_van(const Configuration& van) {
    battery::check_in_parallel(van);
    if (van.flag("towed") && battery::in_common(van).text("location") == "engine_bay")
        throw InputError({.path = "Van." + van.paths_of("batteries").front() + ".location",
                          .value = "\"engine_bay\"",
                          .reason = "a towed camper has no engine"});
    cabin::check_van(van);
}

Field batteries() {
    return parts(
        "batteries", battery_names(),
        std::vector<ConfigurationPtr>{Configuration::make(battery::chemistries()[0]->schema(), {})},
        "house batteries in parallel, of one chemistry: size, age, health and resistance are each one's own, all "
        "else is that of the first",
        {1, battery::kMostBatteries});
}
Field arrays() {
    return parts("arrays", {"SolarArray", "PortableArray"},
                 std::vector<ConfigurationPtr>{Configuration::make(solar::solar_array_schema(), {})},
                 "all solar arrays, each with its own plane and charge controller", {0, solar::kMostArrays});
}

// One place with its nights, or stops.
void check_places(const Configuration& trip) {
    const bool stops = !trip.parts("stops").empty();
    for (const char* field : {"site", "nights"}) {
        if (stops && trip.has(field))
            throw InputError({.path = std::string("Trip.") + field,
                              .reason = "not allowed beside Trip.stops, which have their own"});
        if (!stops && !trip.has(field))
            throw InputError({.path = std::string("Trip.") + field,
                              .reason = "must be given",
                              .allowed = allowed_text(trip.schema().field(field)) + " where there are stops"});
    }
    if (!(nights_of(trip) <= 365))
        throw InputError({.path = "Trip.stops",
                          .reason = std::to_string(nights_of(trip)) + " nights",
                          .allowed = "1 to 365 in all"});
}

void check_trip(const Configuration& trip) {
    check_places(trip);
    sun::parse_start(trip.text("start"), "Trip.start");
    check_shade(trip);
    const int step = trip.integer("step_min");
    if (step != 60 && step != 30 && step != 15 && step != 5 && step != 1)
        throw InputError(
            {.path = "Trip.step_min", .value = std::to_string(step), .unit = "min", .allowed = "60, 30, 15, 5, 1 min"});
    check_timetable(trip);
    if (!(trip.number("bedtime_h") > trip.number("wake_h")))
        throw InputError({.path = "Trip.bedtime_h",
                          .value = number_text(trip.number("bedtime_h")),
                          .unit = "h",
                          .reason = "must be after wake_h = " + number_text(trip.number("wake_h")) + " h"});
    cabin::check_trip(trip);
}

Field time_zone() {
    Field f = text("time_zone", std::monostate{},
                   "IANA name of the place's time zone, such as 'America/New_York', with its summer time; give it near "
                   "a border");
    f.optional = true;
    f.source = own_choice("zone of the coordinates");
    return f;
}

Field nights() {
    Field f = integer("nights", "", {1, 365}, std::monostate{}, own_choice("sum of the stops' nights"),
                      "the trip lasts nights x 24 h from its start; not given where it has stops");
    f.optional = true;
    return f;
}

}  // namespace

const Schema& van_schema() {
    static const Schema schema{
        "Van",
        "A van or towed camper with its 12 V system.",
        joined(
            {
                batteries(),
                arrays(),
                formerly("panel_film", part("snow_and_frost", {"SnowAndFrost"},
                                            Configuration::make(solar::snow_and_frost_schema(), {}), true,
                                            "frost or snow on the roof's arrays on cold mornings")),
                part("dc_dc", {"DcDcCharger", "AlternatorCable"},
                     Configuration::make(charging::dc_dc_charger_schema(), {}), true,
                     "charger fed by the vehicle's alternator, or a plain cable to it"),
                part("mains", {"MainsCharger"}, std::monostate{}, true, "charger fed by shore power"),
                part("generator", {"Generator"}, std::monostate{}, true, "generator that can feed the mains charger"),
                flag("towed", false, own_choice(),
                     "a towed camper: its battery is charged on drives with it hitched (Trip.drives), not on day trips "
                     "in the car alone"),
                part("fridge", {"Fridge"}, Configuration::make(fridge::fridge_schema(), {}), false,
                     "compressor fridge"),
                part("wiring", {"Wiring"}, Configuration::make(circuit::wiring_schema(), {}), false,
                     "cables to the fridge"),
                part("disconnect", {"SystemDisconnect"}, std::monostate{}, true, "system low-voltage disconnect"),
                part("water", {"WaterTanks"}, std::monostate{}, true, "fresh and grey water tanks"),
                parts("loads", load_names(), loads::light_use_loads(), "all other loads"),
            },
            cabin::van_fields()),
        check_van,
        van_warnings,
        Owner::van,
        {{"cabin_lived_in_rise_k", "cabin_person_heat_w, the heat of each person who is inside",
          "Van(cabin_person_heat_w=80)", "cabin_person_heat_w = 80"},
         {"more_solar", "arrays, which has all of a van's arrays", "Van(arrays=[SolarArray(), PortableArray()])",
          "[van.arrays.roof] and [van.arrays.portable] in place of [van.solar]"}},
        {only_member(
             "battery", batteries(),
             "the only house battery, short for a list of one; asked for where there are several it is an error"),
         only_member(
             "solar", arrays(),
             "the only solar array, short for a list of one; asked for where there are several it is an error")}};
    return schema;
}

const Schema& site_schema() {
    static const Schema schema{
        "Site",
        "A place with its climate.",
        {
            number("latitude", "deg", Variation::fixed, {-90, 90}, std::monostate{}, {},
                   "north positive; in Python and in files also a text such as 44.5 N or 44 30 N"),
            number("longitude", "deg", Variation::fixed, {-180, 180}, std::monostate{}, {},
                   "east positive; in Python and in files also a text such as 110.2 W or 110 12 W"),
            time_zone(),
            derived("utc_offset_h", "h", Variation::fixed, {-12, 14}, own_choice("of the time zone"),
                    "clock time ahead of UTC, the same all year, in place of a time zone"),
            number("albedo", "", Variation::fixed, {0, 0.9}, 0.2, common_practice(),
                   "share of light that the ground reflects"),
            derived(
                "altitude_m", "m", Variation::fixed, {-430, 6000}, own_choice("that of the land around"),
                "height above the sea: clear days have more sun there, and the air temperature of a default climate "
                "follows it; a climate that is given has its own temperatures"),
            part("climate", {"Climate"}, std::monostate{}, true,
                 "climate of the place; not given: from Python, the worldwide default"),
        },
        [](const Configuration& site) {
            if (site.has("time_zone") && site.has("utc_offset_h"))
                throw InputError({.path = "Site.time_zone",
                                  .value = base::quoted(site.text("time_zone")),
                                  .reason = "not allowed beside Site.utc_offset_h, which is a clock by itself"});
            if (!site.has("climate")) return;
            const ConfigurationPtr climate = climate_of(site);  // and so that its normals fit the place
            for (const char* field : {"latitude", "longitude"}) {
                const double here = site.number(field), there = climate->number(field);
                double apart = std::abs(here - there);
                if (std::string_view(field) == "longitude" && apart > 180) apart = 360 - apart;
                if (!(apart <= 1.0))
                    throw InputError({.path = std::string("Site.") + field,
                                      .value = number_text(here),
                                      .unit = "deg",
                                      .reason = "the climate was made for " + number_text(there) + " deg",
                                      .allowed = "within 1 deg"});
            }
        },
        site_warnings,
        Owner::trip};
    return schema;
}

const Schema& trip_schema() {
    static const Schema schema{
        "Trip",
        "The plan: where, when, how many nights, what is done on the way. Days and nights are counted from 1: day 1 is "
        "the day of the start, and night 1 begins on its evening.",
        joined(
            {
                part("site", {"Site"}, std::monostate{}, true, "place of the trip, unless it has stops"),
                text("start", std::monostate{},
                     "clock time at the first place, \"YYYY-MM-DD HH:00\"; a date alone means 15:00"),
                nights(),
                parts("stops", {"Stop"}, std::vector<ConfigurationPtr>{},
                      "places one after the other, instead of site and nights; clock time is that of the first "
                      "throughout, the nights are the sum of theirs"),
                part("storage", {"Storage"}, std::monostate{}, true, "weeks of standing before the trip"),
                choice("weather", {"generated", "replayed"}, "generated", own_choice(),
                       "generated from the climate's normals, or real days replayed from its record"),
                number(
                    "replay_window_d", "d", Variation::fixed, {0, 182}, 15.0, own_choice(),
                    "replayed trips start up to this many days before or after the start's calendar day, in any year"),
                parts("drives", {"Drive"}, std::vector<ConfigurationPtr>{}, "drives besides those to stops"),
                parts(
                    "day_trips", {"DayTrip"}, std::vector<ConfigurationPtr>{},
                    "drives out and back to the same place: they charge like any drive, but not a towed camper, which "
                    "stays behind"),
                parts(
                    "idling", {"Idle"}, std::vector<ConfigurationPtr>{},
                    "spells of the engine idling to charge; never in or beside a closed space, carbon monoxide kills"),
                parts("generator_runs", {"GeneratorRun"}, std::vector<ConfigurationPtr>{},
                      "runs of the generator; never in or beside a closed space, carbon monoxide kills"),
                number("generator_allowed_from_h", "h", Variation::fixed, {0, 24}, 8.0,
                       from_memory("quiet hours end at 6 to 8"),
                       "clock hour from which generators are allowed; what lies before is not run"),
                number("generator_allowed_to_h", "h", Variation::fixed, {0, 24}, 20.0,
                       from_memory("quiet hours begin at 20 to 22"), "clock hour until which they are allowed"),
                parts("shore_power", {"ShorePower"}, std::vector<ConfigurationPtr>{}, "nights on shore power"),
                number("shade_beam", "", Variation::day, {0, 1}, Spread::triangular(0, 0.02, 0.10),
                       from_memory("open ground"), "share of the direct sun lost to trees, hills, buildings"),
                number("shade_sky", "", Variation::trial, {0, 1}, 0.03, from_memory("open ground"),
                       "share of the sky's diffuse light lost"),
                choice("surroundings", {"as_given", "open", "park_plot", "scattered_trees", "forest"}, "as_given",
                       own_choice(),
                       "kind of place, which sets the spreads of shade_beam (from memory: 0 to 5, 10 to 25, 25 to 50, "
                       "60 to 90 % of the direct sun, anew each day) and shade_sky (from memory, weak)"),
                number("shade_morning", "", Variation::day, {0, 1}, 0.0, own_choice(),
                       "share of the direct sun lost before 10 h solar time, besides shade_beam"),
                number("shade_midday", "", Variation::day, {0, 1}, 0.0, own_choice(), "the same from 10 to 14 h"),
                number("shade_afternoon", "", Variation::day, {0, 1}, 0.0, own_choice(), "the same after 14 h"),
                bearings(
                    "horizon_deg", "deg", {0, 90}, own_choice("open ground"),
                    "heights of what stands around the van by compass bearing, such as [[90, 15], [180, 5]]: 15 in "
                    "the east, 5 in the south, straight lines between, all the way round (one pair alone is a ring); "
                    "hides the Sun and that part of the sky"),
                number("habits_scale", "", Variation::trial, {0, 5}, Spread::triangular(0.7, 1.0, 1.5), from_memory(),
                       "factor on the hours of all loads that people switch", Owner::person),
                part("party", {"Party"}, std::monostate{}, true,
                     "who travels and what they do about the weather; not given: a couple, the same in all weathers"),
                days("water_days", "days on whose morning the fresh tank is filled and the grey tank emptied",
                     std::vector<Day>{}),
                days("warm_food_days", "days on which warm food goes into the fridge", std::vector<Day>{}),
                number("warm_food_kg", "kg", Variation::trial, {0, 100}, 5.0, own_choice(),
                       "how much, at cabin temperature", Owner::person),
                number("warm_food_h", "h", Variation::fixed, {0, 23}, 16.0, own_choice(), "clock hour of it"),
                number("wake_h", "h", Variation::fixed, {4, 11}, 7.0, own_choice(), "clock hour of getting up"),
                number("bedtime_h", "h", Variation::fixed, {18, 24}, 22.0, own_choice(), "clock hour of going to bed"),
                integer("step_min", "min", {1, 60}, 60.0, own_choice("step study in python/docs/accuracy.md"),
                        "length of a step, one of 60, 30, 15, 5, 1; steps are cut at the thermostat's switches and at "
                        "events"),
            },
            cabin::trip_fields()),
        check_trip,
        {},
        Owner::trip,
        moved_to_lists()};
    return schema;
}

}  // namespace ridethrough::trip
