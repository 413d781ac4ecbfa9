// The numbers that a trial may draw. Each component of a van or trip adds its own and keeps their indices; what is
// drawn depends on the name of its draw alone, never on its place here.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/parameters.hpp"

namespace ridethrough::random {

// Where the fields of a configuration stand, up to the last dot: for readers, and as their draws are called, which
// stays when the path is renamed.
struct ParameterPath {
    std::string path, draw;

    ParameterPath(std::string same) : path(same), draw(std::move(same)) {}
    ParameterPath(const char* same) : ParameterPath(std::string(same)) {}
    ParameterPath(std::string path_now, std::string draw_as_before)
        : path(std::move(path_now)), draw(std::move(draw_as_before)) {}
};

// A constant, or a spread drawn under its own purpose.
struct Parameter {
    std::string path = {};  // "battery.capacity_ah"; empty for a constant of no field
    std::string draw = {};  // name of its draw, the path unless one of them was renamed
    config::Owner owner = config::Owner::van;
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
    ParameterIndex add(const config::Configuration& configuration, const char* field, const ParameterPath& at,
                       double otherwise = 0);
    ParameterIndex constant(double value);
    // A share of vans: 1 in a trial whose van has it, else 0.
    ParameterIndex yes_or_no(const config::Configuration& configuration, const char* field, const ParameterPath& at);
    // A spread that follows from other fields, in place of a field's own.
    ParameterIndex spread(const config::Configuration& configuration, const char* field, const ParameterPath& at,
                          config::Spread spread);
    // A standard normal score, cut at five deviations, under a purpose of its own.
    ParameterIndex score(const std::string& name, config::Owner owner);
    // Draws that a purpose takes each day. InputError where another load has that name.
    DrawIndex draws(const std::string& name, int a_day);

    // InputError where in some trial `upper` would not be above `lower`.
    void require_above(ParameterIndex upper, ParameterIndex lower) const;

    const Parameter& operator[](ParameterIndex i) const { return parameters_[static_cast<std::size_t>(i.place())]; }
    const std::vector<Parameter>& parameters() const { return parameters_; }
    const std::vector<DrawPurpose>& purposes() const { return purposes_; }
    int total_draws() const { return total_draws_; }  // of all days
    std::vector<int> daily() const;                   // places of those that are drawn anew each day

  private:
    ParameterIndex append(Parameter p);
    std::uint32_t purpose_of(const std::string& name);  // InputError where another name has the same purpose
    int drawn_days_;
    std::vector<Parameter> parameters_;
    std::vector<DrawPurpose> purposes_;
    std::set<std::string> names_;
    std::map<std::uint32_t, std::string> name_of_;  // by purpose
    int total_draws_ = 0;
};

}  // namespace ridethrough::random
