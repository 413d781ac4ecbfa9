#include "activity_schemas.hpp"

#include "ridethrough/config/declare.hpp"

namespace ridethrough::trip {
using namespace config;

namespace {

const char* const kCount = "; 1 is the day of the start";

Field start(double usual, Range range, const char* doc) {
    return number("start_h", "h", Variation::fixed, range, usual, own_choice(), doc);
}
Field length(double usual, Range range, const char* doc, Source source = own_choice()) {
    return formerly("hours", number("duration_h", "h", Variation::fixed, range, usual, std::move(source), doc));
}
Field on_days(const std::string& what) { return days("days", "days " + what + kCount); }

const Schema& drive_schema() {
    static const Schema schema{"Drive",
                               "A drive, on one day of the trip or on several.",
                               {on_days("of the drive"), start(10, {0, 23}, "clock hour of the departure"),
                                length(2, {0, 12}, "length of the drive")},
                               {},
                               {},
                               Owner::trip};
    return schema;
}

const Schema& day_trip_schema() {
    static const Schema schema{
        "DayTrip",
        "A drive out and back to the same place. It charges like any drive, but not a towed camper, which stays "
        "behind.",
        {on_days("of the day trip"), start(10, {0, 23}, "clock hour of it"),
         length(1.5, {0, 12}, "hours driven on it")},
        {},
        {},
        Owner::trip};
    return schema;
}

const Schema& idle_schema() {
    static const Schema schema{
        "Idle",
        "The engine idles to charge (of a towed camper: hitched). Rude or illegal in many places; never in or beside "
        "a closed space: carbon monoxide kills.",
        {on_days("on which it idles"), start(17, {0, 23}, "clock hour of it"), length(0.5, {0, 12}, "how long")},
        {},
        {},
        Owner::trip};
    return schema;
}

const Schema& generator_run_schema() {
    static const Schema schema{
        "GeneratorRun",
        "The generator runs, within the hours of Trip.generator_allowed_from_h and _to_h. Never in or beside a closed "
        "space: carbon monoxide kills.",
        {on_days("on which it runs"), start(16, {0, 23}, "clock hour of it"),
         length(1.5, {0, 24}, "how long", from_memory("up to 4"))},
        {},
        {},
        Owner::trip};
    return schema;
}

const Schema& shore_power_schema() {
    static const Schema schema{
        "ShorePower",
        "A night on shore power, or several.",
        {days("nights",
              "nights plugged in; 1 is the night that begins on the day of the start; a date or a weekday is that of "
              "the evening"),
         start(16, {12, 23}, "clock hour of plugging in"), length(16, {1, 24}, "hours plugged in")},
        {},
        {},
        Owner::trip};
    return schema;
}

}  // namespace

std::span<const Schema* const> activity_schemas() {
    static const std::vector<const Schema*> all{&drive_schema(), &day_trip_schema(), &idle_schema(),
                                                &generator_run_schema(), &shore_power_schema()};
    return all;
}

std::vector<Moved> moved_to_lists() {
    struct List {
        std::vector<std::string> before;
        std::string field, example, file_example;
    };
    const std::vector<List> lists{{{"drive_days", "drive_start_h", "drive_hours"},
                                   "drives",
                                   "drives=[Drive(days=[2, 4], start_h=10, duration_h=2)]",
                                   "days = [2, 4], start_h = 10, duration_h = 2"},
                                  {{"day_trip_days", "day_trip_start_h", "day_trip_hours"},
                                   "day_trips",
                                   "day_trips=[DayTrip(days=[2, 4], start_h=10, duration_h=1.5)]",
                                   "days = [2, 4], start_h = 10, duration_h = 1.5"},
                                  {{"idle_days", "idle_start_h", "idle_hours"},
                                   "idling",
                                   "idling=[Idle(days=[2, 4], start_h=17, duration_h=0.5)]",
                                   "days = [2, 4], start_h = 17, duration_h = 0.5"},
                                  {{"generator_days", "generator_start_h", "generator_hours"},
                                   "generator_runs",
                                   "generator_runs=[GeneratorRun(days=[2, 4], start_h=16, duration_h=1.5)]",
                                   "days = [2, 4], start_h = 16, duration_h = 1.5"},
                                  {{"powered_nights", "powered_from_h", "powered_hours"},
                                   "shore_power",
                                   "shore_power=[ShorePower(nights=[2], start_h=16, duration_h=16)]",
                                   "nights = [2], start_h = 16, duration_h = 16"}};
    const std::string counted = ", with numbers that count from 1 (what was 0 is 1)";
    std::vector<Moved> out;
    for (const List& list : lists)
        for (const std::string& name : list.before)
            out.push_back({name, "in the list " + list.field, list.example + counted,
                           "write [[trip." + list.field + "]] and under it " + list.file_example +
                               ", a table for each" + counted});
    return out;
}

}  // namespace ridethrough::trip
