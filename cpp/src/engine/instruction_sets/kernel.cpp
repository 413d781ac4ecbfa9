// One instruction set's kernel for one number type: CMakeLists.txt compiles this file for each, with its flags and
//   RIDETHROUGH_INSTRUCTION_SET    its name, the namespace of all packs in this unit
//   RIDETHROUGH_SCALAR   double or float
//   RIDETHROUGH_LANES    trials in a pack
#include "ridethrough/engine/trial_pack.hpp"
#include "ridethrough/simd/normal.hpp"

namespace ridethrough::engine::RIDETHROUGH_INSTRUCTION_SET {

// Declared in instruction_sets.cpp, which knows all of them.
Kernel<RIDETHROUGH_SCALAR> kernel(RIDETHROUGH_SCALAR);

namespace {

using T = RIDETHROUGH_SCALAR;
using V = simd::Pack<T, RIDETHROUGH_LANES>;

V* packs(T* rows) { return reinterpret_cast<V*>(rows); }

bool run(const PlanView<T>& view, const Buffers<T>& b, Stop stop) {
    static_assert(sizeof(V) == sizeof(T) * V::width && alignof(V) <= 64);
    Buffers<V> in_packs{b.draws,
                        packs(b.parameters),
                        reinterpret_cast<const V*>(b.day_values),
                        b.replay_start,
                        packs(b.clearness),
                        packs(b.air_mean_c),
                        packs(b.bins),
                        packs(b.columns),
                        packs(b.load_ah),
                        packs(b.balance_error),
                        {},
                        b.days_given,
                        {},
                        b.steps};
    for (int p = 0; p < kStateRows; ++p) in_packs.states[p] = packs(b.states[p]);
    for (int p = 0; p < kSeriesCount; ++p) in_packs.series[p] = packs(b.series[p]);
    SkyDays<V> sky(view, random::Draws<V>(b.draws), in_packs.clearness, in_packs.air_mean_c, b.replay_start);
    TrialPack<V> pack(view, in_packs, sky);
    return pack.run(stop);
}

void keys(const random::SeedSequence& sequence, const std::uint32_t* trials, std::uint32_t* words) {
    using U = simd::Pack<float, RIDETHROUGH_LANES>::Bits;
    U key[8];
    sequence.key(simd::detail::load<U>(trials), key);
    for (int i = 0; i < 8; ++i) simd::detail::store(key[i], words + i * V::width);
}

void cdf(double* scores) {
    constexpr int lanes = V::width > 8 ? 8 : V::width;  // of the widest register
    using D = simd::Pack<double, lanes>;
    for (int i = 0; i < V::width; i += lanes) {
        D z;
        for (int lane = 0; lane < lanes; ++lane) z.set_lane(lane, scores[i + lane]);
        const D p = simd::normal_cdf(z);
        for (int lane = 0; lane < lanes; ++lane) scores[i + lane] = p.lane(lane);
    }
}

}  // namespace

Kernel<T> kernel(T) { return {V::width, run, keys, cdf}; }

}  // namespace ridethrough::engine::RIDETHROUGH_INSTRUCTION_SET
