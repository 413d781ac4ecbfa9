// The first of two phases: the hours of a trip as the world and people's habits give them to a pack of trials. Nothing
// here knows the battery's charge, a voltage or a temperature inside.
#pragma once

#include "ridethrough/cabin/heater.hpp"
#include "ridethrough/charging/dc_dc.hpp"
#include "ridethrough/engine/kernel.hpp"
#include "ridethrough/engine/row.hpp"
#include "ridethrough/engine/sky_days.hpp"
#include "ridethrough/fridge/food.hpp"

namespace ridethrough::engine {

constexpr int kMostDoorOpenings = 160;

// What holds for a day of the clock.
template <class V>
struct Day {
    V door_w_per_k;             // of the hours awake, for each kelvin of the cabin above the set point
    V drive_a, idle_a;          // what driving and idling give
    V drive_share, idle_share;  // of what a DC-DC charger could; of a plain cable 1
    cabin::HeaterDay<V> heater;
};

template <class V>
class Hours {
    using T = typename V::Scalar;

  public:
    RT_INLINE Hours(const PlanView<T>& view, const Buffers<V>& buffers, SkyDays<V>& sky)
        : view_(view),
          plan_(view.plan),
          out_(buffers),
          x_(buffers.parameters),
          draws_(buffers.draws),
          step_h_(T(view.plan.step_h)),
          hour_steps_(view.plan.per_day / 24),
          bins_(bins_of(view.plan, buffers)),
          sky_(sky) {}

    // What is drawn once a trial.
    RT_INLINE void begin_trip() {
        daily_weather();
        bins_.clear(0, 2 * plan_.per_day);
        for (int i = 0; i < plan_.loads; ++i) out_.load_ah[i] = V(T(0));
        careless_trial(plan_.party, plan_.habits, plan_.event, plan_.events, x_);
        water_ = water_at_start(plan_.water, x_);
    }

    RT_INLINE void begin_day(int day) {
        for (int i = 0; i < plan_.daily; ++i) x_[plan_.of_day[i]] = out_.day_values[day * plan_.daily + i];
        careless_day(plan_.party, plan_.habits, day, x_);
        const weather::HourlyWeather<V>& weather = sky_.clock_day(day);
        bins_.counted = plan_.counted + day * plan_.per_day;
        if (day > 0) bins_.next_day();
        add_events_of_day(day, weather);
        if (plan_.heater.fitted) {
            V unheated[24];
            for (int h = 0; h < 24; ++h)
                unheated[h] = weather.air[h] + shut_rise_k(plan_.air, x_, V(T(h)),
                                                           sun_on_van(weather, h, shade_at(day, h, sky_of(day, h))));
            plan_heat(plan_.heater, draws_, day, T(plan_.wake_h), T(plan_.bedtime_h), x_, unheated, day_.heater);
        }
        add_steady_loads();
        const V openings =
            random::count_of(draws_.uniform(plan_.fridge.draws, day),
                             door_openings(plan_.party, plan_.habits, x_, weather.air), kMostDoorOpenings);
        day_.door_w_per_k =
            openings * V(T(plan_.fridge.door_opening_wh_per_k) / (T(plan_.bedtime_h) - T(plan_.wake_h)));
        alternator_of_day();
        begin_solar_day(plan_.solar, x_, draws_, day, T(plan_.dawn_h[day]), weather, solar_day_);
        hour_ = sky_hour_ = -1;
    }

    // Step `step` of the trip, in bin `k` of the day.
    RT_INLINE void make_row(int day, int k, int step, const trip::ClockCursor& clock, Row<V>& row) {
        const int hour = k / hour_steps_, sky_hour = (plan_.first_step + plan_.sky_lead + step) / hour_steps_;
        const bool new_hour = hour != hour_ || sky_hour != sky_hour_;
        hour_ = hour;
        sky_hour_ = sky_hour;
        row.bin = V(T(k));
        row.first_bin_to_decide = V(T(step == 0 ? 0 : clock.first_bin_to_decide()));
        row.step = V(T(step));
        row.waking = yes(T(hour) >= T(plan_.wake_h) && T(hour) < T(plan_.bedtime_h));
        row.new_hour = yes(new_hour);
        row.first_time = yes(!clock.repeats());
        const weather::HourlyWeather<V>& weather = sky_.day(sky_hour / 24);
        row.air_c = weather.air[sky_hour % 24];
        row.ghi_w_m2 = weather.ghi[sky_hour % 24];
        const Shade shade = shade_at(day, hour, sky_hour);
        row.sun_w_m2 = sun_on_van(weather, sky_hour % 24, shade);
        row.battery_rise_k = plan_.battery_rise_k ? V(T(plan_.battery_rise_k[step])) : V(T(0));
        row.set_back_k = V(plan_.fridge.set_back(hour) ? T(plan_.fridge.set_back_k) : T(0));
        add_food(day, k, step, clock, row);
        read_span(plan_.drive, step, row.drive);
        read_span(plan_.powered, step, row.powered);
        read_span(plan_.idle, step, row.idle);
        read_span(plan_.generator, step, row.generator);
        if (new_hour) add_light(clock.part(), weather, shade, row);
    }

    RT_INLINE const Day<V>& today() const { return day_; }
    RT_INLINE const loads::DayBins<V>& bins() const { return bins_; }

    RT_INLINE void finish() {
        out_.columns[kWaterDryNight] = water_.dry_night;
        out_.columns[kGreyFullNight] = water_.full_night;
    }

  private:
    RT_INLINE static V yes(bool is) { return V(T(is ? 1 : 0)); }
    RT_INLINE static loads::DayBins<V> bins_of(const trip::Plan& plan, const Buffers<V>& b) {
        const int span = 2 * plan.per_day;
        return {plan.per_day,      T(plan.step_h),    b.bins,      b.bins + span, b.bins + 2 * span, b.bins + 3 * span,
                b.bins + 4 * span, b.bins + 5 * span, plan.counted};
    }
    // Of a step in one of the plan's tables; a row has none where there is no table.
    RT_INLINE static void read_span(const double* spans, int step, Span<V>& span) {
        if (spans) span = {V(T(spans[2 * step])), V(T(spans[2 * step + 1]))};
    }

    RT_INLINE void daily_weather() {
        if (plan_.replay || out_.days_given) return;
        const weather::Model& m = plan_.weather;
        const std::uint64_t *clearness = draws_.at(m.clearness, 0), *temperature = draws_.at(m.temperature, 0);
        if (plan_.stops.lag) {
            weather_of_stops(view_.skies.weather, plan_.stops, x_, clearness, temperature, out_.clearness,
                             out_.air_mean_c);
            return;
        }
        const weather::WeatherInputs<V> inputs{x_[m.clearness_lag1], V(T(m.air_temp_lag1)), x_[m.ghi_scale],
                                               x_[m.air_temp_offset_k]};
        weather::daily_weather(view_.skies.weather, inputs, clearness, temperature, out_.clearness, out_.air_mean_c);
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

    // Loads that are always on.
    RT_INLINE void add_steady_loads() {
        for (int k = 0; k < plan_.per_day; ++k) {
            if (!bins_.counted[k]) continue;
            const V step(step_h_ * T(bins_.counted[k]));
            V steady(T(0));
            for (int i = 0; i < plan_.standbys; ++i) {
                const V a = x_[plan_.standby[i].current_a];
                out_.load_ah[plan_.standby[i].load] += a * step;
                steady += a;
            }
            bins_.distribution_a[k] += steady;
        }
    }

    RT_INLINE void alternator_of_day() {
        const charging::AlternatorModel& m = plan_.alternator;
        day_.drive_a = day_.idle_a = V(T(0));
        day_.drive_share = day_.idle_share = V(T(1));
        if (!m.fitted) return;
        day_.drive_a = x_[m.current_a];
        if (!m.cable) day_.drive_share = dc_dc_share(m, x_, day_.drive_a);
        day_.drive_a *= day_.drive_share;
        if (!plan_.idle) return;
        day_.idle_a = min(x_[m.idle_a], x_[m.current_a]);
        if (!m.cable) day_.idle_share = dc_dc_share(m, x_, day_.idle_a);
        day_.idle_a *= day_.idle_share;
    }

    // Warm food, drinks and shopping that go into the fridge in this step.
    RT_INLINE void add_food(int day, int k, int step, const trip::ClockCursor& clock, Row<V>& row) const {
        row.warm_food_wh_per_k = row.drinks_wh_per_k = row.shopping_wh_per_k = V(T(0));
        if (plan_.warm_food[step] > 0)
            row.warm_food_wh_per_k = x_[plan_.habits.warm_food_kg] * V(T(fridge::kFoodWhPerKgK));
        if (!plan_.party.given || clock.repeats()) return;
        const auto food = party_food(plan_.party, plan_.habits, draws_, day, clock.first_bin_to_decide(), k, x_);
        row.drinks_wh_per_k = food.drinks_wh_per_k;
        row.shopping_wh_per_k = food.shopping_wh_per_k;
    }

    // Lost shares of the beam and of the sky's light where the van stands in an hour of the clock.
    struct Shade {
        V beam, sky;
    };
    RT_INLINE Shade shade_at(int day, int hour, int sky_hour) const {
        Shade shade{x_[plan_.shade_beam], x_[plan_.shade_sky]};
        if (const auto* of_stops = plan_.stops.shade) {
            const auto* at = of_stops + 2 * (24 * day + hour);
            shade = {x_[at[0]], x_[at[1]]};
        }
        shade.beam = solar::with_shade_by_time(plan_.solar, x_, sky_hour, shade.beam);
        return shade;
    }
    // Hour of the sky at the beginning of an hour of the clock's day.
    RT_INLINE int sky_of(int day, int hour) const {
        return plan_.sky_hour ? plan_.sky_hour[24 * day + hour] : 24 * day + hour;
    }
    RT_INLINE static V sun_on_van(const weather::HourlyWeather<V>& weather, int hour, const Shade& shade) {
        const V one(T(1));
        return weather.direct[hour] * (one - shade.beam) + weather.diffuse[hour] * (one - shade.sky);
    }

    RT_INLINE void add_light(int part, const weather::HourlyWeather<V>& weather, const Shade& shade,
                             Row<V>& row) const {
        const solar::HourIndex<V> index{sky_hour_, view_.skies.replay.hours, plan_.replay ? out_.replay_start : nullptr,
                                        part};
        light_on_arrays(plan_.solar, view_.skies.planes, x_, index, hour_, weather, shade.beam, shade.sky, solar_day_,
                        row.light);
    }

    const PlanView<T>& view_;
    const trip::Plan& plan_;
    const Buffers<V>& out_;
    random::Parameters<V> x_;
    random::Draws<V> draws_;
    T step_h_;
    int hour_steps_, hour_ = -1, sky_hour_ = -1;
    loads::DayBins<V> bins_;
    SkyDays<V>& sky_;
    Day<V> day_;
    loads::WaterState<V> water_;
    solar::SolarDay<V> solar_day_;
};

}  // namespace ridethrough::engine
