// The vans and trips of the digest: between them most parts that a van or a trip may have.
#pragma once

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/weather/series.hpp"
#include "trip/van_fixture.hpp"

namespace digest {
using namespace ridethrough;
using config::ConfigurationPtr;
using config::Spread;
using config::Variation;
using van_fixture::make;

// Monthly normals of Greensboro, North Carolina, rounded; `warmer` moves the temperatures.
inline ConfigurationPtr site(double warmer = 0, config::Value record = std::monostate{}) {
    const std::vector<double> ghi{2.4, 3.1, 4.2, 5.4, 5.6, 6.2, 6.1, 5.6, 4.4, 3.6, 2.4, 2.2};
    std::vector<double> air{0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2};
    for (double& c : air) c += warmer;
    const ConfigurationPtr climate = make("Climate", {{"latitude", 36.1},
                                                      {"longitude", -79.95},
                                                      {"ghi_kwh_m2_day", ghi},
                                                      {"air_temp_c", air},
                                                      {"ghi_scale", Spread::normal(1, 0.03)},
                                                      {"weather_series", std::move(record)}});
    return make("Site", {{"latitude", 36.1}, {"longitude", -79.95}, {"climate", climate}});
}

// Every kind of load, and of feed.
inline std::vector<ConfigurationPtr> loads() {
    std::vector<ConfigurationPtr> out;
    for (const char* name : {"Lights", "WaterPump", "Phones", "Laptop", "Fan", "Inverter", "Heater"})
        out.push_back(make(name));
    out.push_back(make("Standby", {{"current_a", Spread::discrete({0.2, 0.5, 0.9}, {1, 2, 1})}}));
    out.push_back(make("Appliance", {{"name", std::string("kettle")},
                                     {"current_a", 25.0},
                                     {"duration_min", 12.0},
                                     {"uses_per_day", 2.0},
                                     {"use_probability", 0.6},
                                     {"feed", std::string("inverter")}}));
    return out;
}

inline std::shared_ptr<const trip::CompiledTrip> agm_case() {
    const ConfigurationPtr van =
        make("Van", {{"loads", loads()},
                     {"mains", make("MainsCharger")},
                     {"solar", make("SolarArray", {{"tilt_deg", 15.0}, {"azimuth_deg", 200.0}})},
                     {"disconnect", make("SystemDisconnect")}});
    const ConfigurationPtr plan = make("Trip", {{"site", site()},
                                                {"start", std::string("2026-11-06 15:00")},
                                                {"nights", 5.0},
                                                {"drive_days", std::vector<double>{2}},
                                                {"drive_hours", 0.5},
                                                {"powered_nights", std::vector<double>{1}},
                                                {"powered_hours", 2.0},
                                                {"warm_food_days", std::vector<double>{3}},
                                                {"habits_scale", Spread::pert(1.0, 1.4, 2.0)}});
    return std::make_shared<const trip::CompiledTrip>(van, plan);
}

// In the cold, where the BMS blocks charging, and with shorter steps.
inline std::shared_ptr<const trip::CompiledTrip> lfp_case() {
    const ConfigurationPtr battery =
        make("LithiumBattery", {{"capacity_ah", Spread::uniform(90, 120)}, {"cabin_share", 0.2}});
    const ConfigurationPtr van =
        make("Van", {{"battery", battery}, {"loads", loads()}, {"mains", make("MainsCharger")}});
    const ConfigurationPtr plan = make("Trip", {{"site", site()},
                                                {"start", std::string("2027-01-15 16:00")},
                                                {"nights", 4.0},
                                                {"step_min", 30.0},
                                                {"drive_days", std::vector<double>{1, 3}},
                                                {"drive_hours", 1.5},
                                                {"powered_nights", std::vector<double>{2}},
                                                {"powered_hours", 3.0},
                                                {"shade_beam", Spread::uniform(0.1, 0.6, Variation::day)}});
    return std::make_shared<const trip::CompiledTrip>(van, plan);
}

// A tour: other skies at each stop, two batteries, a panel on the grass, tanks, and people who may be careless.
inline std::shared_ptr<const trip::CompiledTrip> tour_case() {
    const auto stop = [](const char* name, const ConfigurationPtr& where, config::Values more) {
        more.insert({{"name", std::string(name)}, {"site", where}});
        return make("Stop", more);
    };
    const ConfigurationPtr van = make(
        "Van", {{"battery",
                 make("AgmBattery", {{"capacity_ah", 90.0}, {"second", make("SecondBattery", {{"age_years", 4.0}})}})},
                {"more_solar", std::vector<ConfigurationPtr>{make("PortableArray")}},
                {"mains", make("MainsCharger")},
                {"water", make("WaterTanks")},
                {"loads", loads()}});
    const ConfigurationPtr plan = make(
        "Trip", {{"stops", std::vector<ConfigurationPtr>{stop("lake", site(), {{"nights", 2.0}}),
                                                         stop("hills", site(-6), {{"nights", 2.0}, {"shade_sky", 0.2}}),
                                                         stop("town", site(2), {{"power", std::string("shore")}})}},
                 {"start", std::string("2026-10-09 14:00")},
                 {"water_days", std::vector<double>{2}},
                 {"party", make("Party", {{"persons", 3.0}, {"carelessness", 1.0}, {"shopping_probability", 0.3}})}});
    return std::make_shared<const trip::CompiledTrip>(van, plan);
}

// Real days, made up: two months of hours by whole-number arithmetic, which any machine repeats.
inline config::SeriesPtr record() {
    weather::SeriesHours r;
    r.latitude_deg = 36.1;
    r.longitude_deg = -79.95;
    r.utc_offset_h = -5;
    r.first_hour = 24 * sun::day_number({2025, 10, 10});
    for (int i = 0; i < 24 * 60; ++i) {
        const int hour = i % 24, day = i / 24, bright = 20 + (day * 37) % 61;  // percent
        const int height = std::max(0, 121 - (2 * hour - 23) * (2 * hour - 23));
        r.ghi_w_m2.push_back(height * bright / 24.0);
        r.air_temp_c.push_back(8 - (day * 29) % 11 + (hour > 6 && hour < 18 ? 5 : 0));
    }
    return std::make_shared<weather::WeatherSeries>(r);
}

// After weeks of standing, through a record's days: a plain cable from the alternator, and a box for ice.
inline std::shared_ptr<const trip::CompiledTrip> replay_case() {
    const ConfigurationPtr van =
        make("Van", {{"dc_dc", make("AlternatorCable")},
                     {"fridge", make("Fridge", {{"freezer_box", make("FreezerBox")}, {"cutout_v", 10.8}})},
                     {"loads", loads()}});
    const ConfigurationPtr plan = make("Trip", {{"site", site(0, record())},
                                                {"weather", std::string("replayed")},
                                                {"start", std::string("2026-11-06 15:00")},
                                                {"nights", 4.0},
                                                {"drive_days", std::vector<double>{1, 3}},
                                                {"storage", make("Storage", {{"weeks", Spread::uniform(1, 8)}})}});
    return std::make_shared<const trip::CompiledTrip>(van, plan);
}

struct Case {
    const char* name;
    std::shared_ptr<const trip::CompiledTrip> compiled;
    int trials;
};
inline std::vector<Case> cases() {
    return {{"agm", agm_case(), 4096},
            {"lfp", lfp_case(), 4096},
            {"tour", tour_case(), 1024},
            {"replay", replay_case(), 1024}};
}

}  // namespace digest
