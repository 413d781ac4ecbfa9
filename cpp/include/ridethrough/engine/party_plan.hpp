// Who travels and what they do about the weather, and the water they use, as plain numbers for the kernel. Slots are -1
// and everything is neutral where Trip.party and Van.water are not given.
#pragma once

namespace ridethrough::engine {

template <class T>
struct PartyPlan {
    bool given = false;
    T persons = 2;
    int rain_slot = -1;  // daily clearness below which a day is rainy
    T door_heat_per_k = 0;
    int drinks_slot = -1;  // litres a person and day
    int drinks_step = 0;   // of the day
    int shopping_slot = -1, shopping_word = 0, shopping_step = 0;
    int trait_slot = -1;  // normal score, positive: careless
    T trait_strength = 0;
    bool shade_daily = false;
    int first_weekday = 0;  // of day 0; 0: Monday
};

template <class T>
struct WaterPlan {
    bool given = false;
    T fresh_l = 0, grey_l = 0;
    int start_slot = -1, grey_start_slot = -1, grey_share_slot = -1;
    const unsigned char* refilled = nullptr;  // [days] filled and emptied that morning
};

template <class T>
PartyPlan<T> cast_party(const PartyPlan<double>& f) {
    PartyPlan<T> t;
    t.given = f.given;
    t.persons = static_cast<T>(f.persons);
    t.rain_slot = f.rain_slot;
    t.door_heat_per_k = static_cast<T>(f.door_heat_per_k);
    t.drinks_slot = f.drinks_slot;
    t.drinks_step = f.drinks_step;
    t.shopping_slot = f.shopping_slot;
    t.shopping_word = f.shopping_word;
    t.shopping_step = f.shopping_step;
    t.trait_slot = f.trait_slot;
    t.trait_strength = static_cast<T>(f.trait_strength);
    t.shade_daily = f.shade_daily;
    t.first_weekday = f.first_weekday;
    return t;
}

template <class T>
WaterPlan<T> cast_water(const WaterPlan<double>& f) {
    return {f.given,      static_cast<T>(f.fresh_l), static_cast<T>(f.grey_l),
            f.start_slot, f.grey_start_slot,         f.grey_share_slot,
            nullptr};
}

}  // namespace ridethrough::engine
