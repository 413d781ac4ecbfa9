// Absorbent-glass-mat lead-acid: its declaration, its numbers and laws, and what age does to it.
#include "agm.hpp"

#include <algorithm>
#include <array>

#include "fields.hpp"

namespace ridethrough::battery {
using namespace config;

namespace {

constexpr double kWeeksAMonth = 365.0 / 12 / 7;

// IEEE 485 cell-size correction K_T; the three coldest from memory.
constexpr std::array<double, 12> kFahrenheit{25, 30, 35, 40, 45, 50, 55, 60, 65, 68, 70, 77};
constexpr std::array<double, 12> kCellSize{1.52, 1.43, 1.35, 1.30, 1.25, 1.19, 1.15, 1.11, 1.08, 1.056, 1.04, 1.00};

double celsius(double f) { return (f - 32) / 1.8; }

const Schema& schema() {
    static const Schema s{
        "AgmBattery",
        "Absorbent-glass-mat lead-acid battery of nominal 12 V: two wells of charge, an open-circuit voltage table "
        "read at the "
        "available well, resistance and one polarisation voltage.",
        {
            battery_name(),
            number("capacity_ah", "Ah", Variation::trial, {5, 2000}, 150.0, common_practice("a common size"),
                   "rated capacity at the 20-hour rate, new, 25 degC"),
            number("state_of_health", "", Variation::trial, {0.2, 1.1}, Spread::triangular(0.85, 0.95, 1.0),
                   from_memory(), "capacity now as a share of the rated one"),
            initial_soc(),
            number("resistance_mohm_100ah", "mohm", Variation::trial, {0.5, 100}, Spread::triangular(5, 6.5, 10),
                   from_memory(), "ohmic resistance of a 100 Ah battery with its links; scales with 100 Ah / capacity"),
            formerly("rest_voltage_v", numbers("open_circuit_voltage_v", "V", {8, 16}, 11,
                                               std::vector<double>{11.50, 11.55, 11.85, 12.00, 12.12, 12.23, 12.34,
                                                                   12.45, 12.56, 12.67, 12.80},
                                               from_memory("between charts of the trade that disagree by 0.2 V"),
                                               "open-circuit voltage at 25 degC at 0, 0.1 ... 1 of full charge")),
            number(
                "end_of_discharge_drop_v", "V", Variation::fixed, {0, 3}, 0.9,
                from_memory("a flat battery shows 10.5 to 10.6 V under a small load and comes back to 11.5 to 11.8 V"),
                "what an empty battery loses under load (from C/100) besides; in proportion from a tenth of the charge",
                Owner::model),
            formerly("rest_voltage_offset_v",
                     number("open_circuit_voltage_offset_v", "V", Variation::trial, {-0.5, 0.5},
                            Spread::normal(0.0, 0.05), from_memory("charts differ by about 0.1 V either way"),
                            "shift of the whole open-circuit voltage table", Owner::model)),
            number(
                "polarisation_factor", "", Variation::trial, {0, 1.5}, Spread::triangular(0.3, 0.4, 0.5),
                from_memory("own fit to discharge shares at C/20 to C/2"),
                "share of the overvoltages and charge losses of Copetti, Lorenzo & Chenlo 1993 (vented cells) that an "
                "AGM shows",
                Owner::model),
            number("capacity_factor_0c", "", Variation::trial, {0.3, 1}, Spread::triangular(0.71, 0.77, 0.82),
                   from_memory("vented cells .72 by IEEE 485"), "share of the capacity that is available at 0 degC"),
            number("acceptance_per_h", "1/h", Variation::trial, {0.05, 5}, Spread::triangular(0.5, 0.7, 1.0),
                   from_memory("ampere-hour law"),
                   "charge current accepted per Ah still missing, at 14.4 V and 25 degC"),
            number("acceptance_exponent", "", Variation::trial, {0.5, 5}, Spread::triangular(1.5, 2, 3),
                   from_memory("fitted to hours: about 20 at 13.65 V, 24 at 13.38 V from flat; up to 70 are told"),
                   "acceptance goes with this power of (set voltage - rested voltage) / (14.4 V - rested voltage)",
                   Owner::model),
            number("acceptance_halving_k", "K", Variation::trial, {5, 200}, Spread::triangular(15, 25, 40),
                   from_memory("a charge at -10 degC takes two to three times as long"),
                   "acceptance halves each time that the battery is so much colder", Owner::model),
            location(),
            cabin_share(),
            thermal_lag(),
            engine_bay_rise(),
            age_years(),
            measured_capacity(),
            number(
                "weeks_at_partial_charge", "weeks", Variation::fixed, {0, 52}, 0.0, own_choice("none"),
                "weeks in a row before the trip without a full charge, for which sulphate takes capacity beside what "
                "age takes; unused with measured_capacity_ah",
                Owner::person),
            number("sulphation_loss_per_month", "", Variation::trial, {0, 0.5}, Spread::triangular(0, 0.05, 0.12),
                   from_memory("5 to 10 % in a month; scattered"),
                   "share of the capacity that a month without a full charge takes; at least 30 % of it stays",
                   Owner::model),
            number("brownout_v", "V", Variation::fixed, {6, 11.5}, 10.0, common_practice(),
                   "terminal voltage below which the loads of a 12 V system stop working"),
            number("brownout_restart_v", "V", Variation::fixed, {8, 13}, 11.5, from_memory(),
                   "terminal voltage at which they come back"),
        },
        [](const Configuration& r) {
            check_rising(r, "open_circuit_voltage_v");
            check_above(r, "brownout_restart_v", "brownout_v");
        },
        {},
        Owner::van,
        moved_fields()};
    return s;
}

Model model(const Configuration& battery) {
    Model m;  // the laws' defaults are lead-acid's
    const auto& volts = battery.numbers("open_circuit_voltage_v");
    // A node below empty: what is not there cannot be drawn, the voltage collapses (100 V per unit, own choice).
    const double drop = battery.number("end_of_discharge_drop_v");
    std::array<double, 12> charge{-0.1}, rest{volts[0] - drop - 10};
    for (std::size_t i = 1; i < charge.size(); ++i) {
        charge[i] = static_cast<double>(i - 1) / 10;
        rest[i] = volts[i - 1];
    }
    rest[1] -= drop;  // as under load; at rest it comes back
    m.end_of_discharge_drop_v = drop;
    m.open_circuit_v = curve_through(charge, rest);
    std::array<double, kFahrenheit.size() + 1> temp, loss;
    for (std::size_t i = 0; i < kFahrenheit.size(); ++i) {
        temp[i] = celsius(kFahrenheit[i]);
        loss[i] = (1 - 1 / kCellSize[i]) / (1 - vented_capacity_share(0));
    }
    temp.back() = 60;
    loss.back() = 0;
    m.cold = curve_through(temp, loss);
    // Fitted by tests/long/fit_wells.py to this project's own discharge shares at C/20 to C/2 (from memory).
    m.wells.c = 0.325;
    m.wells.k = 1.92;
    m.cutoff_v = battery.number("brownout_v");
    m.reconnect_v = battery.number("brownout_restart_v");
    return m;
}

void add_parameters(const Configuration& battery, Model& m, const random::ParameterPath& at,
                    random::ParameterTable& table) {
    m.polarisation = table.add(battery, "polarisation_factor", at);
    m.acceptance = table.add(battery, "acceptance_per_h", at);
    m.acceptance_exponent = table.add(battery, "acceptance_exponent", at);
    m.acceptance_halving_k = table.add(battery, "acceptance_halving_k", at);
    const double weeks = battery.number("weeks_at_partial_charge");
    if (weeks > 0 && !battery.has("measured_capacity_ah")) {
        m.lost_share = table.add(battery, "sulphation_loss_per_month", at);
        m.lost_times = weeks / kWeeksAMonth;
    }
    m.coulombic = table.constant(1);
    m.wakes_itself = table.constant(0);
}

// From the spread of a new one in a straight line through .55/.75/.90 at 5 years; from memory.
Spread aged_health(double years) { return aged_share({0.85, 0.95, 1.0}, {0.55, 0.75, 0.90}, years); }
// That of a new one times 1 + years / 5, at most 3: old ones have two to three times that of new ones, from memory.
Spread aged_resistance_mohm(double years) {
    const double factor = std::min(1 + years / 5, 3.0);
    return Spread::triangular(5 * factor, 6.5 * factor, 10 * factor);
}

}  // namespace

double vented_capacity_share(double temp_c) {
    std::size_t i = 1;
    while (i + 1 < kFahrenheit.size() && temp_c > celsius(kFahrenheit[i])) ++i;
    const double x0 = celsius(kFahrenheit[i - 1]), x1 = celsius(kFahrenheit[i]);
    const double y0 = 1 / kCellSize[i - 1], y1 = 1 / kCellSize[i];
    return temp_c >= x1 && i + 1 == kFahrenheit.size() ? 1.0 : y0 + (y1 - y0) * (temp_c - x0) / (x1 - x0);
}

const Chemistry kAgm{schema, model, add_parameters, aged_health, aged_resistance_mohm, "lead_acid", true, 5.0, 0.03};

}  // namespace ridethrough::battery
