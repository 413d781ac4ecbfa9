// A validated van and trip, reduced to plain numbers for the hourly kernel. T is the kernel's number type. Arrays are
// owned by trip::Compiled (compile.hpp) and immutable; many threads read one plan.
#pragma once

#include <cstdint>

#include "ridethrough/weather/generator.hpp"
#include "ridethrough/loads/events.hpp"
#include "ridethrough/battery/battery.hpp"
#include "ridethrough/solar/arrays.hpp"
#include "ridethrough/cabin/heater.hpp"
#include "ridethrough/trip/clock_runs.hpp"
#include "ridethrough/engine/columns.hpp"
#include "ridethrough/engine/party_plan.hpp"
#include "ridethrough/engine/vehicle.hpp"
#include "ridethrough/fridge/options.hpp"
#include "ridethrough/engine/stop_days.hpp"
#include "ridethrough/engine/storage.hpp"

namespace ridethrough::engine {

// A load that follows the cabin's heat.
template <class T>
struct FanPlan {
    int load, current_slot;
    T starts_c, full_c;
    int fitted_slot = -1;  // 1 in a trial whose van has one, else 0
};
// A load that is always on.
struct StandbyPlan {
    int load, current_slot;
};

enum Source : int { kSolar, kDcDc, kMains, kSources };

template <class T>
struct Stages {
    T absorption_v, float_v, absorption_limit_h, tail_c_rate;
};

template <class T>
struct Plan {
    int days = 0;        // of the clock, touched
    int per_day = 24;    // steps a day
    int first_step = 0;  // step of day 0 in which the trip starts
    int steps = 0;       // simulated
    T step_h = 1;
    bool replay = false;
    int runs = 0;
    const trip::ClockRun* run = nullptr;
    const unsigned char* counted = nullptr;  // [(days + 1) * per_day] how often the trip runs each bin
    int sky_lead = 0;                // steps from the beginning of a sky's hour to that of the start's hour
    const int* sky_hour = nullptr;   // [24 days] hour of the sky for each hour of the clock; null: the same throughout

    battery::BatteryKind<T> battery{};
    Stages<T> stages[kSources]{};
    bool has_disconnect = false;
    T disconnect_delay_h = 0;

    T set_point_c = 0, hysteresis_k = 0, carnot_loss_per_k = 0;
    T door_opening_wh_per_k = 0, fridge_delay_h = 0, restart_wait_h = 0;
    T food_release = 0;        // share of the warm food's heat that flows into the box in a step
    T q_max_per_capacity = 1;  // both wells per Ah of 20-hour capacity

    T wake_h = 7, bedtime_h = 22;
    const T* dusk_h = nullptr;     // [days]
    const T* dawn_h = nullptr;     // [days]
    const T* drive = nullptr;      // [steps][2] hours within the step in which it begins and ends; none where equal
    const T* powered = nullptr;    // the same for shore power
    const T* warm_food = nullptr;  // [steps] 1 where warm food goes in

    int loads = 0, events = 0, fans = 0, standbys = 0, slots = 0;
    const loads::EventPlan<T>* event = nullptr;
    const FanPlan<T>* fan = nullptr;
    const StandbyPlan* standby = nullptr;
    cabin::HeaterPlan<T> heater{};

    int day_slots = 0;              // slots drawn anew each day
    const int* day_slot = nullptr;  // [day_slots]

    // Each purpose's words stand together, day after day; here is where each purpose starts.
    int clearness_word = 0, temperature_word = 0, cloud_word = 0, fridge_word = 0;

    PartyPlan<T> party{};
    WaterPlan<T> water{};
    fridge::FridgeOptions<T> fridge{};
    StopDays<T> stops{};
    StoragePlan<T> storage{};
    solar::SolarPlan<T> solar{};

    weather::WeatherView<T> weather{};
    weather::ReplayView<T> record{};
    T air_temp_lag1 = 0;

    VehiclePlan<T> vehicle{};
};

}  // namespace ridethrough::engine
