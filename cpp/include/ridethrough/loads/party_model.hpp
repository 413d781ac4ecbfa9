// Who travels and what they do about the weather, in lanes: the careless trait, rain, doors, drinks and shopping.
#pragma once

#include "ridethrough/fridge/food.hpp"
#include "ridethrough/loads/events.hpp"
#include "ridethrough/simd/elementary.hpp"

namespace ridethrough::loads {

// Everything is neutral where Trip.party is not given.
struct PartyModel {
    bool given = false;
    double persons = 2;
    random::ParameterIndex rain_below_clearness;  // daily clearness below which a day is rainy
    double door_heat_per_k = 0;
    random::ParameterIndex drinks_l;  // a person and day
    int drinks_step = 0;              // of the day
    random::ParameterIndex shopping_probability;
    random::DrawIndex shopping;
    int shopping_step = 0;
    random::ParameterIndex trait;  // normal score, positive: careless
    double trait_strength = 0;
    bool shade_daily = false;
    int first_weekday = 0;  // of day 0; 0: Monday
};

// Numbers that the trait of a trial moves.
struct Habits {
    random::ParameterIndex initial_soc, habits_scale, shade_beam, warm_food_kg, door_openings;
};

// A party that is one standard deviation careless, at strength 1: starts with this much less charge, forgets this much
// more often, parks in this much more shade and uses things this much longer. From memory, weak.
constexpr double kCarelessCharge = 0.06, kCarelessForgets = 2.0, kCarelessShade = 1.5, kCarelessHours = 1.15;

namespace detail {
template <class V>
RT_INLINE V careless_factor(V score, double a_deviation) {
    using T = typename V::Scalar;
    return simd::exp(score * simd::log(V(T(a_deviation))));
}
}  // namespace detail

// Moves what is drawn once a trial by the trait's score.
template <class V>
RT_INLINE void careless_trial(const PartyModel& m, const Habits& h, const EventModel* event, int events,
                              random::Parameters<V> x) {
    using T = typename V::Scalar;
    if (!m.trait) return;
    const V score = x[m.trait] * V(T(m.trait_strength)), zero(T(0)), one(T(1));
    x[h.initial_soc] = clamp(x[h.initial_soc] - V(T(kCarelessCharge)) * score, zero, one);
    x[h.habits_scale] *= detail::careless_factor(score, kCarelessHours);
    const V forgets = detail::careless_factor(score, kCarelessForgets);
    for (int i = 0; i < events; ++i) {
        const random::ParameterIndex share = event[i].left_on_probability;
        if (share) x[share] = min(x[share] * forgets, one);
    }
}
// The same for the shade, which may be drawn anew each day.
template <class V>
RT_INLINE void careless_day(const PartyModel& m, const Habits& h, int day, random::Parameters<V> x) {
    using T = typename V::Scalar;
    if (!m.trait || (day > 0 && !m.shade_daily)) return;
    const V score = x[m.trait] * V(T(m.trait_strength));
    x[h.shade_beam] = min(x[h.shade_beam] * detail::careless_factor(score, kCarelessShade), V(T(1)));
}

template <class V>
RT_INLINE typename V::Bool rainy(const PartyModel& m, random::Parameters<V> x, V clearness) {
    using Bool = typename V::Bool;
    return m.rain_below_clearness ? clearness < x[m.rain_below_clearness] : Bool::all(false);
}

// Mean door openings of a day: the fridge's own number is a couple's on a mild day.
template <class V>
RT_INLINE V door_openings(const PartyModel& m, const Habits& habits, random::Parameters<V> x, const V* air_c) {
    using T = typename V::Scalar;
    if (!m.given) return x[habits.door_openings];
    V warmest = air_c[0];
    for (int h = 1; h < 24; ++h) warmest = max(warmest, air_c[h]);
    const V heat = V(T(1)) + V(T(m.door_heat_per_k)) * max(warmest - V(T(25)), V(T(0)));
    return min(x[habits.door_openings] * V(T(m.persons) * T(0.5)) * heat, V(T(80)));
}

// What goes into the fridge in step `k` of the day, in Wh for each kelvin that the cabin is above the set point; what
// belongs to the steps from `since` on, which the clock has skipped, goes in as well.
template <class V>
struct PartyFood {
    V drinks_wh_per_k, shopping_wh_per_k;
};
template <class V>
RT_INLINE PartyFood<V> party_food(const PartyModel& m, const Habits& h, random::Draws<V> draws, int day, int since,
                                  int k, random::Parameters<V> x) {
    using T = typename V::Scalar;
    const V zero(T(0));
    PartyFood<V> food{zero, zero};
    const auto due = [&](int step) { return step >= since && step <= k; };
    if (m.drinks_l && due(m.drinks_step))
        food.drinks_wh_per_k = x[m.drinks_l] * V(T(m.persons)) * V(T(fridge::kDrinksWhPerLK));
    if (m.shopping_probability && due(m.shopping_step)) {
        const V u = draws.uniform(m.shopping, day);
        food.shopping_wh_per_k =
            select(u < x[m.shopping_probability], x[h.warm_food_kg] * V(T(fridge::kFoodWhPerKgK)), zero);
    }
    return food;
}

}  // namespace ridethrough::loads
