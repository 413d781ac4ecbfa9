#include "ridethrough/trip/registry.hpp"

#include <vector>

#include "activity_schemas.hpp"
#include "ridethrough/battery/chemistry.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/circuit/schemas.hpp"
#include "ridethrough/fridge/schemas.hpp"
#include "ridethrough/loads/schemas.hpp"
#include "ridethrough/solar/schemas.hpp"
#include "ridethrough/trip/schemas.hpp"
#include "ridethrough/weather/climate.hpp"

namespace ridethrough::trip {

std::span<const config::Schema* const> all_schemas() {
    static const std::vector<const config::Schema*> all = [] {
        std::vector<const config::Schema*> v{
            &weather::climate_schema(),        &charging::charge_profile_schema(),   &charging::dc_dc_charger_schema(),
            &charging::mains_charger_schema(), &charging::alternator_cable_schema(), &charging::generator_schema(),
            &solar::solar_array_schema(),      &solar::portable_array_schema(),      &solar::snow_and_frost_schema(),
            &circuit::wiring_schema(),         &circuit::system_disconnect_schema(), &fridge::fridge_schema()};
        for (const battery::Chemistry* c : battery::chemistries()) v.push_back(&c->schema());
        for (const config::Schema* s : fridge::fridge_part_schemas()) v.push_back(s);
        for (const config::Schema* s : loads::load_schemas()) v.push_back(s);
        v.insert(v.end(), {&loads::water_tanks_schema(), &loads::party_schema()});
        v.insert(v.end(), {&van_schema(), &site_schema(), &stop_schema(), &storage_schema()});
        for (const config::Schema* s : activity_schemas()) v.push_back(s);
        v.push_back(&trip_schema());
        return v;
    }();
    return all;
}

const config::Schema& schema_named(const std::string& name) {
    std::vector<std::string> names;
    for (const config::Schema* schema : all_schemas()) {
        if (schema->name == name) return *schema;
        if (!name.empty() && schema->former_name == name) throw base::InputError(name + ": now " + schema->name);
        names.push_back(schema->name);
    }
    const std::string near = base::nearest_name(name, names);
    throw base::InputError({.path = name, .reason = "no such class", .suggestion = near});
}

}  // namespace ridethrough::trip
