#include "ridethrough/trip/registry.hpp"

#include <vector>

#include "ridethrough/charge/schemas.hpp"
#include "ridethrough/climate/climate.hpp"
#include "ridethrough/load/schemas.hpp"
#include "ridethrough/power/schemas.hpp"
#include "ridethrough/solar/schemas.hpp"
#include "ridethrough/trip/schemas.hpp"

namespace ridethrough::trip {

std::span<const base::Schema* const> all_schemas() {
    static const std::vector<const base::Schema*> all = [] {
        std::vector<const base::Schema*> v{
            &climate::climate_schema(),      &charge::charge_profile_schema(),  &charge::dc_dc_charger_schema(),
            &charge::mains_charger_schema(), &charge::alternator_link_schema(), &charge::generator_schema(),
            &solar::solar_array_schema(),    &solar::portable_array_schema(),   &solar::panel_film_schema(),
            &power::agm_battery_schema(),      &power::second_battery_schema(),
            &power::lfp_battery_schema(),    &power::wiring_schema(),           &power::system_disconnect_schema(),
            &load::fridge_schema()};
        for (const base::Schema* s : load::fridge_part_schemas()) v.push_back(s);
        for (const base::Schema* s : load::load_schemas()) v.push_back(s);
        v.insert(v.end(), {&load::water_tanks_schema(), &party_schema()});
        v.insert(v.end(), {&van_schema(), &site_schema(), &stop_schema(), &storage_schema(), &trip_schema()});
        return v;
    }();
    return all;
}

const base::Schema& schema_named(const std::string& name) {
    std::vector<std::string> names;
    for (const base::Schema* schema : all_schemas()) {
        if (schema->name == name) return *schema;
        names.push_back(schema->name);
    }
    const std::string near = base::nearest_name(name, names);
    throw base::InputError(name + ": no such class" + (near.empty() ? "" : "; did you mean " + near + "?"));
}

}  // namespace ridethrough::trip
