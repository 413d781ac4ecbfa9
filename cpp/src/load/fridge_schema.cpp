#include "ridethrough/base/declare.hpp"
#include "ridethrough/load/schemas.hpp"

namespace ridethrough::load {
using namespace base;

const Schema& fridge_schema() {
    static const Schema schema{
        "Fridge",
        "Compressor fridge: one node for inside air and contents, a thermostat, a compressor at constant power, and "
        "the "
        "low-voltage cut-out of its electronics, measured at its terminals.",
        {
            number("volume_l", "l", Level::fixed, {5, 500}, 55.0, "common size", "inside volume"),
            number("set_point_c", "degC", Level::fixed, {-2, 12}, 4.0, "food rule: at or below 5 degC",
                   "middle of the thermostat's band"),
            number("hysteresis_k", "K", Level::fixed, {0.2, 5}, 1.0, "from memory",
                   "the thermostat switches this much above and below the set point"),
            derived("ua_w_per_k", "W/K", Level::trial, {0.05, 20}, "own fit: 1.0 (volume/55)^.74",
                    "heat leak of the closed box; not given: from the volume"),
            number("heat_leak_factor", "", Level::trial, {0.3, 3}, Spread::triangular(0.8, 1.0, 1.4), "from memory",
                   "factor on the heat leak: build, seal, cover, age"),
            derived("heat_capacity_kj_per_k", "kJ/K", Level::trial, {2, 500}, "own choice: 30 volume/55",
                    "heat capacity of the contents; not given: from the volume"),
            derived("compressor_w", "W", Level::trial, {10, 300}, "own fit: 60 (volume/55)^.3",
                    "electric power while the compressor runs; not given: from the volume"),
            number("carnot_share", "", Level::trial, {0.1, 0.8}, 0.41, "own fit, from memory",
                   "coefficient of performance as a share of Carnot's at 20 degC around the fridge"),
            number("carnot_share_loss_per_k", "1/K", Level::fixed, {0, 0.02}, 0.003, "own fit, from memory",
                   "relative fall of that share per K above 20 degC"),
            number("vent_rise_k", "K", Level::trial, {0, 25}, Spread::triangular(0, 1, 4), "from memory",
                   "how much warmer the air around the condenser is than the cabin"),
            number("door_openings_per_day", "1/d", Level::trial, {0, 80}, 20.0, "from memory: 10 to 50",
                   "mean number of door openings a day"),
            number("door_opening_wh", "Wh", Level::fixed, {0, 10}, 0.6, "psychrometrics: .5 to 1.1 for 50 l",
                   "heat let in by one opening when the cabin is 28 K warmer than the inside"),
            number("cutout_v", "V", Level::trial, {8.5, 12.6}, 10.4, "from memory: a typical setting",
                   "terminal voltage, compressor running, below which the electronics stop it"),
            number("restart_v", "V", Level::trial, {9, 13.5}, 11.7, "from memory: a typical setting",
                   "terminal voltage at which it may start again"),
            number("cutout_delay_s", "s", Level::fixed, {0, 600}, 3.0, "from memory",
                   "how long the voltage has to stay below"),
            number("restart_wait_s", "s", Level::fixed, {0, 3600}, 60.0, "from memory",
                   "shortest pause before a new start"),
        },
        {}};
    return schema;
}

}  // namespace ridethrough::load
