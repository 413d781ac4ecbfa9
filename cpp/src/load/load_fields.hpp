// Fields that several loads share. Internal to the layer. Every range that is marked so is from memory.
#pragma once

#include <string>
#include <utility>

#include "ridethrough/base/declare.hpp"

namespace ridethrough::load {

inline const std::string kMemory = "from memory";
inline const std::string kWeak = "from memory, weak";

inline base::Field name_field(const char* standard) {
    return base::text("name", std::string(standard), "name of this load in paths and results, unique in a van");
}
inline base::Field given_name_field() {
    return base::text("name", std::monostate{}, "name of this load in paths and results, unique in a van");
}
inline base::Field current(base::Range range, base::Value standard, std::string source = kMemory) {
    return base::number("current_a", "A", base::Level::trial, range, std::move(standard), std::move(source),
                        "current while it runs");
}
inline base::Field clock(const char* name, double standard, const char* doc) {
    return base::number(name, "h", base::Level::fixed, {0, 24}, standard, "own choice", doc);
}
inline base::Field share_of_days(base::Value standard, std::string source = kMemory) {
    return base::number("share_of_days", "", base::Level::trial, {0, 1}, std::move(standard), std::move(source),
                        "chance that it is used on a day");
}
inline base::Field hours_field(base::Range range, base::Value standard, const char* doc, std::string source = kMemory) {
    return base::number("hours", "h", base::Level::trial, range, std::move(standard), std::move(source), doc);
}
inline base::Field rain_factor(double standard, std::string source = kMemory) {
    return base::number("rain_factor", "", base::Level::fixed, {0, 5}, standard, std::move(source),
                        "factor on its hours on a rainy day; needs Trip.party, which says what a rainy day is");
}
inline base::Field rain_share_factor(double standard, std::string source = kMemory) {
    return base::number("rain_share_factor", "", base::Level::fixed, {0, 5}, standard, std::move(source),
                        "factor on its chance on a rainy day; needs Trip.party");
}
inline base::Field days_field() {
    return base::choice("days", {"all", "workdays", "weekends"}, "all", "own choice",
                        "days of the week on which it may be used; workdays are Monday to Friday");
}
inline void check_window(const base::Record& r) {
    if (r.number("latest_h") >= r.number("earliest_h")) return;
    const std::string& owner = r.schema().name;
    throw base::InputError(owner + ".latest_h = " + base::number_text(r.number("latest_h")) +
                           (r.at("latest_h") == r.schema().field("latest_h").standard ? " h (its default)" : " h") +
                           ": must not be before earliest_h = " + base::number_text(r.number("earliest_h")) + " h");
}

// Schemas by subject, in the order in which they are listed.
using Schemas = std::vector<const base::Schema*>;
Schemas light_schemas();     // Lights, OutsideLight, GuestEvening
Schemas water_schemas();     // WaterPump
Schemas screen_schemas();    // Phones, Tablets, Laptop, Television, InternetTerminal, Router, Radio, BatteryPacks
Schemas comfort_schemas();   // Fan, Heater, GasFurnace, ElectricBlanket
Schemas steady_schemas();    // Standby, Detectors, BreathingMachine
Schemas inverter_schemas();  // Inverter, InverterAppliance, Kettle, InductionHob, Microwave, HairDryer, EBike
Schemas other_schemas();     // TyrePump, Appliance

}  // namespace ridethrough::load
