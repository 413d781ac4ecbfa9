// The numbers that a trial may draw. Each component of a van or trip adds its own and keeps their indices; what is
// drawn depends on the path's name alone, never on its place here.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/parameters.hpp"

namespace ridethrough::random {

// A constant, or a spread drawn under its own purpose.
struct Parameter {
    std::string path = {};  // "battery.capacity_ah"; empty for a constant of no field
    double constant = 0;
    std::optional<config::Spread> spread = {};
    double low = 0, high = 0;
    bool daily = false;  // drawn anew each day
    std::uint32_t purpose = 0;
};

// Draws of one purpose: so many each day.
struct DrawPurpose {
    std::string name;
    std::uint32_t purpose = 0;
    int a_day = 0;
    int first = 0;
};

class ParameterTable {
  public:
    explicit ParameterTable(int drawn_days) : drawn_days_(drawn_days) {}

    // A field of a configuration under a path that ends in a dot; `otherwise` where the field is None.
    ParameterIndex add(const config::Configuration& configuration, const char* field, const std::string& path,
                       double otherwise = 0);
    ParameterIndex constant(double value);
    // A share of vans: 1 in a trial whose van has it, else 0.
    ParameterIndex yes_or_no(const config::Configuration& configuration, const char* field, const std::string& path);
    // A spread that follows from other fields, in place of a field's own.
    ParameterIndex spread(const std::string& path, config::Spread spread, double low, double high, bool daily = false);
    // A standard normal score, cut at five deviations, under a purpose of its own.
    ParameterIndex score(const std::string& purpose);
    // Draws that a purpose takes each day. InputError where another load has that name.
    DrawIndex draws(const std::string& purpose, int a_day);

    // InputError where in some trial `upper` would not be above `lower`.
    void require_above(ParameterIndex upper, ParameterIndex lower) const;

    const Parameter& operator[](ParameterIndex i) const { return parameters_[static_cast<std::size_t>(i.place())]; }
    const std::vector<Parameter>& parameters() const { return parameters_; }
    const std::vector<DrawPurpose>& purposes() const { return purposes_; }
    int total_draws() const { return total_draws_; }  // of all days
    std::vector<int> daily() const;                   // places of those that are drawn anew each day

  private:
    ParameterIndex append(Parameter p);
    int drawn_days_;
    std::vector<Parameter> parameters_;
    std::vector<DrawPurpose> purposes_;
    std::set<std::string> names_;
    int total_draws_ = 0;
};

}  // namespace ridethrough::random
