#include "load_fields.hpp"
#include "ridethrough/loads/schemas.hpp"

namespace ridethrough::loads {
using namespace config;

namespace {

const Schema& tyre_pump() {
    static const Schema s{
        "TyrePump",
        "Tyre compressor, on days off the road; often the engine runs then, which this does not count.",
        {name_field("tyre_pump"), current({2, 80}, Spread::triangular(15, 25, 40)),
         number("minutes", "min", Level::trial, {0.5, 120}, Spread::triangular(4, 10, 20), kMemory,
                "length of one use"),
         share_of_days(0.1, kWeak), clock("earliest_h", 9, "earliest start"), clock("latest_h", 17, "latest start")},
        check_window};
    return s;
}
const Schema& appliance() {
    static const Schema s{
        "Appliance",
        "Any other load: a current for some minutes, some times a day, between two clock hours.",
        {given_name_field(), current({0, 300}, std::monostate{}),
         number("minutes", "min", Level::trial, {0.1, 1440}, std::monostate{}, "", "length of one use"),
         number("minutes_spread", "", Level::fixed, {0, 0.5}, 0.2, "own choice",
                "standard deviation of that length, as a share of it"),
         integer("uses", "", {1, 8}, 1.0, "own choice", "most uses a day"),
         number("use_share", "", Level::trial, {0, 1}, 1.0, "own choice", "chance of each of them"),
         clock("earliest_h", 7, "earliest start"), clock("latest_h", 21, "latest start"),
         number("start_a", "A", Level::trial, {0, 300}, 0.0, "own choice", "current of a start, 0 for none"),
         number("start_min", "min", Level::fixed, {0, 15}, 0.0, "own choice", "length of a start"),
         choice("feed", {"distribution", "inverter"}, "distribution", "own choice",
                "where it is fed: the distribution, or the inverter's own branch at the posts"),
         days_field(), rain_factor(1.0, "own choice")},
        check_window};
    return s;
}

}  // namespace

Schemas other_schemas() { return {&tyre_pump(), &appliance()}; }

std::span<const Schema* const> load_schemas() {
    static const Schemas all = [] {
        Schemas v;
        for (const auto& subject : {light_schemas(), water_schemas(), screen_schemas(), comfort_schemas(),
                                    steady_schemas(), inverter_schemas(), other_schemas()})
            v.insert(v.end(), subject.begin(), subject.end());
        return v;
    }();
    return all;
}

std::vector<RecordPtr> light_use_loads() {
    static const std::vector<RecordPtr> loads = [] {
        std::vector<RecordPtr> v;
        for (const char* kind : {"Lights", "WaterPump", "Phones", "Laptop", "Fan", "Standby", "Inverter", "Heater"})
            for (const Schema* s : load_schemas())
                if (s->name == kind) v.push_back(Record::make(*s, {}));
        return v;
    }();
    return loads;
}

}  // namespace ridethrough::loads
