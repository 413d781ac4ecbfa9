// What vehicle and battery declarations come to for the kernel. Internal to the layer.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/engine/plan.hpp"
#include "tables.hpp"

namespace ridethrough::trip {

// Loop resistance from the alternator to a DC-DC charger's input or over a plain cable, where supply_mohm is not given.
double supply_mohm(const config::Record& charger, bool towed);
double cabin_share_of(const std::string& location);

// How the compiler of a trip takes in numbers that only some vans have, and hours.
struct SlotMaker {
    std::function<int()> add;
    std::function<void(int slot, double constant)> set;  // a constant of no field
    std::function<void(int slot, const config::Record&, const char* field, const std::string& path)> bind;
    // A spread that follows from other fields, in place of a field's own.
    std::function<void(int slot, const std::string& path, config::Spread, double low, double high)> draw;
    // `what` is named where the hours lie outside the trip.
    std::function<void(std::vector<double>& spans, double from_h, double length_h, const std::string& what)> mark;
};
// Age, a measured capacity, a second battery, self-heating: what makes a battery other than its declaration.
void add_battery_state(const config::Record& battery, engine::VehiclePlan<double>& plan, const SlotMaker& slots);
// engine::Stages of each charging source: its profile's, or those of the battery's chemistry.
void charge_stages(const config::Record& van, engine::Plan<double>& plan);
// DC-DC charger or plain cable.
void add_alternator(const config::Record& van, const config::Record& trip, engine::VehiclePlan<double>& plan,
                    const SlotMaker& slots);
// Day trips, idling, generator, and the engine's heat.
void add_vehicle_hours(const config::Record& van, const config::Record& trip, Draft& draft, const SlotMaker& slots,
                       std::vector<std::string>& warnings);

// Rise of an engine bay's temperature in each step, from the hours within it that the engine runs.
std::vector<double> engine_bay_rise_k(const engine::Plan<double>& plan, const std::vector<double>& drive,
                                      const std::vector<double>& idle, double full_rise_k);

template <class T>
engine::VehiclePlan<T> cast_vehicle(const engine::VehiclePlan<double>& f) {
    engine::VehiclePlan<T> t;
    t.link = f.link;
    t.priority = f.priority;
    t.cycling_share = static_cast<T>(f.cycling_share);
    t.generator_a = static_cast<T>(f.generator_a);
    t.heater_w = static_cast<T>(f.heater_w);
    t.heated_to_c = static_cast<T>(f.heated_to_c);
    t.cells_wh_per_k_ah = static_cast<T>(f.cells_wh_per_k_ah);
    t.restart_slot = f.restart_slot;
    t.idle_slot = f.idle_slot;
    t.measured_slot = f.measured_slot;
    t.second_slot = f.second_slot;
    return t;
}

}  // namespace ridethrough::trip
