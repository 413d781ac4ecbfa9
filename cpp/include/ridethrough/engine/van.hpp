// The second of two phases: what the van makes of the hours. It owns every state that a trial carries from step to step
// and decides all that hangs on one: charge controllers at the battery's voltage, starts that need a voltage, the
// cabin's heat.
#pragma once

#include "ridethrough/battery/freezing.hpp"
#include "ridethrough/cabin/air.hpp"
#include "ridethrough/engine/hours.hpp"
#include "ridethrough/engine/step.hpp"
#include "ridethrough/engine/time_series.hpp"
#include "ridethrough/engine/voltage_limited_starts.hpp"

namespace ridethrough::engine {

template <class V>
class Van {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;

  public:
    RT_INLINE Van(const trip::Plan& plan, const Buffers<V>& buffers)
        : plan_(plan),
          out_(buffers),
          x_(buffers.parameters),
          draws_(buffers.draws),
          step_h_(T(plan.step_h)),
          hour_steps_(plan.per_day / 24),
          c_(of_trials(plan, x_)),
          series_(buffers.series, buffers.states),
          coolest_opening_c_(T(plan.air.open_above_c)) {
        for (int i = 0; i < plan.fans; ++i)
            if (T(plan.fan[i].starts_c) < coolest_opening_c_) coolest_opening_c_ = T(plan.fan[i].starts_c);
    }

    // Before the first day.
    RT_INLINE void begin_trip() {
        const V one(T(1));
        if (plan_.storage.any()) {
            V standby_a = V(T(0));
            for (int i = 0; i < plan_.standbys; ++i) standby_a += x_[plan_.standby[i].current_a];
            x_[plan_.battery.initial_soc] =
                charge_after_storage(plan_.storage, x_, plan_.battery.initial_soc, plan_.weather.ghi_scale, plan_.solar,
                                     standby_a, c_.battery.q_max_ah);
        }
        // Half a step before it and half a step after it: the step has the battery's temperature of its middle.
        battery_lag_ = one - simd::exp(-V(T(0.5) * step_h_) / x_[plan_.battery.thermal_lag_h]);
    }

    RT_INLINE void begin_day(const Day<V>& day) {
        controllers_.begin_day(plan_.solar);
        if (plan_.heater.fitted) begin_heat_day(day.heater, heat_);
        heated_ = plan_.heater.fitted && heat_.wanted;
    }
    RT_INLINE void begin_charge_day() {
        s_.column[kDaysFull] += select(s_.full_today, V(T(1)), V(T(0)));
        s_.full_today = s_.floating = Bool::all(false);
        s_.absorbed_h = V(T(0));
    }

    // Step `number` of the trip, in bin `k` of day `on_day`.
    RT_INLINE void step(const Row<V>& row, int k, const Day<V>& day, const loads::DayBins<V>& bins, int number,
                        int on_day) {
        const Bool waking = row.waking > V(T(0));
        const V from_h = row.bin * V(step_h_);
        if (number == 0) settle_air(row, from_h, waking);
        ventilate(row, from_h, waking);
        if (heated_) stop_heat(heat_, s_.bus_open | s_.system_open, from_h);
        warm_air(row, from_h, waking);
        if (number == 0) begin_state(on_day);
        offer_solar(row);
        V around_battery = battery_air_ + row.battery_rise_k;
        s_.battery.temp_c += (around_battery - s_.battery.temp_c) * battery_lag_;
        StepInput<V> in = inputs(row, day, bins.at(k), waking);
        if (heated_) {
            decide_starts(plan_, c_, s_, in, x_, row, bins, out_.load_ah, heat_);
            warm_air(row, from_h, waking);  // a heater that has just started is felt in the same step
            const V found = around_battery;
            around_battery = battery_air_ + row.battery_rise_k;
            s_.battery.temp_c += (around_battery - found) * battery_lag_;
            read_loads(bins.at(k), in);
            out_.load_ah[plan_.heater.load] += heater_a_ * V(step_h_);
        }
        for (int i = 0; i < plan_.fans; ++i)
            out_.load_ah[plan_.fan[i].load] += fan_current_a(plan_.fan[i]) * V(step_h_);
        in.cabin_c = cabin_c_;
        account_cabin();
        in.heat_w = heat_into_fridge(row, day, waking);

        StepMeans<V> means{};
        run_step(plan_, c_, in, s_, series_.wanted() ? &means : nullptr);
        s_.battery.temp_c += (around_battery - s_.battery.temp_c) * battery_lag_;
        account_freezing();
        series_.write(number, hour_steps_, step_h_, c_, s_, row, cabin_c_, means);
        cabin_end_c_ = next_end_c_;
    }

    RT_INLINE void finish() {
        begin_charge_day();
        s_.column[kIceLeftKg] = s_.ice_wh * V(T(1 / fridge::kMeltingWhPerKg));
        s_.column[kLossWh] = s_.wiring_wh + s_.battery_loss_wh;
        for (int i = 0; i < kColumns; ++i) out_.columns[i] = s_.column[i];
        // By how much the balances do not close, relative to what went through them.
        const V one(T(1));
        out_.balance_error[0] =
            abs(start_q_ - s_.out_ah + s_.stored_ah - s_.battery.q_ah) / (start_q_ + s_.out_ah + s_.in_ah + one);
        const V used_wh = s_.column[kFridgeWh] + s_.column[kOtherLoadsWh] + s_.column[kLossWh];
        out_.balance_error[1] =
            abs(s_.source_wh + s_.chemical_wh - used_wh) / (s_.source_wh + abs(s_.chemical_wh) + used_wh + one);
    }

  private:
    RT_INLINE void offer_solar(const Row<V>& row) {
        const Bool now = row.new_hour > V(T(0));
        if (any(now)) solar::offer_solar(plan_.solar, x_, row.light, s_.terminal_v, now, controllers_);
        controllers_a_ = select(now, row.light.own_a, controllers_a_);
    }

    // Before the first step the cabin stands where it settles.
    RT_INLINE void settle_air(const Row<V>& row, V from_h, Bool waking) {
        const V one(T(1)), half(T(0.5)), shut_rise = shut_rise_k(plan_.air, x_, from_h, row.sun_w_m2);
        V low_c = row.air_c, high_c = row.air_c + shut_rise;
        for (int i = 0; i < cabin::kSettlingHalvings; ++i) {
            cabin_end_c_ = half * (low_c + high_c);
            const V settles_c = row.air_c + shut_rise / (one + ventilation_at(cabin_end_c_, waking, from_h));
            const Bool above = cabin_end_c_ > settles_c;
            high_c = select(above, cabin_end_c_, high_c);
            low_c = select(above, low_c, cabin_end_c_);
        }
    }

    // Windows and fans of the step: the mean of what they would do at its beginning and, with that, on its mean.
    RT_INLINE void ventilate(const Row<V>& row, V from_h, Bool waking) {
        const V one(T(1));
        shut_rise_k_ = shut_rise_k(plan_.air, x_, from_h, row.sun_w_m2);
        ventilation_ = V(T(0));
        felt_c_[0] = felt_c_[1] = cabin_end_c_;
        if (any(max(cabin_end_c_, row.air_c + shut_rise_k_) > V(coolest_opening_c_))) {
            const V at_first = ventilation_at(cabin_end_c_, waking, from_h);
            felt_c_[1] = air_step(plan_.air, x_, at_first, step_h_)
                             .mean(cabin_end_c_, row.air_c + shut_rise_k_ / (one + at_first));
            ventilation_ = V(T(0.5)) * (at_first + ventilation_at(felt_c_[1], waking, from_h));
        }
        air_ = air_step(plan_.air, x_, ventilation_, step_h_);
    }
    RT_INLINE V ventilation_at(V cabin_c, Bool waking, V clock_h) const {
        V sum = windows_at(plan_.air, x_, cabin_c, waking, clock_h);
        if (!(plan_.air.persons > 0)) return sum;
        for (int i = 0; i < plan_.fans; ++i) {
            const loads::FanModel& f = plan_.fan[i];
            const V turns = x_[f.fitted] * cabin::share_between(cabin_c, f.starts_c, f.full_c);
            sum += select(s_.bus_open | s_.system_open, V(T(0)), x_[f.ventilation] * turns);
        }
        return sum;
    }
    RT_INLINE V fan_current_a(const loads::FanModel& f) const {
        if (!(plan_.air.persons > 0)) return V(T(0));
        const V share = cabin::share_between(felt_c_[0], f.starts_c, f.full_c) +
                        cabin::share_between(felt_c_[1], f.starts_c, f.full_c);
        return x_[f.current_a] * x_[f.fitted] * (V(T(0.5)) * share);
    }
    RT_INLINE V fans_a() const {
        V sum(T(0));
        for (int i = 0; i < plan_.fans; ++i) sum += fan_current_a(plan_.fan[i]);
        return sum;
    }

    // The cabin in the step that begins at `from_h`, with its heater.
    RT_INLINE void warm_air(const Row<V>& row, V from_h, Bool waking) {
        const V all = V(T(1)) + ventilation_, settles_c = row.air_c + shut_rise_k_ / all;
        cabin_c_ = air_.mean(cabin_end_c_, settles_c);
        next_end_c_ = air_.end(cabin_end_c_, settles_c);
        if (heated_) {
            const cabin::HeatedStep<V> warm =
                heated_step(plan_.heater, x_, air_, cabin_end_c_, settles_c, thermostat_c(plan_.heater, x_, waking),
                            x_[plan_.air.heat_loss_w_per_k] * all, step_h_);
            const V share = running_share(heat_, from_h, step_h_);
            cabin_c_ += share * (warm.mean_c - cabin_c_);
            next_end_c_ += share * (warm.end_c - next_end_c_);
            heater_a_ = share * warm.current_a;
        }
        battery_air_ = row.air_c + x_[plan_.battery.cabin_share] * (cabin_c_ - row.air_c);
    }

    // The trip's first step finds a battery in its air and a fridge that is cold, somewhere in its thermostat's band,
    // or was switched on warm; whatever heater runs then.
    RT_INLINE void begin_state(int day) {
        const V zero(T(0)), u = draws_.uniform(plan_.fridge.draws, day, 1), charge = x_[plan_.battery.initial_soc];
        s_.battery = {charge * c_.battery.q_max_ah, zero, zero, battery_air_};
        s_.inside_c = s_.freezer_c = c_.fridge.low_c + u * (c_.fridge.high_c - c_.fridge.low_c);
        s_.inverter_low_h = s_.overcurrent_h = s_.off_spell_h = zero;
        s_.inverter_waited_h = zero;
        s_.inverter_open = s_.overcurrent_open = Bool::all(false);
        s_.start_left_h = s_.ice_wh = zero;
        if (plan_.fridge.ice()) s_.ice_wh = x_[plan_.fridge.ice_kg] * V(T(fridge::kMeltingWhPerKg));
        s_.food_wh = s_.absorbed_h = s_.fridge_low_h = s_.system_low_h = s_.warm_spell_h = zero;
        s_.terminal_v = V(T(base::kNominalRestingV));
        s_.waited_h = c_.fridge.restart_wait_h;
        s_.running = s_.fridge_open = s_.system_open = s_.bus_open = s_.floating = s_.full_today = Bool::all(false);
        for (V& column : s_.column) column = zero;
        s_.column[kMinSoc] = charge;
        s_.column[kWarmestFoodC] = s_.inside_c;
        s_.column[kFirstCutoutH] = s_.column[kColdestCabinC] = V(T(1e30));
        s_.in_ah = s_.out_ah = s_.stored_ah = s_.source_wh = s_.chemical_wh = s_.wiring_wh = s_.battery_loss_wh = zero;
        if (plan_.fridge.initial_inside_c)
            s_.inside_c = s_.freezer_c = s_.column[kWarmestFoodC] = x_[plan_.fridge.initial_inside_c];
        else if (plan_.fridge.freezer_box())
            s_.freezer_c = fridge::steady_box_c(c_.fridge, c_.fridge.freezer, cabin_c_, s_.inside_c);
        if (plan_.fridge.freezer_box()) s_.column[kWarmestFreezerC] = s_.freezer_c;
        start_q_ = s_.battery.q_ah;
    }

    RT_INLINE StepInput<V> inputs(const Row<V>& row, const Day<V>& day, const loads::Bin<V>& bin, Bool waking) const {
        const V zero(T(0));
        StepInput<V> in;
        read_loads(bin, in);
        in.solar_w = controllers_.power_w;
        in.solar_a = controllers_.current_a;
        in.drive = row.drive;
        in.powered = row.powered;
        in.idle = row.idle;
        in.generator = row.generator;
        in.dc_dc_a = day.drive_a;
        in.idle_a = day.idle_a;
        in.drive_share = day.drive_share;
        in.idle_share = day.idle_share;
        in.mains_a = plan_.mains.current_a ? x_[plan_.mains.current_a] : zero;
        in.generator_a = min(in.mains_a, V(T(plan_.mains.generator_a)));
        in.alternator = {zero, zero};
        in.cable_ohm = zero;
        if (plan_.alternator.cable) {
            in.alternator = {x_[plan_.alternator.alternator_v], x_[plan_.alternator.swing_v]};
            in.cable_ohm = max(x_[plan_.alternator.supply_mohm], V(T(2))) * V(T(0.001));  // no cable is better
        }
        in.waking = waking;
        in.from_start_h = row.step * V(step_h_);
        in.low_c = V(T(plan_.fridge.set_point_c)) + row.set_back_k - V(T(plan_.fridge.hysteresis_k));
        in.high_c = V(T(plan_.fridge.set_point_c)) + row.set_back_k + V(T(plan_.fridge.hysteresis_k));
        return in;
    }
    RT_INLINE void read_loads(const loads::Bin<V>& bin, StepInput<V>& in) const {
        in.distribution_a = bin.distribution_a + fans_a();
        in.terminal_a = controllers_a_;
        in.inverter_a = bin.terminal_a;
        in.event_a = bin.event_a;
        in.event_on_h = bin.event_on_h;
        in.event_off_h = bin.event_off_h;
        in.event_at_terminals = bin.event_at_terminals;
        if (heated_) in.distribution_a += heater_a_;
    }

    RT_INLINE void account_cabin() {
        s_.column[kColdestCabinC] = min(s_.column[kColdestCabinC], cabin_c_);
        if (plan_.party.persons > 0)
            s_.column[kColdCabinH] += select(cabin_c_ < V(T(kColdCabinC)), V(step_h_), V(T(0)));
    }

    // Watts from warm food, drinks and shopping, and from doors that are opened.
    RT_INLINE V heat_into_fridge(const Row<V>& row, const Day<V>& day, Bool waking) {
        const V zero(T(0)), above_k = max(cabin_c_ - V(T(plan_.fridge.set_point_c)), zero);
        s_.food_wh += row.warm_food_wh_per_k * above_k;
        s_.food_wh += row.drinks_wh_per_k * above_k + row.shopping_wh_per_k * above_k;
        const V food_wh = s_.food_wh * V(T(plan_.food_release));
        s_.food_wh -= food_wh;
        return food_wh * V(T(1) / step_h_) + select(waking, day.door_w_per_k * above_k, zero);
    }

    RT_INLINE void account_freezing() {
        if (!c_.battery.laws.freezes || !any(s_.battery.temp_c < V(T(battery::kWarmestFreezingC)))) return;
        const Bool freezes = s_.battery.temp_c < battery::freezing_c(s_.battery.q_ah / c_.battery.q_max_ah);
        s_.column[kFrozen] = select(freezes, V(T(1)), s_.column[kFrozen]);
    }

    const trip::Plan& plan_;
    const Buffers<V>& out_;
    random::Parameters<V> x_;
    random::Draws<V> draws_;
    T step_h_;
    int hour_steps_;
    Trial<V> c_;
    TrialState<V> s_{};
    cabin::HeaterState<V> heat_;
    solar::ChargeControllers<V> controllers_{};
    TimeSeries<V> series_;
    bool heated_ = false;
    V cabin_end_c_, next_end_c_;  // at the end of the step before and of this one
    cabin::AirStep<V> air_;
    // Of the step: the cabin's temperature, what windows and fans make of it, the air around the battery.
    V cabin_c_, shut_rise_k_, ventilation_, felt_c_[2], battery_air_, heater_a_{T(0)}, controllers_a_{T(0)};
    T coolest_opening_c_;  // below it all is shut
    V battery_lag_, start_q_;
};

}  // namespace ridethrough::engine
