#include "ridethrough/battery/chemistry.hpp"

#include <algorithm>
#include <array>
#include <stdexcept>

#include "fields.hpp"
#include "ridethrough/base/math.hpp"

namespace ridethrough::battery {
using namespace config;

const Schema& second_battery_schema() {
    static const Schema schema{
        "SecondBattery",
        "A battery in parallel with the house battery, of the same chemistry: charge, currents and acceptance are "
        "those of both together.",
        {
            number("capacity_ah", "Ah", Variation::trial, {5, 2000}, 100.0, common_practice("a common size"),
                   "rated capacity at the 20-hour rate, new, 25 degC"),
            derived("age_years", "years", Variation::fixed, {0, 15}, own_choice("as new"),
                    "age, as of the first battery"),
            derived("state_of_health", "", Variation::trial, {0.2, 1.1}, from_memory("by chemistry and age_years"),
                    "capacity now as a share of the rated one"),
            derived("resistance_mohm_100ah", "mohm", Variation::trial, {0.5, 100},
                    from_memory("by chemistry and age_years"),
                    "ohmic resistance of a 100 Ah battery with its links; scales with 100 Ah / capacity"),
        }};
    return schema;
}

namespace {

// A second battery in parallel: what it does not declare follows from its age.
Model::Second second_battery(const Configuration& s, const Chemistry& chemistry, random::ParameterTable& table) {
    const std::string at = "battery.second.";
    const double years = s.has("age_years") ? s.number("age_years") : 0;
    Model::Second out;
    out.capacity_ah = table.add(s, "capacity_ah", at);
    out.state_of_health = s.has("state_of_health")
                              ? table.add(s, "state_of_health", at)
                              : table.spread(s, "state_of_health", at, chemistry.aged_health(years));
    out.resistance_mohm_100ah = s.has("resistance_mohm_100ah") ? table.add(s, "resistance_mohm_100ah", at)
                                                               : table.spread(s, "resistance_mohm_100ah", at,
                                                                              chemistry.aged_resistance_mohm(years));
    return out;
}

}  // namespace

Model compile(const Configuration& b, random::ParameterTable& table) {
    const std::string at = "battery.";
    const Chemistry& chemistry = chemistry_of(b);
    Model m = chemistry.model(b);
    m.q_max_per_capacity = q_max_per_capacity(m.wells.c, m.wells.k, 20);
    // Age speaks where a field is at its default.
    const auto aged = [&](const char* field) {
        return b.has("age_years") && b.at(field) == b.schema().field(field).standard;
    };
    m.capacity_ah = table.add(b, "capacity_ah", at);
    if (b.has("measured_capacity_ah"))
        m.state_of_health = table.constant(1);  // not drawn: it has no part in the capacity any more
    else if (aged("state_of_health"))
        m.state_of_health = table.spread(b, "state_of_health", at, chemistry.aged_health(b.number("age_years")));
    else
        m.state_of_health = table.add(b, "state_of_health", at);
    m.initial_soc = table.add(b, "initial_soc", at);
    m.resistance_mohm_100ah =
        aged("resistance_mohm_100ah")
            ? table.spread(b, "resistance_mohm_100ah", at, chemistry.aged_resistance_mohm(b.number("age_years")))
            : table.add(b, "resistance_mohm_100ah", at);
    m.open_circuit_offset_v = table.add(b, "open_circuit_voltage_offset_v", at);
    m.capacity_factor_0c = table.add(b, "capacity_factor_0c", at);
    m.cabin_share = table.add(b, "cabin_share", at, b.text("location") == "living_space" ? 1 : 0);
    m.thermal_lag_h = table.add(b, "thermal_lag_h", at);
    chemistry.add_parameters(b, m, table);
    if (!m.polarisation || !m.acceptance || !m.coulombic || !m.wakes_itself)
        throw std::logic_error(b.schema().name + ": its chemistry leaves a parameter out");
    if (b.has("measured_capacity_ah")) m.measured_ah = table.add(b, "measured_capacity_ah", at);
    if (const ConfigurationPtr s = b.part("second")) m.second = second_battery(*s, chemistry, table);
    return m;
}

double q_max_per_capacity(double c, double k, double hours) {
    const double e = base::exp(-k * hours);
    return (1 - e + c * (k * hours - 1 + e)) / (hours * k * c);
}

double kibam_lifetime_h(double c, double k, double q_max_ah, double current_a) {
    double low = 0, high = q_max_ah / current_a;  // the whole charge at that current
    for (int i = 0; i < 200; ++i) {
        const double mid = 0.5 * (low + high);
        (current_a * mid < q_max_ah / q_max_per_capacity(c, k, mid) ? low : high) = mid;
    }
    return low;
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
