// Lithium iron phosphate with a battery management system: its declaration, its numbers and laws, and what age does to
// it.
#include "lfp.hpp"

#include <array>

#include "fields.hpp"

namespace ridethrough::battery {
using namespace config;

namespace {

Field wakes_itself() {
    return formerly(
        "wakes_itself_share",
        number("wakes_itself_probability", "", Variation::fixed, {0, 1}, 0.5, weak(from_memory()),
               "share of systems whose charge controller starts on the dead bus by itself; with the others a person "
               "has to wake the battery, in waking hours. It never moves the first cut-out, and the hours after it "
               "little: a drive or the mains wakes any battery, and most sun comes in waking hours"));
}

Field max_discharge() {
    return derived("max_discharge_a", "A", Variation::trial, {1, 5000}, from_memory("1 C: capacity_ah amperes"),
                   "current above which the BMS opens, and with it everything drops. It closes a minute later, or as "
                   "soon after that as what is switched on asks for less. Batteries in parallel add up");
}
Field overcurrent_delay() {
    return number("overcurrent_delay_s", "s", Variation::fixed, {0, 600}, 10.0, from_memory("5 to 30 s just above it"),
                  "how long the current has to stay above max_discharge_a");
}

void check(const Configuration& r) {
    check_rising(r, "open_circuit_soc");
    check_rising(r, "open_circuit_voltage_v");
    if (r.numbers("open_circuit_soc").front() != 0 || r.numbers("open_circuit_soc").back() != 1)
        throw InputError({.path = "LithiumBattery.open_circuit_soc", .reason = "must run from 0 to 1"});
    if (!(r.number("charge_full_c") > r.number("charge_block_c")))
        throw InputError({.path = "LithiumBattery.charge_full_c", .reason = "must be above charge_block_c"});
    if (!(r.number("hot_block_c") > r.number("hot_reduce_c")))
        throw InputError({.path = "LithiumBattery.hot_block_c", .reason = "must be above hot_reduce_c"});
}

const Schema& schema() {
    static const Schema s = formerly(
        "LfpBattery",
        Schema{
            "LithiumBattery",
            "Lithium iron phosphate battery of four cells in series. Its battery management system (BMS) cuts off at "
            "low voltage and refuses charge when too cold or too hot.",
            {
                battery_name(),
                number("capacity_ah", "Ah", Variation::trial, {5, 2000}, 120.0, common_practice("a common size"),
                       "rated capacity, new, 25 degC"),
                number("state_of_health", "", Variation::trial, {0.2, 1.1}, Spread::triangular(0.94, 0.98, 1.0),
                       from_memory(), "capacity now as a share of the rated one"),
                initial_soc(),
                number("resistance_mohm_100ah", "mohm", Variation::trial, {0.5, 100}, Spread::triangular(4, 7, 14),
                       from_memory(),
                       "ohmic resistance of a 100 Ah battery with BMS and links; scales with 100 / capacity"),
                // Own table. The trade's figures (from memory) and the curve of one small cell (Prada et al. 2013, as
                // PyBaMM computes it) disagree. Flat middle: between them (13.2 and 13.06 V at half charge). Knee: the
                // trade's, which are of house batteries (12.9 and 12.67 V at 20 %). Full: the trade's, as that cell's
                // 14.4 V are the end of a charge and no rested reading. Empty is 2.5 V a cell, as the trade counts;
                // from there up it rises as that cell does, and below, where that cell goes on to 2.0 V, it collapses.
                formerly("rest_charge",
                         numbers("open_circuit_soc", "", {0, 1}, 10,
                                 std::vector<double>{0, .005, .03, .1, .2, .3, .4, .7, .98, 1}, own_choice(),
                                 "nodes of the open-circuit voltage table, share of charge")),
                formerly(
                    "rest_voltage_v",
                    numbers("open_circuit_voltage_v", "V", {6, 16}, 10,
                            std::vector<double>{9.40, 10.05, 11.20, 12.50, 12.90, 13.03, 13.10, 13.20, 13.40, 13.60},
                            from_memory("within figures of the trade and the cell of Prada et al. 2013"),
                            "open-circuit voltage at those nodes")),
                formerly("rest_voltage_offset_v",
                         number("open_circuit_voltage_offset_v", "V", Variation::trial, {-0.5, 0.5},
                                Spread::normal(0.0, 0.05), from_memory("figures differ by 0.1 to 0.2 V"),
                                "shift of the whole table", Owner::model)),
                number("capacity_factor_0c", "", Variation::trial, {0.3, 1}, Spread::triangular(0.80, 0.85, 0.92),
                       from_memory(), "share of the capacity that is available at 0 degC"),
                number("capacity_factor_minus_20c", "", Variation::trial, {0.3, 1},
                       Spread::triangular(0.44, 0.57, 0.70), from_memory("tests of cells scatter from .44 to .70"),
                       "share at -20 degC; no more than that at 0 degC, in straight lines through both", Owner::model),
                number("resistance_doubling_k", "K", Variation::trial, {8, 1e6}, Spread::triangular(18, 25, 40),
                       from_memory("two to three times at 0 degC in cells; BMS and links not at all"),
                       "resistance and polarisation double each time that the battery is so much colder than 25 degC",
                       Owner::model),
                number("polarisation_v", "V", Variation::trial, {0, 1}, Spread::triangular(0.01, 0.035, 0.06),
                       from_memory("about half of what its resistance costs at C/20"),
                       "voltage that a discharge costs beside the resistance, within about half an hour: at most this, "
                       "half "
                       "of it at 0.05 C",
                       Owner::model),
                number("charge_polarisation_v", "V", Variation::trial, {0, 1}, Spread::triangular(0.07, 0.12, 0.18),
                       from_memory("about 13.3 V half full at C/10; .92 to .98 of the energy comes back"),
                       "the same of a charge", Owner::model),
                number("charge_c_rate", "1/h", Variation::trial, {0.05, 3}, 0.5, from_memory(),
                       "largest charge current per Ah of capacity, up to 95 % charge; from there linear to none"),
                number("coulombic_efficiency", "", Variation::trial, {0.9, 1}, 0.995, from_memory(".98 to 1"),
                       "Ah stored per Ah charged"),
                number("charge_block_c", "degC", Variation::fixed, {-20, 10}, 0.0, common_practice(),
                       "at or below this temperature the BMS refuses charge"),
                number("charge_full_c", "degC", Variation::fixed, {-15, 25}, 10.0, from_memory(),
                       "above this temperature the full charge current is accepted; linear between"),
                number("hot_reduce_c", "degC", Variation::fixed, {30, 70}, 45.0, from_memory(),
                       "above this temperature the charge current is reduced"),
                number("hot_block_c", "degC", Variation::fixed, {35, 80}, 55.0, from_memory(),
                       "at or above this temperature charge is refused"),
                location(),
                cabin_share(),
                thermal_lag(),
                engine_bay_rise(),
                age_years(),
                measured_capacity(),
                number("cell_imbalance", "", Variation::trial, {0, 0.5}, Spread::triangular(0, 0.02, 0.08),
                       from_memory(),
                       "share of the capacity that cells of unlike charge keep out of reach: the fullest ends a "
                       "charge, the "
                       "emptiest a discharge; unused with measured_capacity_ah"),
                number("cell_heater_w", "W", Variation::fixed, {0, 2000}, 0.0, own_choice("none"),
                       "heater of self-heating cells; it takes what the chargers give beyond the loads, never the "
                       "cells' own charge, and counts with the other loads"),
                number("heated_to_c", "degC", Variation::fixed, {0, 20}, 5.0, from_memory(),
                       "cell temperature up to which that heater works"),
                number("heat_capacity_kj_per_k_100ah", "kJ/K", Variation::fixed, {3, 40}, 11.5,
                       from_memory("11.5 kg, 1 kJ/kg K"), "heat capacity of a 100 Ah battery; scales with capacity"),
                number("bms_cutoff_v", "V", Variation::fixed, {8, 12}, 10.0, from_memory("2.5 V a cell"),
                       "terminal voltage at which the BMS disconnects the battery. It is back when a charger gives 1 A "
                       "more than the loads ask for, a quarter of an hour after the cut-off at the soonest"),
                wakes_itself(),
                max_discharge(),
                overcurrent_delay(),
            },
            check,
            {},
            Owner::van,
            moved_fields()});
    return s;
}

Model model(const Configuration& battery) {
    Model m;
    m.laws = {.rate_limited = true,
              .polarises = false,
              .slow_in_cold = true,
              .freezes = false,
              .has_bms = true,
              .falls_to_float = true,
              .absorption_counts_from = 0.9};  // where its current starts to fall
    m.open_circuit_v = curve_through(battery.numbers("open_circuit_soc"), battery.numbers("open_circuit_voltage_v"));
    // Linear from 25 to 0 degC; what is lost below that is a law of its own.
    m.cold = curve_through(std::array{-60.0, 0.0, 25.0, 60.0}, std::array{1.0, 1.0, 0.0, 0.0});
    m.wells.c = 0.9;  // both from memory: nearly all charge is at hand within the hour
    m.wells.k = 2.0;
    m.cutoff_v = battery.number("bms_cutoff_v");
    m.overcurrent_delay_h = battery.number("overcurrent_delay_s") / 3600;
    m.charge_block_c = battery.number("charge_block_c");
    m.charge_full_c = battery.number("charge_full_c");
    m.hot_reduce_c = battery.number("hot_reduce_c");
    m.hot_block_c = battery.number("hot_block_c");
    m.heater_w = battery.number("cell_heater_w");
    m.heated_to_c = battery.number("heated_to_c");
    m.cells_wh_per_k_ah = battery.number("heat_capacity_kj_per_k_100ah") / 360;
    return m;
}

void add_parameters(const Configuration& battery, Model& m, const random::ParameterPath& at,
                    random::ParameterTable& table) {
    m.polarisation = table.add(battery, "polarisation_v", at);
    m.charge_polarisation = table.add(battery, "charge_polarisation_v", at);
    m.capacity_factor_minus_20c = table.add(battery, "capacity_factor_minus_20c", at);
    m.resistance_doubling_k = table.add(battery, "resistance_doubling_k", at);
    if (!battery.has("measured_capacity_ah")) m.lost_share = table.add(battery, "cell_imbalance", at);
    m.acceptance = table.add(battery, "charge_c_rate", at);
    m.coulombic = table.add(battery, "coulombic_efficiency", at);
    m.wakes_itself = table.yes_or_no(battery, "wakes_itself_probability", at);
}

// From the spread of a new one in a straight line through .85/.92/.98 at 5 years; from memory.
Spread aged_health(double years) { return aged_share({0.94, 0.98, 1.0}, {0.85, 0.92, 0.98}, years); }
// That of a new one times 1 + years / 20; from memory.
Spread aged_resistance_mohm(double years) {
    const double factor = 1 + years / 20;
    return Spread::triangular(4 * factor, 7 * factor, 14 * factor);
}

}  // namespace

const Chemistry kLfp{schema, model, add_parameters, aged_health, aged_resistance_mohm, "lithium", false, 1.0, 0.025};

}  // namespace ridethrough::battery
