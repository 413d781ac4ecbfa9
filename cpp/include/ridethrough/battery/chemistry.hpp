// What a battery chemistry is made of. One object of each stands in its own file (agm.cpp, lfp.cpp); registry.cpp lists
// them.
#pragma once

#include <span>
#include <string>

#include "ridethrough/battery/model.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/parameter_table.hpp"

namespace ridethrough::battery {

struct Chemistry {
    const config::Schema& (*schema)();
    // The numbers and laws that are its own; `Model`'s indices are the compiler's.
    Model (*model)(const config::Configuration& battery);
    // Its own quantities among the parameters, beside those that every battery has.
    void (*add_parameters)(const config::Configuration& battery, Model& model, const random::ParameterPath& at,
                           random::ParameterTable& table);
    config::Spread (*aged_health)(double years);           // share of the rated capacity that is left
    config::Spread (*aged_resistance_mohm)(double years);  // of a 100 Ah battery
    const char* family;               // "lead_acid" or "lithium", as a charge profile says what it is meant for
    bool vents_gas;                   // also a sealed one: it can dry out, and its box needs a vent to the outside
    double absorption_limit_h;        // of a charger without a profile of its own
    double self_discharge_per_month;  // share of the charge; from memory
};

std::span<const Chemistry* const> chemistries();
const Chemistry& chemistry_of(const config::Configuration& battery);

// One battery, or several of one chemistry in parallel, at these paths: sizes, ages, health and resistances are each
// one's own, all else is said by the first.
Model compile(std::span<const config::ConfigurationPtr> batteries, std::span<const std::string> paths,
              random::ParameterTable& table);
// InputError where they are not of one chemistry, or where one says otherwise than the first what all have in common.
void check_in_parallel(const config::Configuration& van);
// What a van's batteries have in common: chemistry, place, charge at the start, all but the numbers that are each one's
// own.
const config::Configuration& in_common(const config::Configuration& van);

// Both wells per Ah of capacity at a constant discharge over `hours` (Jongerden & Haverkort 2009, constant current).
double q_max_per_capacity(double c, double k_per_h, double hours);

// Capacity of vented lead-acid cells at a temperature as a share of that at 25 degC: 1/K_T of IEEE 485.
double vented_capacity_share(double temp_c);

Curve<double> curve_through(std::span<const double> x, std::span<const double> y);

}  // namespace ridethrough::battery
