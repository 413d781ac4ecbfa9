#include "ridethrough/charge/schemas.hpp"

#include "ridethrough/base/declare.hpp"

namespace ridethrough::charge {
using namespace base;

Field profile_field() {
    return record("profile", {"ChargeProfile"}, std::monostate{}, true,
                  "charge stages; not given: the stages that suit the battery's chemistry");
}

const Schema& charge_profile_schema() {
    static const Schema schema{
        "ChargeProfile",
        "Stages of a charger or regulator: absorption voltage until the tail current or a time limit, then float.",
        {
            choice("chemistry", {"lead_acid", "lithium"}, "lead_acid", "own choice", "what the profile is meant for"),
            number("absorption_v", "V", Level::fixed, {12.5, 15.5}, 14.4, "common practice, no source",
                   "voltage held at the battery posts until it is full"),
            number("float_v", "V", Level::fixed, {12.5, 15}, 13.5, "common practice, no source",
                   "voltage held afterwards"),
            number("absorption_limit_h", "h", Level::fixed, {0, 24}, 5.0, "from memory: an AGM needs 4.5 to 5.3 h",
                   "longest absorption in a day"),
            number("tail_current_c_rate", "1/h", Level::fixed, {0.001, 0.1}, 0.01, "common practice, no source: C/100",
                   "the battery counts as full when its current falls below this share of its capacity"),
        },
        [](const Record& r) {
            if (!(r.number("absorption_v") >= r.number("float_v")))
                throw InputError("ChargeProfile.absorption_v = " + number_text(r.number("absorption_v")) +
                                 " V: must not be below float_v = " + number_text(r.number("float_v")) + " V");
        }};
    return schema;
}

const Schema& dc_dc_charger_schema() {
    static const Schema schema{
        "DcDcCharger",
        "Charger between the vehicle's alternator and the house battery; works while driving.",
        {
            number("current_a", "A", Level::trial, {1, 200}, 25.0, "common size", "largest output current"),
            number("efficiency", "", Level::trial, {0.5, 1}, 0.92, "from memory: .90 to .93",
                   "output power per input power"),
            number("alternator_v", "V", Level::day, {11, 16}, Spread::triangular(13.3, 14.0, 14.5), "from memory",
                   "alternator voltage while driving"),
            number("supply_mohm", "mohm", Level::trial, {0, 1000}, 15.0, "from memory",
                   "loop resistance from the alternator to the charger's input"),
            number("lockout_v", "V", Level::trial, {9, 15}, 12.6, "from memory",
                   "the charger stays off when its input, under load, is below this voltage"),
            profile_field(),
        }};
    return schema;
}

const Schema& mains_charger_schema() {
    static const Schema schema{
        "MainsCharger",
        "Battery charger on shore power; works on powered nights.",
        {
            number("current_a", "A", Level::trial, {1, 200}, 20.0, "common size", "largest output current"),
            profile_field(),
        }};
    return schema;
}

}  // namespace ridethrough::charge
