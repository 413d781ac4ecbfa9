#include "ridethrough/battery/schemas.hpp"

#include "ridethrough/config/declare.hpp"

namespace ridethrough::battery {
using namespace config;

namespace {

void check_rising(const Record& r, const char* field) {
    const auto& v = r.numbers(field);
    for (std::size_t i = 1; i < v.size(); ++i)
        if (!(v[i] > v[i - 1]))
            throw InputError(r.schema().name + "." + field + "[" + std::to_string(i) + "] = " + number_text(v[i]) +
                             ": must be above the value before it, " + number_text(v[i - 1]));
}

void check_above(const Record& r, const char* upper, const char* lower) {
    if (!(r.number(upper) > r.number(lower)))
        throw InputError(r.schema().name + "." + upper + " = " + number_text(r.number(upper)) + " V: must be above " +
                         lower + " = " + number_text(r.number(lower)) + " V");
}

Field start_charge() {
    return number("start_charge", "", Level::trial, {0, 1}, Spread::triangular(0.9, 1.0, 1.0),
                  "from memory: most owners leave with a full battery",
                  "share of the full charge that is in the battery when the trip starts, or the storage before it");
}
Field cabin_share() {
    return derived(
        "cabin_share", "", Level::trial, {0, 1}, "by location: 1 in the living space, else 0",
        "where the battery lives: 1 in the living space, 0 in an unheated locker at outdoor temperature; not "
        "given: as its location says");
}
Field location() {
    return choice(
        "location", {"living_space", "locker", "engine_bay"}, "living_space", "own choice",
        "living_space follows the cabin's temperature, locker the outdoor air, engine_bay the outdoor air and "
        "the engine's heat on drives; lead-acid in the living space needs a box vented to the outside, lithium "
        "there is allowed only where the local code says so");
}
Field engine_bay_rise() {
    return number(
        "engine_bay_rise_k", "K", Level::fixed, {0, 80}, 35.0, "from memory, weak",
        "rise of the engine bay over the outdoor air on a long drive: reached with a time constant of 0.5 h, lost "
        "with one of 2 h; used with location = engine_bay");
}
Field age_years() {
    return derived(
        "age_years", "years", Level::fixed, {0, 15}, "none: as new",
        "age, which sets state_of_health and resistance_mohm_100ah where these are at their defaults: health "
        "falls in a straight line to .55/.75/.90 (AGM) or .85/.92/.98 (lithium) at 5 years, resistance "
        "rises by a fifth (AGM, at most threefold) or a twentieth (lithium) a year; from memory");
}
Field measured_capacity() {
    return derived("measured_capacity_ah", "Ah", Level::trial, {1, 2000}, "none: capacity_ah x state_of_health",
                   "capacity now, measured at about the 20-hour rate and 25 degC, in place of capacity_ah x "
                   "state_of_health");
}
Field second() {
    return record("second", {"SecondBattery"}, std::monostate{}, true,
                  "another battery of the same kind in parallel, of its own size and age");
}
Field thermal_lag() {
    return number("thermal_lag_h", "h", Level::trial, {0.1, 72}, 8.0, "from memory",
                  "time constant with which the battery follows the air around it");
}

}  // namespace

const Schema& agm_battery_schema() {
    static const Schema schema{
        "AgmBattery",
        "Absorbent-glass-mat lead-acid battery of nominal 12 V: two wells of charge, a rest-voltage table read at the "
        "available well, resistance and one polarisation voltage.",
        {
            number("capacity_ah", "Ah", Level::trial, {5, 2000}, 150.0, "common practice, no source: a common size",
                   "rated capacity at the 20-hour rate, new, 25 degC"),
            number("state_of_health", "", Level::trial, {0.2, 1.1}, Spread::triangular(0.85, 0.95, 1.0), "from memory",
                   "capacity now as a share of the rated one"),
            start_charge(),
            number("resistance_mohm_100ah", "mohm", Level::trial, {0.5, 100}, Spread::triangular(5, 6.5, 10),
                   "from memory", "ohmic resistance of a 100 Ah battery with its links; scales with 100 Ah / capacity"),
            numbers("rest_voltage_v", "V", {8, 16}, 11,
                    std::vector<double>{10.60, 11.55, 11.85, 12.00, 12.12, 12.23, 12.34, 12.45, 12.56, 12.67, 12.80},
                    "from memory, between charts of the trade that disagree by 0.2 V",
                    "rested voltage at 25 degC at 0, 0.1 ... 1 of full charge"),
            number("rest_voltage_offset_v", "V", Level::trial, {-0.5, 0.5}, Spread::normal(0.0, 0.05),
                   "from memory: charts differ by about 0.1 V either way", "shift of the whole rest-voltage table"),
            number(
                "polarisation_factor", "", Level::trial, {0, 1.5}, Spread::triangular(0.3, 0.4, 0.5),
                "own fit to discharge shares at C/20 to C/2, from memory",
                "share of the overvoltages and charge losses of Copetti, Lorenzo & Chenlo 1993 (vented cells) that an "
                "AGM shows"),
            number("capacity_factor_0c", "", Level::trial, {0.3, 1}, Spread::triangular(0.71, 0.77, 0.82),
                   "from memory; vented cells .72 by IEEE 485", "share of the capacity that is available at 0 degC"),
            number("acceptance_per_h", "1/h", Level::trial, {0.05, 5}, Spread::triangular(0.5, 0.7, 1.0),
                   "from memory (ampere-hour law)", "charge current accepted per Ah still missing"),
            location(),
            cabin_share(),
            thermal_lag(),
            engine_bay_rise(),
            age_years(),
            measured_capacity(),
            second(),
            number("brownout_v", "V", Level::fixed, {6, 11.5}, 10.0, "common practice, no source",
                   "posts voltage below which the loads of a 12 V system stop working"),
            number("brownout_restart_v", "V", Level::fixed, {8, 13}, 11.5, "from memory",
                   "posts voltage at which they come back"),
        },
        [](const Record& r) {
            check_rising(r, "rest_voltage_v");
            check_above(r, "brownout_restart_v", "brownout_v");
        }};
    return schema;
}

const Schema& lfp_battery_schema() {
    static const Schema schema{
        "LfpBattery",
        "Lithium iron phosphate battery of four cells in series with a battery management system (BMS) that cuts off "
        "at low voltage and refuses charge when too cold or too hot.",
        {
            number("capacity_ah", "Ah", Level::trial, {5, 2000}, 120.0, "common practice, no source: a common size",
                   "rated capacity, new, 25 degC"),
            number("state_of_health", "", Level::trial, {0.2, 1.1}, Spread::triangular(0.94, 0.98, 1.0), "from memory",
                   "capacity now as a share of the rated one"),
            start_charge(),
            number("resistance_mohm_100ah", "mohm", Level::trial, {0.5, 100}, Spread::triangular(4, 7, 14),
                   "from memory",
                   "ohmic resistance of a 100 Ah battery with BMS and links; scales with 100 / capacity"),
            // Own table. The trade's figures (from memory) and the curve of one small cell (Prada et al. 2013, as
            // PyBaMM computes it) disagree. Flat middle: between them (13.2 and 13.06 V at half charge). Knee: the
            // trade's, which are of house batteries (12.9 and 12.67 V at 20 %). Full: the trade's, as that cell's
            // 14.4 V are the end of a charge and no rested reading. Empty is 2.5 V a cell, as the trade counts; from
            // there up it rises as that cell does, and below, where that cell goes on to 2.0 V, it collapses.
            numbers("rest_charge", "", {0, 1}, 10, std::vector<double>{0, .005, .03, .1, .2, .3, .4, .7, .98, 1},
                    "own choice", "nodes of the rest-voltage table, share of charge"),
            numbers("rest_voltage_v", "V", {6, 16}, 10,
                    std::vector<double>{9.40, 10.05, 11.20, 12.50, 12.90, 13.03, 13.10, 13.20, 13.40, 13.60},
                    "from memory, within figures of the trade and the cell of Prada et al. 2013",
                    "rested voltage at those nodes"),
            number("rest_voltage_offset_v", "V", Level::trial, {-0.5, 0.5}, Spread::normal(0.0, 0.05),
                   "from memory: figures differ by 0.1 to 0.2 V", "shift of the whole table"),
            number("capacity_factor_0c", "", Level::trial, {0.3, 1}, Spread::triangular(0.80, 0.85, 0.92),
                   "from memory", "share of the capacity that is available at 0 degC"),
            number("charge_c_rate", "1/h", Level::trial, {0.05, 3}, 0.5, "from memory",
                   "largest charge current per Ah of capacity, up to 95 % charge; from there linear to none"),
            number("coulombic_efficiency", "", Level::trial, {0.9, 1}, 0.995, "from memory: .98 to 1",
                   "Ah stored per Ah charged"),
            number("charge_block_c", "degC", Level::fixed, {-20, 10}, 0.0, "common practice, no source",
                   "at or below this temperature the BMS refuses charge"),
            number("charge_full_c", "degC", Level::fixed, {-15, 25}, 10.0, "from memory",
                   "above this temperature the full charge current is accepted; linear between"),
            number("hot_reduce_c", "degC", Level::fixed, {30, 70}, 45.0, "from memory",
                   "above this temperature the charge current is reduced"),
            number("hot_block_c", "degC", Level::fixed, {35, 80}, 55.0, "from memory",
                   "at or above this temperature charge is refused"),
            location(),
            cabin_share(),
            thermal_lag(),
            engine_bay_rise(),
            age_years(),
            measured_capacity(),
            second(),
            number(
                "cell_heater_w", "W", Level::fixed, {0, 2000}, 0.0, "own choice: none",
                "heater of self-heating cells; it takes what the chargers give beyond the loads, never the cells' own "
                "charge, and counts with the other loads"),
            number("heated_to_c", "degC", Level::fixed, {0, 20}, 5.0, "from memory",
                   "cell temperature up to which that heater works"),
            number("heat_capacity_kj_per_k_100ah", "kJ/K", Level::fixed, {3, 40}, 11.5,
                   "from memory: 11.5 kg, 1 kJ/kg K", "heat capacity of a 100 Ah battery; scales with capacity"),
            number("bms_cutoff_v", "V", Level::fixed, {8, 12}, 10.0, "from memory: 2.5 V a cell",
                   "posts voltage at which the BMS disconnects the battery. It is back when a charger gives 1 A more "
                   "than the loads ask for, tested at the end of a step; sun until then counts as curtailed"),
            number("wakes_itself_share", "", Level::fixed, {0, 1}, 0.5, "from memory, weak",
                   "share of systems whose regulator starts on the dead bus by itself; with the others a person has to "
                   "wake the battery, in waking hours. It never moves the first cut-out, and the hours after it "
                   "little: a drive or the mains wakes any battery, and most sun comes in waking hours"),
        },
        [](const Record& r) {
            check_rising(r, "rest_charge");
            check_rising(r, "rest_voltage_v");
            if (r.numbers("rest_charge").front() != 0 || r.numbers("rest_charge").back() != 1)
                throw InputError("LfpBattery.rest_charge: must run from 0 to 1");
            if (!(r.number("charge_full_c") > r.number("charge_block_c")))
                throw InputError("LfpBattery.charge_full_c: must be above charge_block_c");
            if (!(r.number("hot_block_c") > r.number("hot_reduce_c")))
                throw InputError("LfpBattery.hot_block_c: must be above hot_reduce_c");
        }};
    return schema;
}

const Schema& second_battery_schema() {
    static const Schema schema{
        "SecondBattery",
        "A battery in parallel with the house battery, of the same chemistry: charge, currents and acceptance are "
        "those of both together.",
        {
            number("capacity_ah", "Ah", Level::trial, {5, 2000}, 100.0, "common practice, no source: a common size",
                   "rated capacity at the 20-hour rate, new, 25 degC"),
            derived("age_years", "years", Level::fixed, {0, 15}, "none: as new", "age, as of the first battery"),
            derived("state_of_health", "", Level::trial, {0.2, 1.1}, "by chemistry and age_years, from memory",
                    "capacity now as a share of the rated one"),
            derived("resistance_mohm_100ah", "mohm", Level::trial, {0.5, 100},
                    "by chemistry and age_years, from memory",
                    "ohmic resistance of a 100 Ah battery with its links; scales with 100 Ah / capacity"),
        }};
    return schema;
}

}  // namespace ridethrough::battery
