// The shipped demo, python/ridethrough/data/demo.toml, in C++: the same probability, bit for bit.
#include <cstdio>
#include <iostream>
#include <ridethrough/ridethrough.hpp>

using namespace ridethrough;

int main() try {
    const Climate greensboro({
        // TMY3 723170, US public domain; demo.toml says how the figures were had
        {"name", "Greensboro, North Carolina"},
        {"source", "TMY3 723170, US public domain"},
        {"ghi_kwh_m2_day", {2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24}},
        {"air_temp_c", {0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2}},
        {"clearness_lag1", 0.28},
        {"air_temp_sd_c", {5.0, 6.7, 5.6, 3.7, 3.5, 2.0, 2.7, 1.8, 2.5, 3.7, 3.1, 5.0}},
        {"air_temp_lag1", 0.67},
        {"clearness_temp_corr", {-0.08, -0.08, 0.12, 0.12, 0.12, 0.36, 0.36, 0.36, 0.06, 0.06, 0.06, -0.08}},
    });
    const Van van({
        {"battery", make("AgmBattery", {{"capacity_ah", 150}})},
        {"solar", make("SolarArray", {{"rated_w", 220}})},
        {"loads",
         {make("Lights"), make("WaterPump"), make("Phones"), make("Laptop"), make("Fan"), make("Inverter"),
          make("Standby", {{"current_a", 0.3}}),
          make("Heater",
               {{"set_point_c", 19}, {"night_set_point_c", 12}, {"glow_current_a", 9}, {"glow_duration_min", 5}})}},
    });
    const Trip trip({
        {"site", Site({{"latitude", 36.10},
                       {"longitude", -79.95},
                       {"climate", greensboro},
                       {"utc_offset_h", -5}})},  // eastern winter time: this library knows no time zones
        {"start", "2026-11-06 15:00"},
        {"nights", 5},
        {"habits_scale", 1.15},
    });

    const Risk risk = simulate(van, trip, {.trials = 20'000, .seed = 1});

    std::cout << risk.text();
    double off_h = 0;
    for (const float hours : risk.column("hours_off")) off_h += hours;
    std::printf("Fridge off for %.2f h on average over all %lld trials.\n", off_h / static_cast<double>(risk.trials),
                static_cast<long long>(risk.trials));
    std::printf("cutout %a low %a high %a trials %lld\n", risk.cutout.value, risk.cutout.low, risk.cutout.high,
                static_cast<long long>(risk.trials));
} catch (const InputError& error) {
    std::cerr << "error: " << error.what() << "\n";
    return 2;
}
