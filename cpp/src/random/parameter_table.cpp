#include "ridethrough/random/parameter_table.hpp"

#include <cmath>
#include <utility>

#include "ridethrough/random/purpose.hpp"

namespace ridethrough::random {
using base::InputError;
using config::Configuration;

namespace {

Parameter parameter_of(const Configuration& configuration, const char* field, const ParameterPath& at) {
    const config::Schema& schema = configuration.schema();
    const config::Field& f = schema.field(field);
    return {.path = at.path + f.name,
            .draw = at.draw + (f.draw_name.empty() ? f.name : f.draw_name),
            .owner = schema.owner_of(f),
            .low = f.low,
            .high = f.high};
}

bool is_daily(const config::Spread& spread, const config::Field& field) {
    return spread.per().value_or(field.variation) == config::Variation::day;
}

}  // namespace

std::uint32_t ParameterTable::purpose_of(const std::string& name) {
    const std::uint32_t number = purpose(name);
    const std::string& known = name_of_.try_emplace(number, name).first->second;
    if (known != name)
        throw InputError({.path = "Van.loads",
                          .reason = "\"" + name + "\" and \"" + known +
                                    "\" would have the same random numbers: call one of them differently"});
    return number;
}

ParameterIndex ParameterTable::append(Parameter p) {
    if (p.spread && !p.purpose) p.purpose = purpose_of("spread." + p.draw);
    parameters_.push_back(std::move(p));
    return ParameterIndex(static_cast<int>(parameters_.size()) - 1);
}

ParameterIndex ParameterTable::add(const Configuration& configuration, const char* field, const ParameterPath& at,
                                   double otherwise) {
    if (!configuration.has(field)) return constant(otherwise);
    Parameter p = parameter_of(configuration, field, at);
    const config::Value& v = configuration.at(field);
    if (const auto* spread = std::get_if<config::Spread>(&v)) {
        p.spread = *spread;
        p.daily = is_daily(*spread, configuration.schema().field(field));
    } else {
        p.constant = std::get<double>(v);
    }
    return append(std::move(p));
}

ParameterIndex ParameterTable::constant(double value) { return append({.constant = value}); }

ParameterIndex ParameterTable::yes_or_no(const Configuration& configuration, const char* field,
                                         const ParameterPath& at) {
    const double share = configuration.number(field);
    Parameter p = parameter_of(configuration, field, at);
    p.constant = share >= 1 ? 1.0 : 0.0;
    p.low = 0;
    p.high = 1;
    if (share > 0 && share < 1) p.spread = config::Spread::discrete({0, 1}, {1 - share, share});
    return append(std::move(p));
}

ParameterIndex ParameterTable::spread(const Configuration& configuration, const char* field, const ParameterPath& at,
                                      config::Spread spread) {
    Parameter p = parameter_of(configuration, field, at);
    p.daily = is_daily(spread, configuration.schema().field(field));
    p.spread = std::move(spread);
    return append(std::move(p));
}

ParameterIndex ParameterTable::score(const std::string& name, config::Owner owner) {
    return append({.path = name,
                   .draw = name,
                   .owner = owner,
                   .spread = config::Spread::normal(0, 1),
                   .low = -5,
                   .high = 5,
                   .purpose = purpose_of(name)});
}

DrawIndex ParameterTable::draws(const std::string& name, int a_day) {
    if (!names_.insert(name).second)
        throw InputError({.path = "Van.loads",
                          .reason = "two loads are called \"" + name.substr(name.find('.') + 1) +
                                    "\", or it is a name of the van's own, such as \"fridge\""});
    purposes_.push_back({name, purpose_of(name), a_day, total_draws_});
    const DrawIndex index(total_draws_, a_day);
    total_draws_ += a_day * drawn_days_;
    return index;
}

void ParameterTable::require_above(ParameterIndex upper, ParameterIndex lower) const {
    // A normal has no end: nearly all of it counts.
    const auto end = [](const Parameter& p, double bound, double share) {
        return !p.spread ? p.constant : std::isfinite(bound) ? bound : p.spread->quantile(share, p.low, p.high);
    };
    const Parameter &restart = (*this)[upper], &cutout = (*this)[lower];
    const double lowest = end(restart, restart.spread ? restart.spread->lowest() : 0, 1e-9);
    const double highest = end(cutout, cutout.spread ? cutout.spread->highest() : 0, 1 - 1e-9);
    if (!(lowest > highest))
        throw InputError({.path = restart.path,
                          .value = base::number_text(lowest),
                          .unit = "V",
                          .reason = "must be above " + cutout.path + " = " + base::number_text(highest) + " V"});
}

std::vector<int> ParameterTable::daily() const {
    std::vector<int> places;
    for (std::size_t i = 0; i < parameters_.size(); ++i)
        if (parameters_[i].daily) places.push_back(static_cast<int>(i));
    return places;
}

}  // namespace ridethrough::random
