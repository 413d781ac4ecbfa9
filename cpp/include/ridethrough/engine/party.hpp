// What the party does to a trial, in lanes: the careless trait, doors, drinks, shopping and water.
#pragma once

#include "ridethrough/random/draws.hpp"
#include "ridethrough/engine/plan.hpp"
#include "ridethrough/engine/slots.hpp"

namespace ridethrough::engine {

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
template <class T, class V>
RT_INLINE void careless_trial(const Plan<T>& plan, V* x) {
    if (plan.party.trait_slot < 0) return;
    const V score = x[plan.party.trait_slot] * V(plan.party.trait_strength), zero(T(0)), one(T(1));
    x[kStartCharge] = simd::clamp(x[kStartCharge] - V(T(kCarelessCharge)) * score, zero, one);
    x[kHabitsScale] *= detail::careless_factor(score, kCarelessHours);
    const V forgets = detail::careless_factor(score, kCarelessForgets);
    for (int i = 0; i < plan.events; ++i) {
        const int slot = plan.event[i].left_on_slot;
        if (slot >= 0) x[slot] = simd::min(x[slot] * forgets, one);
    }
}
// The same for the shade, which may be drawn anew each day.
template <class T, class V>
RT_INLINE void careless_day(const Plan<T>& plan, int day, V* x) {
    if (plan.party.trait_slot < 0 || (day > 0 && !plan.party.shade_daily)) return;
    const V score = x[plan.party.trait_slot] * V(plan.party.trait_strength);
    x[kShadeBeam] = simd::min(x[kShadeBeam] * detail::careless_factor(score, kCarelessShade), V(T(1)));
}

template <class T, class V>
RT_INLINE typename V::Bool rainy(const Plan<T>& plan, const V* x, V clearness) {
    using Bool = typename V::Bool;
    return plan.party.rain_slot < 0 ? Bool::all(false) : clearness < x[plan.party.rain_slot];
}

// Mean door openings of a day: the fridge's own number is a couple's on a mild day.
template <class T, class V>
RT_INLINE V door_openings(const Plan<T>& plan, const V* x, const V* air_c) {
    if (!plan.party.given) return x[kDoorOpenings];
    V warmest = air_c[0];
    for (int h = 1; h < 24; ++h) warmest = simd::max(warmest, air_c[h]);
    const V heat = V(T(1)) + V(plan.party.door_heat_per_k) * simd::max(warmest - V(T(25)), V(T(0)));
    return simd::min(x[kDoorOpenings] * V(plan.party.persons * T(0.5)) * heat, V(T(80)));
}

// Heat of the drinks and of the shopping that go into the fridge in step `k` of the day [Wh]; what belongs to the steps
// from `since` on, which the clock has skipped, goes in as well.
template <class T, class V>
RT_INLINE V party_food_wh(const Plan<T>& plan, const std::uint64_t* words, int day, int since, int k, const V* x,
                          V cabin) {
    const PartyPlan<T>& p = plan.party;
    const V zero(T(0)), above = simd::max(cabin - V(plan.set_point_c), zero);
    V wh = zero;
    const auto due = [&](int step) { return step >= since && step <= k; };
    if (p.drinks_slot >= 0 && due(p.drinks_step)) wh += x[p.drinks_slot] * V(p.persons) * V(T(4.18 / 3.6)) * above;
    if (p.shopping_slot >= 0 && due(p.shopping_step)) {
        const V u = random::uniform_of<V>(words + (p.shopping_word + day) * V::width);
        wh += simd::select(u < x[p.shopping_slot], x[kWarmFoodKg] * V(T(3.5 / 3.6)) * above, zero);
    }
    return wh;
}

template <class V>
struct WaterState {
    V fresh_l, grey_l, dry_night, full_night;
};

template <class T, class V>
RT_INLINE WaterState<V> water_at_start(const Plan<T>& plan, const V* x) {
    const V zero(T(0));
    if (!plan.water.given) return {zero, zero, zero, zero};
    return {x[plan.water.start_slot] * V(plan.water.fresh_l), x[plan.water.grey_start_slot] * V(plan.water.grey_l),
            zero, zero};
}

// A day's water, drawn before night `day + 1`.
template <class T, class V>
RT_INLINE void use_water(const Plan<T>& plan, const V* x, int day, V litres, WaterState<V>& s) {
    if (!plan.water.given) return;
    const V zero(T(0)), night(T(day + 1)), fresh(plan.water.fresh_l), grey(plan.water.grey_l);
    if (plan.water.refilled[day]) {
        s.fresh_l = fresh;
        s.grey_l = zero;
    }
    const auto dry = (litres > s.fresh_l) & !(s.dry_night > zero);
    s.dry_night = simd::select(dry, night, s.dry_night);
    s.fresh_l = simd::max(s.fresh_l - litres, zero);
    s.grey_l += litres * x[plan.water.grey_share_slot];
    const auto full = (s.grey_l > grey) & !(s.full_night > zero);
    s.full_night = simd::select(full, night, s.full_night);
    s.grey_l = simd::min(s.grey_l, grey);
}

}  // namespace ridethrough::engine
