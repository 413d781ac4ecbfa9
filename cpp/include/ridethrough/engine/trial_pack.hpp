// One pack of trials from the trip's start to its end: the hourly kernel. It reads a plan, the draws and the drawn
// parameters, and writes results through plain pointers; it allocates nothing.
#pragma once

#include "ridethrough/battery/freezing.hpp"
#include "ridethrough/engine/kernel.hpp"
#include "ridethrough/engine/sky_days.hpp"
#include "ridethrough/engine/step.hpp"
#include "ridethrough/engine/time_series.hpp"
#include "ridethrough/engine/voltage_limited_starts.hpp"

namespace ridethrough::engine {

constexpr int kMostDoorOpenings = 160;

template <class V>
class TrialPack {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;

  public:
    // `sky` stands outside, so that no call that is not inlined can reach what a pack holds.
    RT_INLINE TrialPack(const PlanView<T>& view, const Buffers<V>& buffers, SkyDays<V>& sky)
        : view_(view),
          plan_(view.plan),
          out_(buffers),
          x_(buffers.parameters),
          draws_(buffers.draws),
          c_(of_trials(view.plan, x_)),
          step_h_(T(view.plan.step_h)),
          hour_steps_(view.plan.per_day / 24),
          bins_(bins_of(view.plan, buffers)),
          sky_(sky),
          clock_(view.plan.run, view.plan.runs),
          series_(buffers.paths) {}

    // False where `stop` was raised: the pack's results are then not to be used.
    RT_INLINE bool run(Stop stop) {
        begin();
        for (int day = 0; day < plan_.days; ++day) {
            if (stop.raised()) return false;
            begin_day(day);
            for (int k = clock_.enter(day); k >= 0; k = clock_.next(), ++step_) run_step_of_day(day, k);
        }
        finish();
        return true;
    }

  private:
    RT_INLINE static loads::DayBins<V> bins_of(const trip::Plan& plan, const Buffers<V>& b) {
        const int span = 2 * plan.per_day;
        return {plan.per_day,      T(plan.step_h),    b.bins,      b.bins + span, b.bins + 2 * span, b.bins + 3 * span,
                b.bins + 4 * span, b.bins + 5 * span, plan.counted};
    }

    // What is done once a trial, before its first day.
    RT_INLINE void begin() {
        const V zero(T(0)), one(T(1));
        if (plan_.storage.any()) {
            V standby_a = zero;
            for (int i = 0; i < plan_.standbys; ++i) standby_a += x_[plan_.standby[i].current_a];
            x_[plan_.battery.start_charge] =
                charge_after_storage(plan_.storage, x_, plan_.battery.start_charge, plan_.ghi_scale,
                                     plan_.storage_array, standby_a, c_.battery.q_max_ah);
        }
        daily_weather();
        bins_.clear(0, 2 * plan_.per_day);
        for (int i = 0; i < plan_.loads; ++i) out_.load_ah[i] = zero;
        careless_trial(plan_.party, plan_.habits, plan_.event, plan_.events, x_);
        water_ = water_at_start(plan_.water, x_);
        // Half a step before it and half a step after it: the step has the battery's temperature of its middle.
        battery_lag_ = one - simd::exp(-V(T(0.5) * step_h_) / x_[plan_.battery.thermal_lag_h]);
    }

    RT_INLINE void daily_weather() {
        if (plan_.replay || out_.days_given) return;
        const std::uint64_t *clearness = draws_.at(plan_.clearness, 0), *temperature = draws_.at(plan_.temperature, 0);
        if (plan_.stops.lag) {
            weather_of_stops(view_.skies.weather, plan_.stops, x_, clearness, temperature, out_.clearness,
                             out_.air_mean_c);
            return;
        }
        const weather::WeatherInputs<V> inputs{x_[plan_.clearness_lag1], V(T(plan_.air_temp_lag1)),
                                               x_[plan_.ghi_scale]};
        weather::daily_weather(view_.skies.weather, inputs, clearness, temperature, out_.clearness, out_.air_mean_c);
    }

    RT_INLINE void begin_day(int day) {
        for (int i = 0; i < plan_.daily; ++i) x_[plan_.of_day[i]] = out_.day_values[day * plan_.daily + i];
        careless_day(plan_.party, plan_.habits, day, x_);
        const weather::HourlyWeather<V>& weather = sky_.clock_day(day);
        bins_.counted = plan_.counted + day * plan_.per_day;
        if (day > 0) bins_.next_day();
        V unheated[24];
        for (int h = 0; h < 24; ++h) unheated[h] = unheated_c(plan_.air, x_, weather.air[h], weather.ghi[h]);
        add_events_of_day(day, weather);
        if (plan_.heater.fitted)
            plan_heat(plan_.heater, draws_, day, T(plan_.wake_h), T(plan_.bedtime_h), x_, unheated, heat_);
        add_steady_loads(unheated);
        heated_ = plan_.heater.fitted && heat_.wanted;

        const V openings =
            random::count_of(draws_.uniform(plan_.fridge.draws, day),
                             door_openings(plan_.party, plan_.habits, x_, weather.air), kMostDoorOpenings);
        door_w_per_k_ = openings * V(T(plan_.fridge.door_opening_wh_per_k) / (T(plan_.bedtime_h) - T(plan_.wake_h)));
        alternator_of_day();
        begin_solar_day(plan_.solar, x_, draws_, day, T(plan_.dawn_h[day]), weather, solar_day_);
        hour_.of_sky = hour_.of_clock = -1;
    }

    // What people switch on today, into the bins; and the water that they draw.
    RT_INLINE void add_events_of_day(int day, const weather::HourlyWeather<V>& weather) {
        const V habits = x_[plan_.habits.habits_scale];
        const bool workday = (plan_.party.first_weekday + day) % 7 < 5;
        const loads::DayClock<T> clock{T(plan_.dusk_h[day]), T(plan_.dawn_h[day]), T(plan_.wake_h), workday,
                                       plan_.solar.stationary[day] > 0};
        const auto wet = rainy(plan_.party, x_, weather.clearness);
        V water_l(T(0));
        for (int i = 0; i < plan_.events; ++i) {
            const loads::EventModel& e = plan_.event[i];
            V& used_ah = out_.load_ah[e.load];
            const V before = used_ah;
            add_events(e, clock, draws_, day, x_, habits, weather.air, bins_, used_ah, wet);
            if (e.litres_per_h > 0) water_l += (used_ah - before) / x_[e.current] * V(T(e.litres_per_h));
        }
        use_water(plan_.water, x_, day, water_l, water_);
    }

    // Loads that are always on, and those that follow the cabin's heat.
    RT_INLINE void add_steady_loads(const V* unheated) {
        for (int k = 0; k < plan_.per_day; ++k) {
            if (!bins_.counted[k]) continue;
            const V step(step_h_ * T(bins_.counted[k]));
            V steady(T(0));
            for (int i = 0; i < plan_.standbys; ++i) {
                const V a = x_[plan_.standby[i].current_a];
                out_.load_ah[plan_.standby[i].load] += a * step;
                steady += a;
            }
            for (int i = 0; i < plan_.fans; ++i) {
                const loads::FanModel& f = plan_.fan[i];
                const V above = unheated[k / hour_steps_] - V(T(f.starts_c));
                const V a = x_[f.current_a] * x_[f.fitted] *
                            clamp(above * V(T(1) / (T(f.full_c) - T(f.starts_c))), V(T(0)), V(T(1)));
                out_.load_ah[f.load] += a * step;
                steady += a;
            }
            bins_.distribution_a[k] += steady;
        }
    }

    // What driving and idling give today.
    RT_INLINE void alternator_of_day() {
        const charging::AlternatorModel& m = plan_.alternator;
        drive_a_ = idle_a_ = V(T(0));
        if (!m.fitted) return;
        drive_a_ = m.cable ? x_[m.current_a] : dc_dc_current_a(m, x_, x_[m.current_a]);
        if (!plan_.idle) return;
        idle_a_ = min(x_[m.idle_a], x_[m.current_a]);
        if (!m.cable) idle_a_ = dc_dc_current_a(m, x_, idle_a_);
    }

    // Another hour of the clock or of the sky.
    RT_INLINE void begin_hour(int day, int hour, int sky_hour) {
        hour_.of_clock = hour;
        hour_.of_sky = sky_hour;
        const weather::HourlyWeather<V>& above = sky_.day(sky_hour / 24);
        hour_.air = above.air[sky_hour % 24];
        hour_.ghi = above.ghi[sky_hour % 24];
        hour_.cabin = hour_.unheated = unheated_c(plan_.air, x_, hour_.air, hour_.ghi);
        hour_.battery_air = hour_.air + x_[plan_.battery.cabin_share] * (hour_.cabin - hour_.air);
        V shade_beam = x_[plan_.shade_beam], shade_sky = x_[plan_.shade_sky];
        if (plan_.stops.shade) {
            shade_beam = x_[plan_.stops.shade[2 * (24 * day + hour)]];
            shade_sky = x_[plan_.stops.shade[2 * (24 * day + hour) + 1]];
        }
        const solar::HourIndex<V> index{sky_hour, view_.skies.record.hours, plan_.replay ? out_.replay_start : nullptr,
                                        clock_.part()};
        hour_.sun = solar_hour(plan_.solar, view_.skies.planes, x_, index, hour, above, shade_beam, shade_sky,
                               step_ == 0 ? V(T(circuit::kNominalRestingV)) : s_.terminal_v, solar_day_);
    }

    // The cabin with its heater in step `k` of the day.
    RT_INLINE void warm_air(int k, bool waking) {
        const cabin::HeaterStep<V> warm = heat_step(plan_.heater, x_, x_[plan_.air.heat_loss_w_per_k], waking,
                                                    hour_.unheated, T(k) * step_h_, step_h_, heat_);
        hour_.cabin = hour_.unheated + warm.rise_k;
        hour_.heater_a = warm.current_a;
        hour_.battery_air = hour_.air + x_[plan_.battery.cabin_share] * (hour_.cabin - hour_.air);
    }

    // The trip's first step finds a battery in its air and a fridge that is cold, somewhere in its thermostat's band,
    // or was switched on warm; whatever heater runs then.
    RT_INLINE void begin_trip(int day) {
        const V zero(T(0)), u = draws_.uniform(plan_.fridge.draws, day, 1), charge = x_[plan_.battery.start_charge];
        s_.battery = {charge * c_.battery.q_max_ah, zero, zero, hour_.battery_air};
        s_.inside_c = s_.freezer_c = c_.fridge.low_c + u * (c_.fridge.high_c - c_.fridge.low_c);
        s_.food_wh = s_.absorbed_h = s_.fridge_low_h = s_.system_low_h = s_.warm_spell_h = zero;
        s_.terminal_v = V(T(circuit::kNominalRestingV));
        s_.waited_h = c_.fridge.restart_wait_h;
        s_.running = s_.fridge_open = s_.system_open = s_.bus_open = s_.floating = s_.full_today = Bool::all(false);
        for (V& column : s_.column) column = zero;
        s_.column[kLowestCharge] = charge;
        s_.column[kWarmestFoodC] = s_.inside_c;
        s_.column[kFirstCutoutH] = s_.column[kColdestCabinC] = V(T(1e30));
        s_.in_ah = s_.out_ah = s_.stored_ah = s_.source_wh = s_.chemical_wh = s_.wiring_wh = s_.battery_loss_wh = zero;
        if (plan_.fridge.start_inside_c)
            s_.inside_c = s_.freezer_c = s_.column[kWarmestFoodC] = x_[plan_.fridge.start_inside_c];
        else if (plan_.fridge.freezer_box())
            s_.freezer_c = fridge::steady_box_c(c_.fridge, c_.fridge.freezer, hour_.cabin, s_.inside_c);
        if (plan_.fridge.freezer_box()) s_.column[kWarmestFreezerC] = s_.freezer_c;
        start_q_ = s_.battery.q_ah;
    }

    RT_INLINE void run_step_of_day(int day, int k) {
        const int hour = k / hour_steps_, sky_hour = (plan_.first_step + plan_.sky_lead + step_) / hour_steps_;
        if (hour != hour_.of_clock || sky_hour != hour_.of_sky) begin_hour(day, hour, sky_hour);
        if (step_ == 0) begin_trip(day);
        const bool waking = T(hour) >= T(plan_.wake_h) && T(hour) < T(plan_.bedtime_h);
        if (heated_) {
            stop_heat(heat_, s_.bus_open | s_.system_open, V(T(k) * step_h_));
            warm_air(k, waking);
        }
        if (clock_.opens_day()) begin_charge_day();
        const V rise_k = plan_.battery_rise_k ? V(T(plan_.battery_rise_k[step_])) : V(T(0));
        V around_battery = hour_.battery_air + rise_k;
        s_.battery.temp_c += (around_battery - s_.battery.temp_c) * battery_lag_;
        if (plan_.fridge.set_back_k > 0) set_thermostat(hour);
        StepInput<V> in;
        read_loads(k, in);
        read_supplies(waking, in);
        if (heated_) {
            if (!clock_.repeats())
                decide_starts(plan_, c_, s_, in, x_, step_ == 0 ? 0 : clock_.since(), k, bins_, out_.load_ah, heat_);
            warm_air(k, waking);  // a heater that has just started is felt in the same step
            const V found = around_battery;
            around_battery = hour_.battery_air + rise_k;
            s_.battery.temp_c += (around_battery - found) * battery_lag_;
            read_loads(k, in);
            out_.load_ah[plan_.heater.load] += hour_.heater_a * V(step_h_);
        }
        in.cabin_c = hour_.cabin;
        account_cabin();
        in.heat_w = heat_into_fridge(day, k, waking);

        StepMeans<V> means{};
        run_step(plan_, c_, in, s_, series_.wanted() ? &means : nullptr);
        s_.battery.temp_c += (around_battery - s_.battery.temp_c) * battery_lag_;
        account_freezing();
        series_.write(step_, hour_steps_, step_h_, c_, s_, hour_, means);
    }

    RT_INLINE void begin_charge_day() {
        s_.column[kDaysFull] += select(s_.full_today, V(T(1)), V(T(0)));
        s_.full_today = s_.floating = Bool::all(false);
        s_.absorbed_h = V(T(0));
    }

    RT_INLINE void set_thermostat(int hour) {
        const T middle =
            T(plan_.fridge.set_point_c) + (plan_.fridge.set_back(hour) ? T(plan_.fridge.set_back_k) : T(0));
        c_.fridge.low_c = V(middle - T(plan_.fridge.hysteresis_k));
        c_.fridge.high_c = V(middle + T(plan_.fridge.hysteresis_k));
    }

    RT_INLINE void read_loads(int k, StepInput<V>& in) const {
        in.distribution_a = bins_.distribution_a[k];
        in.terminal_a = bins_.terminal_a[k] + hour_.sun.own_a;
        in.event_a = bins_.event_a[k];
        in.event_on_h = bins_.event_on_h[k];
        in.event_off_h = bins_.event_off_h[k];
        in.event_at_terminals = bins_.event_at_terminals[k];
        if (heated_) in.distribution_a += hour_.heater_a;
    }

    RT_INLINE void read_supplies(bool waking, StepInput<V>& in) const {
        const V zero(T(0));
        in.solar_w = hour_.sun.power_w;
        in.solar_a = hour_.sun.current_a;
        in.drive = span_of<T>(plan_.drive, step_);
        in.powered = span_of<T>(plan_.powered, step_);
        in.idle = span_of<T>(plan_.idle, step_);
        in.generator = span_of<T>(plan_.generator, step_);
        in.dc_dc_a = drive_a_;
        in.idle_a = idle_a_;
        in.mains_a = plan_.mains.current_a ? x_[plan_.mains.current_a] : zero;
        in.generator_a = min(in.mains_a, V(T(plan_.mains.generator_a)));
        in.alternator_v = in.cable_ohm = zero;
        if (plan_.alternator.cable) {
            in.alternator_v = x_[plan_.alternator.alternator_v];
            in.cable_ohm =
                max(x_[plan_.alternator.supply_mohm], V(T(2))) * V(T(0.001));  // no cable is better than that
        }
        in.waking = waking;
        in.from_start_h = V(T(step_) * step_h_);
    }

    RT_INLINE void account_cabin() {
        s_.column[kColdestCabinC] = min(s_.column[kColdestCabinC], hour_.cabin);
        if (plan_.party.persons > 0)
            s_.column[kColdCabinH] += select(hour_.cabin < V(T(kColdCabinC)), V(step_h_), V(T(0)));
    }

    // Watts from warm food, drinks and shopping, and from doors that are opened.
    RT_INLINE V heat_into_fridge(int day, int k, bool waking) {
        const V above_k = max(hour_.cabin - V(T(plan_.fridge.set_point_c)), V(T(0)));
        if (plan_.warm_food[step_] > 0)
            s_.food_wh += x_[plan_.habits.warm_food_kg] * V(T(fridge::kFoodWhPerKgK)) * above_k;
        if (plan_.party.given && !clock_.repeats())
            s_.food_wh += party_food_wh(plan_.party, plan_.habits, draws_, day, clock_.since(), k, x_, above_k);
        const V food_wh = s_.food_wh * V(T(plan_.food_release));
        s_.food_wh -= food_wh;
        V heat_w = food_wh * V(T(1) / step_h_);
        if (waking) heat_w += door_w_per_k_ * above_k;
        return heat_w;
    }

    RT_INLINE void account_freezing() {
        if (!c_.battery.laws.freezes || !any(s_.battery.temp_c < V(T(battery::kWarmestFreezingC)))) return;
        const Bool freezes = s_.battery.temp_c < battery::freezing_c(s_.battery.q_ah / c_.battery.q_max_ah);
        s_.column[kFrozen] = select(freezes, V(T(1)), s_.column[kFrozen]);
    }

    RT_INLINE void finish() {
        begin_charge_day();
        s_.column[kWaterDryNight] = water_.dry_night;
        s_.column[kGreyFullNight] = water_.full_night;
        s_.column[kLossWh] = s_.wiring_wh + s_.battery_loss_wh;
        for (int i = 0; i < kColumns; ++i) out_.columns[i] = s_.column[i];
        // What the ledgers miss, relative to what went through them.
        const V one(T(1));
        out_.ledger_miss[0] =
            abs(start_q_ - s_.out_ah + s_.stored_ah - s_.battery.q_ah) / (start_q_ + s_.out_ah + s_.in_ah + one);
        const V used_wh = s_.column[kFridgeWh] + s_.column[kOtherLoadsWh] + s_.column[kLossWh];
        out_.ledger_miss[1] =
            abs(s_.source_wh + s_.chemical_wh - used_wh) / (s_.source_wh + abs(s_.chemical_wh) + used_wh + one);
    }

    const PlanView<T>& view_;
    const trip::Plan& plan_;
    const Buffers<V>& out_;
    random::Parameters<V> x_;
    random::Draws<V> draws_;
    Trial<V> c_;
    T step_h_;
    int hour_steps_;
    loads::DayBins<V> bins_;
    SkyDays<V>& sky_;
    trip::ClockCursor clock_;
    int step_ = 0;
    TrialState<V> s_{};
    cabin::CabinHeat<V> heat_;
    loads::WaterState<V> water_;
    solar::SolarDay<V> solar_day_;
    Hour<V> hour_{};
    TimeSeries<V> series_;
    bool heated_ = false;
    V battery_lag_, door_w_per_k_, drive_a_, idle_a_, start_q_;
};

}  // namespace ridethrough::engine
