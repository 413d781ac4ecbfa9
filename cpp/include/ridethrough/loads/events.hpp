// What people switch on, in lanes: each use of a load is an event with a real current, a start and an end. A day's
// events are put into bins one step long; the largest event of a bin keeps its own current and times, so that its sag
// is felt, and the others are spread over the bin; but a second use of what hangs on the inverter makes the first one
// longer.
#pragma once

#include "ridethrough/random/parameters.hpp"
#include "ridethrough/simd/pack.hpp"

namespace ridethrough::loads {

using simd::any;
using simd::clamp;
using simd::max;
using simd::min;
using simd::select;

// One sort of use of one load. Indices are none where a number has nothing to do.
struct EventModel {
    int load = 0;             // whose ampere-hours they are
    random::DrawIndex draws;  // of the whole load
    int first_draw = 0;       // of a day's; two a use, three where it may be left on
    int uses = 1;
    random::ParameterIndex current, hours, share, left_on_probability, start_current;
    random::ParameterIndex current_over;  // the current's number is divided by this one, an efficiency
    double current_factor = 1;            // turns the current's number into amperes
    double hours_factor = 1;              // turns the hours' number into hours of one use
    double hours_spread = 0;              // standard deviation as a share of the mean
    double start_hours = 0;               // of the start current
    enum class From { window, dusk, wake } from = From::window;
    double earliest_h = 0, latest_h = 0;
    enum class To { duration, bedtime, dawn } to = To::duration;
    double end_h = 0, end_spread_h = 0;
    double left_on_until_h = 0;  // clock hour, over 24 for the next day
    bool only_below = false;     // used only when the outdoor air at condition_hour is below condition_c
    int condition_hour = 0;
    double condition_c = 0;
    bool only_above = false;  // the same, where it is above
    bool at_terminals = false;
    bool scaled = true;  // hours follow the habits' scale
    enum class Days { all, workdays, weekends } days = Days::all;
    // On a rainy day: factors on hours and chance, hours earlier.
    double wet_hours_factor = 1, wet_share_factor = 1, wet_early_h = 0;
    double litres_per_h = 0;       // of a water pump
    bool stationary_only = false;  // not on days on which the van is driven
};

// A load that follows the cabin's heat, and cools it.
struct FanModel {
    int load = 0;
    random::ParameterIndex current_a, ventilation;
    double starts_c = 0, full_c = 0;
    random::ParameterIndex fitted;  // 1 in a trial whose van has one, else 0
};
// The inverter's own low-voltage cut-out, judged at its terminals, behind its branch. All that hangs on it goes with
// it.
struct InverterModel {
    bool given = false;  // whether anything hangs on one
    double cutout_delay_h = 0, restart_wait_h = 0;
    random::ParameterIndex cutout_v, restart_v, branch_mohm;
};
// A load that is always on.
struct StandbyModel {
    int load = 0;
    random::ParameterIndex current_a;
};

template <class V>
struct Bin {
    V distribution_a, terminal_a;                            // spread over the bin; terminal_a: on the inverter
    V event_a, event_on_h, event_off_h, event_at_terminals;  // the largest event, hours within the bin
};

// Two days of bins: today, and what runs on into tomorrow.
template <class V>
struct DayBins {
    int per_day;
    typename V::Scalar step_h;
    V *distribution_a, *terminal_a, *event_a, *event_on_h, *event_off_h, *event_at_terminals;  // as in Bin
    const unsigned char* counted;  // how often the trip runs each of the bins

    RT_INLINE void clear(int from, int to) const {
        const V zero(typename V::Scalar(0));
        for (int k = from; k < to; ++k)
            distribution_a[k] = terminal_a[k] = event_a[k] = event_on_h[k] = event_off_h[k] = event_at_terminals[k] =
                zero;
    }
    RT_INLINE void next_day() const {
        for (int k = 0; k < per_day; ++k) {
            const int j = k + per_day;
            distribution_a[k] = distribution_a[j];
            terminal_a[k] = terminal_a[j];
            event_a[k] = event_a[j];
            event_on_h[k] = event_on_h[j];
            event_off_h[k] = event_off_h[j];
            event_at_terminals[k] = event_at_terminals[j];
        }
        clear(per_day, 2 * per_day);
    }
    RT_INLINE Bin<V> at(int k) const {
        return {distribution_a[k], terminal_a[k], event_a[k], event_on_h[k], event_off_h[k], event_at_terminals[k]};
    }
    // What lies in the trip is added to used_ah.
    RT_INLINE void add(V start_h, V end_h, V current_a, bool at_terminals, V& used_ah) const {
        using T = typename V::Scalar;
        T first = T(48), last = T(0);
        for (int i = 0; i < V::width; ++i) {
            if (!(end_h.lane(i) > start_h.lane(i))) continue;
            first = start_h.lane(i) < first ? start_h.lane(i) : first;
            last = end_h.lane(i) > last ? end_h.lane(i) : last;
        }
        const int bin_lo = static_cast<int>(first / step_h), bin_hi = static_cast<int>(last / step_h) + 1;
        const V zero(T(0)), step(step_h), per_step(T(1) / step_h), terminals(T(at_terminals ? 1 : 0));
        for (int k = bin_lo; k < bin_hi && k < 2 * per_day; ++k) {
            const V on = clamp(start_h - V(T(k) * step_h), zero, step),
                    off = clamp(end_h - V(T(k) * step_h), zero, step);
            const V length = max(off - on, zero);
            const V ah = length * current_a;
            if (!any(ah > zero)) continue;
            if (counted[k]) used_ah += ah * V(T(counted[k]));
            const auto larger = (ah > zero) & (current_a > event_a[k]);
            const auto again = (ah > zero) & (current_a == event_a[k]) & (event_at_terminals[k] * terminals > zero);
            if (any(again)) {  // a second kettle within the step: one that takes as long as both
                const V both = min(event_off_h[k] - event_on_h[k] + length, step);
                const V from = min(event_on_h[k], step - both);
                event_on_h[k] = select(again, from, event_on_h[k]);
                event_off_h[k] = select(again, from + both, event_off_h[k]);
            }
            const V spread_ah = select(again, zero, select(larger, event_a[k] * (event_off_h[k] - event_on_h[k]), ah));
            const V spread_a = spread_ah * per_step;
            const V spread_terminals = select(larger, event_at_terminals[k], terminals);
            terminal_a[k] += spread_a * spread_terminals;
            distribution_a[k] += spread_a * (V(T(1)) - spread_terminals);
            event_a[k] = select(larger, current_a, event_a[k]);
            event_on_h[k] = select(larger, on, event_on_h[k]);
            event_off_h[k] = select(larger, off, event_off_h[k]);
            event_at_terminals[k] = select(larger, terminals, event_at_terminals[k]);
        }
    }
};

// What the day is like for its events.
template <class T>
struct DayClock {
    T dusk_h, dawn_h, wake_h;
    bool workday = true, stationary = true;
};

// One use: from `start` the start current, from `run_from` to `end` its own; nothing where `end` is `start`.
template <class V>
struct Use {
    V start, run_from, end, start_a, run_a;
};

template <class T>
RT_INLINE bool happens(const EventModel& e, const DayClock<T>& clock) {
    using Days = EventModel::Days;
    if (e.stationary_only && !clock.stationary) return false;
    return e.days == Days::all || (e.days == Days::workdays) == clock.workday;
}

// Use number `use` of a day; the day's draws, parameters and weather say when and how long.
template <class T, class V>
RT_INLINE Use<V> use_of(const EventModel& e, const DayClock<T>& clock, random::Draws<V> draws, int day, int use,
                        random::Parameters<V> x, V habits, const V* air_c, typename V::Bool wet) {
    using From = EventModel::From;
    using To = EventModel::To;
    const V zero(T(0)), one(T(1));
    const int first = e.first_draw + use * (e.left_on_probability ? 3 : 2);
    const V scale = e.scaled ? habits : one;
    V current = x[e.current] * V(T(e.current_factor));
    if (e.current_over) current = current / x[e.current_over];
    if (e.only_below) current = select(air_c[e.condition_hour] < V(T(e.condition_c)), current, zero);
    if (e.only_above) current = select(air_c[e.condition_hour] > V(T(e.condition_c)), current, zero);
    const V chance = draws.uniform(e.draws, day, first), varied = draws.normal(e.draws, day, first);
    const V place = draws.uniform(e.draws, day, first + 1);
    V amps = current;
    if (e.share) {
        V share = x[e.share];
        if (e.wet_share_factor != 1) share = select(wet, share * V(T(e.wet_share_factor)), share);
        amps = select(chance < share, amps, zero);
    }

    T earliest = T(e.earliest_h), latest = T(e.latest_h);
    if (e.from == From::dusk) earliest = latest = clock.dusk_h;
    if (e.from == From::wake) earliest = latest = clock.wake_h;
    V start = V(earliest) + V(latest - earliest) * place;
    if (e.wet_early_h > 0) start = select(wet, max(start - V(T(e.wet_early_h)), V(clock.wake_h)), start);

    V end;
    if (e.to == To::duration) {
        V mean = x[e.hours] * V(T(e.hours_factor)) * scale;
        if (e.wet_hours_factor != 1) mean = select(wet, mean * V(T(e.wet_hours_factor)), mean);
        end = start + min(mean * max(one + V(T(e.hours_spread)) * varied, V(T(0.1))), V(T(24)));
    } else if (e.to == To::dawn) {
        end = V(clock.dawn_h);
    } else {
        const V bedtime = V(T(e.end_h)) + V(T(e.end_spread_h)) * (V(T(2)) * chance - one);
        end = start + min((bedtime - start) * scale, V(T(24)));
    }
    if (e.left_on_probability) {
        const V forgotten = draws.uniform(e.draws, day, first + 2);
        end = select(forgotten < x[e.left_on_probability], max(end, V(T(e.left_on_until_h))), end);
    }
    end = select(amps > zero, max(end, start), start);
    if (!e.start_current) return {start, start, end, zero, amps};
    return {start, min(start + V(T(e.start_hours)), end), end, select(amps > zero, x[e.start_current], zero), amps};
}

template <class V>
RT_INLINE void add_use(const EventModel& e, const Use<V>& u, const DayBins<V>& bins, V& used_ah) {
    if (e.start_current) bins.add(u.start, u.run_from, u.start_a, e.at_terminals, used_ah);
    bins.add(u.run_from, u.end, u.run_a, e.at_terminals, used_ah);
}

template <class T, class V>
RT_INLINE void add_events(const EventModel& e, const DayClock<T>& clock, random::Draws<V> draws, int day,
                          random::Parameters<V> x, V habits, const V* air_c, const DayBins<V>& bins, V& used_ah,
                          typename V::Bool wet = V::Bool::all(false)) {
    if (!happens(e, clock)) return;
    for (int use = 0; use < e.uses; ++use)
        add_use(e, use_of(e, clock, draws, day, use, x, habits, air_c, wet), bins, used_ah);
}

}  // namespace ridethrough::loads
