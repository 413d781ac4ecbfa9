// A compiled trip as the kernel reads it: the models of its components, all in double. Arrays are owned by CompiledTrip
// (compile.hpp) and immutable; many threads read one plan.
#pragma once

#include <cstdint>

#include "ridethrough/battery/model.hpp"
#include "ridethrough/cabin/air.hpp"
#include "ridethrough/cabin/heater.hpp"
#include "ridethrough/charging/model.hpp"
#include "ridethrough/circuit/model.hpp"
#include "ridethrough/fridge/model.hpp"
#include "ridethrough/loads/events.hpp"
#include "ridethrough/loads/party_model.hpp"
#include "ridethrough/loads/tanks.hpp"
#include "ridethrough/solar/arrays.hpp"
#include "ridethrough/trip/clock_runs.hpp"
#include "ridethrough/trip/stop_days.hpp"
#include "ridethrough/trip/storage.hpp"
#include "ridethrough/weather/model.hpp"

namespace ridethrough::trip {

struct Plan {
    int days = 0;        // of the clock, touched
    int per_day = 24;    // steps a day
    int first_step = 0;  // step of day 0 in which the trip starts
    int steps = 0;       // simulated
    double step_h = 1;
    bool replay = false;
    int runs = 0;
    const ClockRun* run = nullptr;
    const unsigned char* counted = nullptr;  // [(days + 1) * per_day] how often the trip runs each bin
    int sky_lead = 0;                        // steps from the beginning of a sky's hour to that of the start's hour
    const int* sky_hour = nullptr;  // [24 days] hour of the sky for each hour of the clock; null: the same throughout

    battery::Model battery;
    charging::Stages stages[charging::kSources]{};
    charging::AlternatorModel alternator;
    charging::MainsModel mains;
    circuit::WiringModel wiring;
    circuit::DisconnectModel disconnect;
    fridge::Model fridge;
    double food_release = 0;  // share of the warm food's heat that flows into the box in a step
    cabin::AirModel air;
    cabin::HeaterModel heater;
    solar::Model solar;

    double wake_h = 7, bedtime_h = 22;
    const double* dusk_h = nullptr;  // [days]
    const double* dawn_h = nullptr;  // [days]
    // [steps][2] hours within the step in which it begins and ends; none where equal. The last two: null for none.
    const double *drive = nullptr, *powered = nullptr, *idle = nullptr, *generator = nullptr;
    const double* battery_rise_k = nullptr;  // [steps] of the engine's heat around the battery; null for none
    const double* warm_food = nullptr;       // [steps] 1 where warm food goes in

    loads::InverterModel inverter;

    int loads = 0, events = 0, fans = 0, standbys = 0;
    const loads::EventModel* event = nullptr;
    const loads::FanModel* fan = nullptr;
    const loads::StandbyModel* standby = nullptr;
    loads::PartyModel party;
    loads::Habits habits;
    loads::WaterModel water;

    int parameters = 0;
    int daily = 0;                                   // parameters drawn anew each day
    const random::ParameterIndex* of_day = nullptr;  // [daily]

    random::ParameterIndex shade_beam, shade_sky;
    weather::Model weather;
    StopDays stops;
    StorageModel storage;
};

}  // namespace ridethrough::trip
