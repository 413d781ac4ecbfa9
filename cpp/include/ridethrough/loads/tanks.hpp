// Fresh and grey water, in lanes.
#pragma once

#include "ridethrough/random/parameters.hpp"

namespace ridethrough::loads {

// Nothing is counted where Van.water is not given.
struct WaterModel {
    bool given = false;
    double fresh_l = 0, grey_l = 0;
    random::ParameterIndex initial_fresh_share, initial_grey_share, grey_share;
    const unsigned char* refilled = nullptr;  // [days] filled and emptied that morning
};

template <class V>
struct WaterState {
    V fresh_l, grey_l, dry_night, full_night;
};

template <class V>
RT_INLINE WaterState<V> water_at_start(const WaterModel& m, random::Parameters<V> x) {
    using T = typename V::Scalar;
    const V zero(T(0));
    if (!m.given) return {zero, zero, zero, zero};
    return {x[m.initial_fresh_share] * V(T(m.fresh_l)), x[m.initial_grey_share] * V(T(m.grey_l)), zero, zero};
}

// A day's water, drawn before night `day + 1`.
template <class V>
RT_INLINE void use_water(const WaterModel& m, random::Parameters<V> x, int day, V litres, WaterState<V>& s) {
    using T = typename V::Scalar;
    if (!m.given) return;
    const V zero(T(0)), night(T(day + 1)), fresh(T(m.fresh_l)), grey(T(m.grey_l));
    if (m.refilled[day]) {
        s.fresh_l = fresh;
        s.grey_l = zero;
    }
    const auto dry = (litres > s.fresh_l) & !(s.dry_night > zero);
    s.dry_night = select(dry, night, s.dry_night);
    s.fresh_l = max(s.fresh_l - litres, zero);
    s.grey_l += litres * x[m.grey_share];
    const auto full = (s.grey_l > grey) & !(s.full_night > zero);
    s.full_night = select(full, night, s.full_night);
    s.grey_l = min(s.grey_l, grey);
}

}  // namespace ridethrough::loads
