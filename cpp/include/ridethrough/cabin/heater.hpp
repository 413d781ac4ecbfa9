// A heater on its thermostat: when it is switched on today, how warm it makes the cabin and what it draws. It is wanted
// from getting up to some hour of the day, for the evening until bedtime and, where it is left on, through the night;
// it is switched on in the first of these hours in which the cabin would settle without it below what its thermostat
// asks for and what people bear, and goes on from one use to the next where no time lies between. It gives all its heat
// until the thermostat's temperature is reached, then what holds it there.
#pragma once

#include "ridethrough/cabin/air.hpp"
#include "ridethrough/random/parameters.hpp"
#include "ridethrough/simd/pack.hpp"

namespace ridethrough::cabin {

enum HeaterUse : int { kMorning, kEvening, kHeaterUses };

struct HeaterModel {
    bool fitted = false;
    int load = 0;             // whose ampere-hours they are
    random::DrawIndex draws;  // one a use
    random::ParameterIndex holds_c, night_set_point_c, switch_on_below_c;
    random::ParameterIndex low_a, full_a, glow_a;
    random::ParameterIndex starts_above_v;  // voltage that a start needs
    double glow_h = 0, supply_ohm = 0, least_share = 1, power_w = 1;
    bool all_night = false;
    double evening_from_h = 24, morning_until_h = 0, start_spread_h = 0;
};

// A step of the cabin with a heater that runs all through it; the current is its mean.
template <class V>
struct HeatedStep {
    V mean_c, end_c, current_a;
};

// When today's weather and habits have the heater switched on.
template <class V>
struct HeaterDay {
    V start[kHeaterUses];                      // hour of today; `end` where it is not
    typename V::Scalar end[kHeaterUses] = {};  // of the hours in which it is wanted
};

// What becomes of it in the van.
template <class V>
struct HeaterState {
    HeaterDay<V> today;
    V runs[kHeaterUses][2];             // from and to, once a start has succeeded
    typename V::Bool through_midnight;  // yesterday's use goes on
    bool wanted = false;                // today, in any lane

    RT_INLINE HeaterState() {
        for (int i = 0; i < kHeaterUses; ++i) today.start[i] = runs[i][0] = runs[i][1] = V(typename V::Scalar(0));
        through_midnight = V::Bool::all(false);
    }
};

// Temperature that the thermostat holds in an hour of the clock.
template <class V>
RT_INLINE V thermostat_c(const HeaterModel& m, random::Parameters<V> x, typename V::Bool waking) {
    return simd::select(waking, x[m.holds_c], x[m.night_set_point_c]);
}

// `unheated_c`: where the cabin would settle in each of the 24 hours without a heater.
template <class V>
RT_INLINE void plan_heat(const HeaterModel& m, random::Draws<V> draws, int day, typename V::Scalar wake_h,
                         typename V::Scalar bedtime_h, random::Parameters<V> x, const V* unheated_c,
                         HeaterDay<V>& today) {
    using T = typename V::Scalar;
    const T midnight(24), evening_from_h = T(m.evening_from_h), morning_until_h = T(m.morning_until_h);
    const T from[kHeaterUses] = {m.all_night ? T(0) : wake_h, evening_from_h};
    today.end[kMorning] = morning_until_h > wake_h ? morning_until_h : m.all_night ? wake_h : T(0);
    today.end[kEvening] = m.all_night ? midnight : bedtime_h;
    for (int i = 0; i < kHeaterUses; ++i) {
        const V end(today.end[i]);
        V start = end;
        for (int h = 23; h >= 0; --h) {
            if (T(h + 1) <= from[i] || T(h) >= today.end[i]) continue;
            const V held_c = thermostat_c(m, x, V::Bool::all(T(h) >= wake_h && T(h) < bedtime_h));
            const V cold_c = simd::min(held_c, x[m.switch_on_below_c]);
            start = simd::select(unheated_c[h] < cold_c, V(T(h) > from[i] ? T(h) : from[i]), start);
        }
        const V place = draws.uniform(m.draws, day, i);
        const V varied = start + V(T(m.start_spread_h)) * (V(T(2)) * place - V(T(1)));
        today.start[i] = simd::select(start < end, simd::clamp(varied, V(T(0)), end), end);
    }
}

template <class V>
RT_INLINE void begin_heat_day(const HeaterDay<V>& today, HeaterState<V>& heat) {
    using T = typename V::Scalar;
    const V midnight(T(24));
    heat.through_midnight = (heat.runs[kEvening][1] >= midnight) & (heat.runs[kEvening][0] < midnight);
    heat.today = today;
    V* start = heat.today.start;
    for (int i = 0; i < kHeaterUses; ++i) heat.runs[i][0] = heat.runs[i][1] = V(today.end[i]);
    heat.wanted = any(heat.through_midnight | (start[kMorning] < V(today.end[kMorning])) |
                      (start[kEvening] < V(today.end[kEvening])));
    start[kMorning] = simd::select(heat.through_midnight, V(today.end[kMorning]), start[kMorning]);
    heat.runs[kMorning][0] = simd::select(heat.through_midnight, V(T(0)), heat.runs[kMorning][0]);
}

// Lanes in which the evening's use goes on from the morning's, without a start: it is wanted and still runs.
template <class V>
RT_INLINE typename V::Bool goes_on(const HeaterModel& m, const HeaterState<V>& heat) {
    if (m.morning_until_h < m.evening_from_h) return V::Bool::all(false);
    const V from(static_cast<typename V::Scalar>(m.evening_from_h));
    return (heat.today.start[kEvening] < V(heat.today.end[kEvening])) & (heat.runs[kMorning][0] < from) &
           (heat.runs[kMorning][1] >= from);
}

// A heater without a supply stops, until it is switched on again.
template <class V>
RT_INLINE void stop_heat(HeaterState<V>& heat, typename V::Bool cut_off, V now_h) {
    for (auto& run : heat.runs) run[1] = simd::select(cut_off & (run[1] > now_h), simd::max(run[0], now_h), run[1]);
}

// Share of the step that begins at `from` in which it runs.
template <class V>
RT_INLINE V running_share(const HeaterState<V>& heat, V from, typename V::Scalar step_h) {
    using T = typename V::Scalar;
    const V zero(T(0)), step(step_h);
    V hours = zero;
    for (const auto& run : heat.runs)
        hours += simd::max(simd::clamp(run[1] - from, zero, step) - simd::clamp(run[0] - from, zero, step), zero);
    return simd::min(hours * V(T(1) / step_h), V(T(1)));
}

// Current at a share of full heat; below the smallest flame that one goes on and off.
template <class V>
RT_INLINE V heating_current_a(const HeaterModel& m, random::Parameters<V> x, V strength) {
    using T = typename V::Scalar;
    const V least(T(m.least_share));
    const V burning = x[m.low_a] + (x[m.full_a] - x[m.low_a]) * simd::max(strength, least);
    return burning * simd::min(strength / least, V(T(1)));
}

// From `from_c` in a cabin that loses `loss_w_per_k` and would settle at `settles_c` without heat. Where that is below
// `held_c`: all heat or none until it is at `held_c`, then what holds it; all the time where it is too weak for that.
template <class V>
RT_INLINE HeatedStep<V> heated_step(const HeaterModel& m, random::Parameters<V> x, const AirStep<V>& air, V from_c,
                                    V settles_c, V held_c, V loss_w_per_k, typename V::Scalar step_h) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1)), step(step_h), most_k = V(T(m.power_w)) / loss_w_per_k;
    const auto asks = settles_c < held_c, too_weak = settles_c + most_k <= held_c;
    const auto too_cold = asks & ((from_c < held_c) | too_weak);
    const V towards_c = simd::select(too_cold, settles_c + most_k, settles_c);
    const auto reaches = simd::select(too_cold, towards_c > held_c, asks);
    const V ratio = (from_c - towards_c) / (held_c - towards_c);
    const V reached_h = air.tau_h * simd::log(simd::select(reaches, simd::min(ratio, V(T(1e30))), V(T(2))));
    const V until_h = simd::select(reaches, simd::clamp(reached_h, zero, step), step);
    const V end_c = simd::select(until_h < step, held_c, air.end(from_c, towards_c));
    const V mean_c =
        (towards_c * until_h + air.tau_h * (from_c - end_c) + held_c * (step - until_h)) * V(T(1) / step_h);
    const V holding_a = heating_current_a(m, x, simd::clamp((held_c - settles_c) / most_k, zero, one));
    const V part = until_h * V(T(1) / step_h), until_a = simd::select(too_cold, x[m.full_a], zero);
    return {mean_c, end_c, until_a * part + holding_a * (one - part)};
}

}  // namespace ridethrough::cabin
