#include "ridethrough/battery/chemistry.hpp"

#include <algorithm>
#include <array>
#include <stdexcept>
#include <string_view>

#include "fields.hpp"
#include "ridethrough/base/math.hpp"

namespace ridethrough::battery {
using namespace config;

namespace {

// Of each battery in parallel its own; and its name.
constexpr std::array<std::string_view, 7> kOwn{"name",           "capacity_ah",           "state_of_health",
                                               "age_years",      "resistance_mohm_100ah", "measured_capacity_ah",
                                               "max_discharge_a"};

// Draws keep the names that they had where a van has one battery, or two.
std::string draw_path(std::size_t i) {
    return i == 0 ? "battery." : "battery." + (i == 1 ? "second" : std::to_string(i + 1)) + ".";
}

Model::Unit unit(const Configuration& b, bool has_bms, const random::ParameterPath& at, random::ParameterTable& table) {
    const Chemistry& chemistry = chemistry_of(b);
    // age_years sets the fields that were left at their defaults.
    const auto aged = [&](const char* field) {
        return b.has("age_years") && b.at(field) == b.schema().field(field).default_value;
    };
    Model::Unit out;
    out.capacity_ah = table.add(b, "capacity_ah", at);
    if (b.has("measured_capacity_ah"))
        out.measured_ah = table.add(b, "measured_capacity_ah", at);
    else if (aged("state_of_health"))
        out.state_of_health = table.spread(b, "state_of_health", at, chemistry.aged_health(b.number("age_years")));
    else
        out.state_of_health = table.add(b, "state_of_health", at);
    if (has_bms && b.has("max_discharge_a")) out.max_discharge_a = table.add(b, "max_discharge_a", at);
    out.resistance_mohm_100ah =
        aged("resistance_mohm_100ah")
            ? table.spread(b, "resistance_mohm_100ah", at, chemistry.aged_resistance_mohm(b.number("age_years")))
            : table.add(b, "resistance_mohm_100ah", at);
    return out;
}

}  // namespace

const Configuration& in_common(const Configuration& van) { return *van.parts("batteries").front(); }

void check_in_parallel(const Configuration& van) {
    const auto& all = van.parts("batteries");
    const auto paths = van.paths_of("batteries");
    const Configuration& first = in_common(van);
    for (std::size_t i = 1; i < all.size(); ++i) {
        const std::string at = van.schema().name + "." + paths[i];
        if (all[i]->schema().name != first.schema().name)
            throw InputError({.path = at,
                              .value = all[i]->schema().name,
                              .allowed = first.schema().name + ", like the first",
                              .more = "batteries in parallel are of one chemistry"});
        for (const Field& f : first.schema().fields) {
            const Value& value = all[i]->at(f.name);
            if (std::ranges::find(kOwn, f.name) != kOwn.end() || value == f.default_value || value == first.at(f.name))
                continue;
            throw InputError({.path = at + "." + f.name,
                              .value = value_text(f, value),
                              .reason = "not allowed to differ from that of the first, which holds for all batteries "
                                        "in parallel",
                              .allowed = "to be left out, or the same"});
        }
    }
}

Model compile(std::span<const ConfigurationPtr> batteries, std::span<const std::string> paths,
              random::ParameterTable& table) {
    const Configuration& b = *batteries.front();
    const random::ParameterPath at{paths.front() + ".", draw_path(0)};
    const Chemistry& chemistry = chemistry_of(b);
    Model m = chemistry.model(b);
    m.q_max_per_capacity = q_max_per_capacity(m.wells.c, m.wells.k, 20);
    m.initial_soc = table.add(b, "initial_soc", at);
    m.open_circuit_offset_v = table.add(b, "open_circuit_voltage_offset_v", at);
    m.capacity_factor_0c = table.add(b, "capacity_factor_0c", at);
    m.cabin_share = table.add(b, "cabin_share", at, b.text("location") == "living_space" ? 1 : 0);
    m.thermal_lag_h = table.add(b, "thermal_lag_h", at);
    chemistry.add_parameters(b, m, at, table);
    if (!m.polarisation || !m.acceptance || !m.coulombic || !m.wakes_itself)
        throw std::logic_error(b.schema().name + ": its chemistry leaves a parameter out");
    for (const ConfigurationPtr& battery : batteries) {
        const auto i = static_cast<std::size_t>(m.units);
        m.unit[m.units++] = unit(*battery, m.laws.has_bms, {paths[i] + ".", draw_path(i)}, table);
    }
    return m;
}

double q_max_per_capacity(double c, double k, double hours) {
    const double e = base::exp(-k * hours);
    return (1 - e + c * (k * hours - 1 + e)) / (hours * k * c);
}

Curve<double> curve_through(std::span<const double> x, std::span<const double> y) {
    Curve<double> f{};
    double slope = (y[1] - y[0]) / (x[1] - x[0]);
    f.s0 = slope;
    f.y0 = y[0] - slope * x[0];
    for (std::size_t i = 1; i + 1 < x.size(); ++i) {
        const double next = (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
        f.at[f.kinks] = x[i];
        f.change[f.kinks++] = next - slope;
        slope = next;
    }
    return f;
}

Spread aged_share(std::array<double, 3> fresh, std::array<double, 3> five, double years) {
    std::array<double, 3> now{};
    for (std::size_t i = 0; i < 3; ++i) now[i] = std::max(fresh[i] + (five[i] - fresh[i]) * years / 5, 0.2);
    return Spread::triangular(now[0], now[1], now[2]);
}

}  // namespace ridethrough::battery
