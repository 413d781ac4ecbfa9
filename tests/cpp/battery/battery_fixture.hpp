// A 100 Ah battery of middling parameters, in lanes, and a bench that moves it: the same calls in the same order as a
// segment of the trip's kernel.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "ridethrough/battery/battery.hpp"
#include "ridethrough/battery/chemistry.hpp"

namespace battery_fixture {

namespace base = ridethrough::base;
namespace battery = ridethrough::battery;
namespace config = ridethrough::config;
namespace simd = ridethrough::simd;

template <class V>
struct Bench {
    using T = typename V::Scalar;
    battery::Battery<V> trial{};
    battery::BatteryState<V> state{};

    V relative() const { return state.q_ah / trial.q_max_ah; }
    V available() const { return battery::available_charge(trial, state); }
    V factor() const { return battery::capacity_factor(trial, state.temp_c); }
    V slowness() const { return battery::slowness(trial, state.temp_c); }
    // Of a battery that gives out_a (a charging current is negative); load_share 1: the table as it is read under load.
    V terminal_v(V out_a, T load_share = T(1)) const {
        return battery::source_voltage(trial, available(), factor(), V(load_share)) - state.polarisation_v -
               trial.resistance_ohm * slowness() * out_a;
    }
    void set_charge(double share) { state = {V(T(share)) * trial.q_max_ah, V(T(0)), V(T(0)), state.temp_c}; }
    // `stored`: Ah that reach the wells per Ah at the terminals.
    void run(V out_a, double hours, V stored = V(T(1))) {
        const V h = T(hours);
        state.polarisation_v = battery::next_polarisation(trial, state, available(), slowness(), out_a, h);
        battery::advance_wells(trial.wells, out_a * stored, h, state.q_ah, state.height_difference_ah);
    }
};

template <class V>
Bench<V> make_bench(const config::Schema& schema, double k_0c, double acceptance, double polarisation) {
    using T = typename V::Scalar;
    const auto number = [](double x) { return V(static_cast<T>(x)); };
    const auto configuration = config::Configuration::make(schema, {});
    ridethrough::random::ParameterTable table(1);
    const battery::Model model = battery::compile(std::array{configuration}, std::array{std::string("battery")}, table);
    std::vector<V> parameters;
    for (const auto& p : table.parameters()) parameters.push_back(number(p.spread ? 0.5 : p.constant));
    const bool lithium = model.laws.has_bms;
    Bench<V> b{battery::of_trials(model, ridethrough::random::Parameters<V>(parameters.data()))};
    b.trial.q_max_ah = number(100 * battery::q_max_per_capacity(model.wells.c, model.wells.k, 20));
    b.trial.capacity_ah = number(100);
    b.trial.resistance_ohm = number(lithium ? 0.007 : 0.0065);
    b.trial.offset_v = number(0);
    b.trial.polarisation = number(polarisation);
    b.trial.capacity_factor_0c = number(k_0c);
    b.trial.acceptance = number(acceptance);
    b.trial.coulombic = number(lithium ? 0.995 : 1.0);
    b.trial.acceptance_exponent = number(2);
    b.trial.acceptance_per_k = b.trial.slowness_per_k = number(0.69314718 / 25);
    b.trial.deep_cold_loss = number(0.85 - 0.57);
    b.trial.charge_polarisation = number(0.12);
    b.state.temp_c = number(25);
    b.set_charge(1);
    return b;
}
template <class V>
Bench<V> agm() {
    return make_bench<V>(battery::chemistries()[0]->schema(), 0.77, 0.7, 0.4);
}
template <class V>
Bench<V> lfp() {
    return make_bench<V>(battery::chemistries()[1]->schema(), 0.85, 0.5, 0.035);
}

// Share of the rated Ah that a full battery gives at a constant current until its terminals fall to `end_v`, by
// minutes.
template <class V>
V discharge_share(Bench<V> b, double current_a, double end_v) {
    using T = typename V::Scalar;
    const V amps = T(current_a), step = T(1.0 / 60);
    V given = T(0);
    typename V::Bool on = V::Bool::all(true);
    for (int minute = 0; minute < 60 * 60 && any(on); ++minute) {
        b.run(amps, 1.0 / 60);
        on = on & (b.terminal_v(amps) >= V(T(end_v)));
        given += select(on, amps * step, V(T(0)));
    }
    return given / b.trial.capacity_ah;
}

}  // namespace battery_fixture
