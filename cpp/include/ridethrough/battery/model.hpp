// A battery's numbers: as compiled (the same for every trial, in double), and as one pack of trials has them.
#pragma once

#include "ridethrough/battery/curve.hpp"
#include "ridethrough/battery/two_wells.hpp"
#include "ridethrough/random/parameters.hpp"

namespace ridethrough::battery {

using simd::any;
using simd::clamp;
using simd::max;
using simd::min;
using simd::select;

// Which laws a chemistry follows where two are known.
struct Laws {
    bool rate_limited = false;  // charge: a rate that tapers near full and with temperature; else by what is missing
    bool polarises = true;      // Copetti's overvoltages and charge losses; else a bounded overvoltage
    bool slow_in_cold = false;  // its resistance and polarisation rise in the cold, its capacity falls below freezing
    bool freezes = true;        // when it is empty and cold
    bool has_bms = false;       // cells are disconnected at low voltage, and a charger wakes them; else loads brown out
    bool falls_to_float = false;         // on a charger's float voltage it gives charge until it has come down to it
    double absorption_counts_from = -1;  // share of charge from which a charger's time limit runs
};

constexpr int kMostBatteries = 8;

struct Model {
    Laws laws{};
    Curve<double> open_circuit_v{};  // open-circuit voltage over the relative available
    Curve<double> cold{};            // share of the cold loss at a temperature: 1 at 0 degC, 0 at 25 degC and above
    Wells<double> wells{1, 1};
    double q_max_per_capacity = 1;         // both wells per Ah of 20-hour capacity
    double cutoff_v = 0, reconnect_v = 0;  // brown-out or BMS cut-off, and return
    double overcurrent_delay_h = 0;        // of a BMS
    double charge_block_c = -100, charge_full_c = -99, hot_reduce_c = 99, hot_block_c = 100;
    double heater_w = 0, heated_to_c = 0, cells_wh_per_k_ah = 0;  // self-heating cells
    random::ParameterIndex initial_soc, open_circuit_offset_v, polarisation, capacity_factor_0c, acceptance, coulombic,
        cabin_share, thermal_lag_h, wakes_itself;
    random::ParameterIndex acceptance_exponent, acceptance_halving_k;         // where the missing charge limits it
    random::ParameterIndex capacity_factor_minus_20c, resistance_doubling_k;  // where it is slow in the cold
    random::ParameterIndex charge_polarisation;  // beside that of discharge, where that is not Copetti's
    random::ParameterIndex lost_share;           // of its capacity, beside its health; times the next
    double lost_times = 1;
    double end_of_discharge_drop_v = 0;  // voltage that the last tenth loses under load and regains at rest
    // Batteries in parallel: they are one in all but these numbers, which add up.
    struct Unit {
        random::ParameterIndex capacity_ah, state_of_health, resistance_mohm_100ah;
        random::ParameterIndex measured_ah;      // in place of rated capacity and health
        random::ParameterIndex max_discharge_a;  // of its BMS; none: what it gives in an hour, 1 C
    } unit[kMostBatteries];
    int units = 0;
};

// No history leaves less of a battery's capacity than this. Own choice.
constexpr double kLeastKept = 0.3;

// Of one pack of trials: what the model says in the kernel's number type, and what the trials have drawn.
template <class V>
struct Battery {
    using T = typename V::Scalar;
    Laws laws;
    Curve<T> open_circuit_v, cold;
    Wells<T> wells;
    T cutoff_v, reconnect_v, overcurrent_delay_h, charge_block_c, charge_full_c, hot_reduce_c, hot_block_c;
    T heater_w, heated_to_c;
    T end_of_discharge_drop_v;
    V q_max_ah;         // both wells, aged
    V capacity_ah;      // 20-hour capacity, aged: the base of C rates
    V max_discharge_a;  // above which a BMS opens
    V resistance_ohm;
    V offset_v;
    V polarisation;  // share of Copetti's overvoltages and charge losses; else volts that a discharge does not exceed
    V capacity_factor_0c;
    V acceptance;                             // 1/h of what is missing at 14.4 V, or charge C rate
    V coulombic;                              // where it does not polarise
    V charge_polarisation;                    // the same of a charge
    V acceptance_exponent, acceptance_per_k;  // by voltage; rise of its logarithm with temperature
    V deep_cold_loss, slowness_per_k;         // of capacity from 0 to -20 degC; rise of ln(resistance) per K of cold
    V cells_wh_per_k;
    typename V::Bool wakes_itself;
};

template <class V>
RT_INLINE Battery<V> of_trials(const Model& m, random::Parameters<V> x) {
    using T = typename V::Scalar;
    const V zero(T(0)), ln2(T(0.6931471805599453));
    V capacity(T(0)), ohm(T(0)), rated_ah(T(0)), most_a(T(0)), kept(T(1));
    if (m.lost_share) kept = max(kept - x[m.lost_share] * V(T(m.lost_times)), V(T(kLeastKept)));
    for (int i = 0; i < m.units; ++i) {
        const Model::Unit& u = m.unit[i];
        const V rated = x[u.capacity_ah], mohm = x[u.resistance_mohm_100ah];
        rated_ah += rated;
        capacity += u.measured_ah ? x[u.measured_ah] : rated * x[u.state_of_health] * kept;
        most_a += u.max_discharge_a ? x[u.max_discharge_a] : rated;
        // Two orders of the same product, kept because another order would change last bits.
        const V own = (i == 0 ? mohm * V(T(0.001)) * V(T(100)) : mohm * V(T(0.1))) / rated;
        ohm = i == 0 ? own : ohm * own / (ohm + own);
    }
    Battery<V> b;
    b.laws = m.laws;
    b.open_circuit_v = m.open_circuit_v.in<T>();
    b.cold = m.cold.in<T>();
    b.wells = {T(m.wells.c), T(m.wells.k)};
    b.cutoff_v = T(m.cutoff_v);
    b.reconnect_v = T(m.reconnect_v);
    b.overcurrent_delay_h = T(m.overcurrent_delay_h);
    b.charge_block_c = T(m.charge_block_c);
    b.charge_full_c = T(m.charge_full_c);
    b.hot_reduce_c = T(m.hot_reduce_c);
    b.hot_block_c = T(m.hot_block_c);
    b.heater_w = T(m.heater_w * m.units);  // each has its own
    b.heated_to_c = T(m.heated_to_c);
    b.end_of_discharge_drop_v = T(m.end_of_discharge_drop_v);
    b.q_max_ah = capacity * V(T(m.q_max_per_capacity));
    b.capacity_ah = capacity;
    b.max_discharge_a = most_a;
    b.resistance_ohm = ohm;
    b.offset_v = x[m.open_circuit_offset_v];
    b.polarisation = x[m.polarisation];
    b.capacity_factor_0c = x[m.capacity_factor_0c];
    b.acceptance = x[m.acceptance];
    b.coulombic = x[m.coulombic];
    b.charge_polarisation = m.charge_polarisation ? x[m.charge_polarisation] : zero;
    b.acceptance_exponent = m.acceptance_exponent ? x[m.acceptance_exponent] : zero;
    b.acceptance_per_k = m.acceptance_halving_k ? ln2 / x[m.acceptance_halving_k] : zero;
    b.deep_cold_loss =
        m.capacity_factor_minus_20c ? max(x[m.capacity_factor_0c] - x[m.capacity_factor_minus_20c], zero) : zero;
    b.slowness_per_k = m.resistance_doubling_k ? ln2 / x[m.resistance_doubling_k] : zero;
    b.cells_wh_per_k = V(T(m.cells_wh_per_k_ah)) * rated_ah;
    b.wakes_itself = x[m.wakes_itself] > V(T(0.5));
    return b;
}

}  // namespace ridethrough::battery
