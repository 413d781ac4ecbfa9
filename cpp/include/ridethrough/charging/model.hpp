// What charges the battery, as compiled: charge stages, the vehicle's alternator, the mains and a generator.
#pragma once

#include "ridethrough/random/parameters.hpp"
#include "ridethrough/simd/pack.hpp"

namespace ridethrough::charging {

enum Source : int { kSolar, kDcDc, kMains, kSources };

// Absorption voltage until the tail current or the time limit, then float; both at a battery of 25 degC.
struct Stages {
    double absorption_v, float_v, absorption_limit_h, tail_c_rate;
    double compensation_v_per_k = 0;
};
// Sensors and charge controllers follow the temperature no further than this; from memory.
constexpr double kCompensatedFromC = -20, kCompensatedToC = 50;

template <class V>
RT_INLINE V compensation(const Stages& stages, V battery_c) {
    using T = typename V::Scalar;
    const V near_c = simd::clamp(battery_c, V(T(kCompensatedFromC)), V(T(kCompensatedToC)));
    return V(T(stages.compensation_v_per_k)) * (near_c - V(T(25)));
}

enum class InputPriority { both, solar_first, alternator_first };
// With one input at a time the Sun's counts from this power; from memory, weak.
constexpr double kSolarInputW = 15;

// A DC-DC charger without a restart level of its own starts this far above its lock-out; from memory, .3 to 1 V.
constexpr double kRestartAboveLockoutV = 0.5;

// A DC-DC charger, or a plain cable that carries at most `current_a`.
struct AlternatorModel {
    bool fitted = false, cable = false;
    InputPriority priority = InputPriority::both;
    random::ParameterIndex current_a, efficiency, alternator_v, swing_v, supply_mohm, lockout_v, cycling_share;
    random::ParameterIndex restart_v, idle_a;  // none where it is not asked for
};

struct MainsModel {
    random::ParameterIndex current_a;  // none without a charger
    double generator_a = 0;            // most that a generator lets it give
};

}  // namespace ridethrough::charging
