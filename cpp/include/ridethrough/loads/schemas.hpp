// The loads of a van besides its fridge: what there is to declare, and its way to the kernel's models.
#pragma once

#include <span>
#include <vector>

#include "ridethrough/cabin/heater.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/loads/events.hpp"
#include "ridethrough/loads/party_model.hpp"
#include "ridethrough/loads/tanks.hpp"
#include "ridethrough/random/parameter_table.hpp"

namespace ridethrough::loads {

// Lights, WaterPump, Phones, Heater, Inverter, Appliance, ...: each has a `name`, unique in a van.
std::span<const config::Schema* const> load_schemas();
// Loads of a couple that uses little: the default of Van.loads.
std::vector<config::ConfigurationPtr> light_use_loads();
// Fresh and grey tank: Van.water.
const config::Schema& water_tanks_schema();
// Who travels: Trip.party.
const config::Schema& party_schema();

struct LoadModels {
    std::vector<EventModel> events;
    std::vector<FanModel> fans;
    std::vector<StandbyModel> standbys;
    InverterModel inverter;
    const config::Configuration* first_inverter = nullptr;  // whose cut-out it is; null: none is declared
    cabin::HeaterModel heater;
};
struct DayHabits {
    double wake_h, bedtime_h;
    double persons;
};
// In the order of the loads, whose places are their numbers. InputError where two have one name or two are heaters.
LoadModels compile(std::span<const config::ConfigurationPtr> loads, const DayHabits& habits,
                   random::ParameterTable& table);

// People who sleep in the van; of a trip that does not say who travels (null), the default.
double persons_of(const config::ConfigurationPtr& party);
// `party`: null where none is given. `warm_food_h`: clock hour of the shopping.
PartyModel compile_party(const config::ConfigurationPtr& party, double step_h, double warm_food_h,
                         random::ParameterTable& table);
// `tanks`: null where the van has none.
WaterModel compile_water(const config::ConfigurationPtr& tanks, random::ParameterTable& table);

}  // namespace ridethrough::loads
