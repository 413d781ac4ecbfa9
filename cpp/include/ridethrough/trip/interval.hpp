// What happens when on a trip: the rows of its one schedule.
#pragma once

#include <string>
#include <string_view>

namespace ridethrough::trip {

enum class Activity { drive, day_trip, idling, generator, shore_power, water, warm_food, storage };
std::string_view name_of(Activity activity);

// As errors and warnings call a path of a trip: "trip.drives.1" is "Trip.drives.1".
inline std::string path_in_messages(const std::string& path) { return "T" + path.substr(1); }

struct Interval {
    Activity activity;
    std::string path;       // of what plans it: "trip.drives.1", "trip.stops.lake", "trip.water_days"
    int day;                // on which it begins, or whose night it is; counted from 1, the day of the start
    double begin_h, end_h;  // since the start, cut to the trip (storage lies before it); equal for a moment
};

}  // namespace ridethrough::trip
