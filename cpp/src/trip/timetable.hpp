// What a trip plans, on its clock: its lists of drives, runs and nights on shore power, and the roads and the power of
// its stops. People count days and nights from 1, the core those of the clock from 0: they are converted here alone.
// Internal to the layer.
#pragma once

#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/trip/interval.hpp"

namespace ridethrough::trip {

struct Occasion {
    int day;              // of the clock, from 0
    bool by_weekday;      // one of several days that were not asked for one by one
    double from_h;        // of the clock, from midnight of day 0
    double length_h = 0;  // infinite: to the trip's end
};

struct Item {
    Activity activity;
    std::string path;
    std::vector<Occasion> occasions;
    bool until_clock_time = false;  // the length is the clock's, not that of the time that passes
    bool of_stop = false, has_weekdays = false;
};

// "day 2, 10:00 to 12:00": hours of the clock from midnight of day 0, which people call day 1.
std::string spell_text(double from_h, double to_h);

int nights_of(const config::Configuration& trip);

// In the order of their declaration. InputError where a day lies outside the trip.
std::vector<Item> timetable(const config::Configuration& trip);

// InputError where two drives, runs of one activity or spells of shore power overlap, or lie within one step.
void check_timetable(const config::Configuration& trip);

}  // namespace ridethrough::trip
