// The hour's weather, in lanes: daily clearness and temperature from normal draws, the hours within a day from the
// daily values, or real hours replayed. Pure arithmetic on plain pointers; weather/tables.hpp fills the tables.
//
// Draws, one 64-bit draw a lane: purpose weather.clearness 1 a day, weather.temperature 1 a day, weather.cloud 24 a
// day, weather.replay 1 a trial. Draw i of lane l stands at [i * V::width + l]. A normal comes from the high half.
#pragma once

#include <cstdint>

#include "ridethrough/random/draws.hpp"
#include "ridethrough/simd/elementary.hpp"
#include "ridethrough/simd/pack.hpp"
#include "ridethrough/sun/split.hpp"

namespace ridethrough::weather {

// Highest share of the extraterrestrial beam that reaches the ground as beam; what is over counts as diffuse.
inline constexpr double highest_beam_share = 0.85;

// Tables of the trip's calendar days; hour arrays hold 24 a day.
template <class T>
struct WeatherView {
    int days = 0;
    int nodes = 0;  // of one clearness table
    T nodes_per_score = 0;
    const T* clearness = nullptr;   // twelve tables, one a month
    const int* table_at = nullptr;  // per day: where its month's table starts
    const T* h0 = nullptr;          // per day, Wh/m2; 0 on a dark day
    const T* air_normal_c = nullptr;
    const T* air_sd_c = nullptr;
    const T* same_day_corr = nullptr;  // of the normal scores of clearness and temperature
    const T* highest = nullptr;        // clearness that no day exceeds: that of the clearest hour
    const T* i0 = nullptr;             // per hour, Wh/m2; 0 on a dark day
    const T* profile = nullptr;
    const T* sin_altitude = nullptr;
    const T* clear_limit = nullptr;
    const T* air_shape = nullptr;  // diurnal shape, times the day's amplitude
    const T* beam = nullptr;       // factors of the first array's plane
    const T* sky = nullptr;
    const T* ground = nullptr;
};

// What a trial may hold at its own value.
template <class V>
struct WeatherInputs {
    V clearness_lag1;
    V air_temp_lag1;
    V ghi_scale;
    V air_temp_offset_k;
};

template <class V>
struct DayScores {
    V clearness, air;  // standard normal each
};

template <class V>
struct HourlyWeather {
    V clearness;  // of the day
    V ghi[24];    // W/m2, horizontal, and its two parts
    V direct[24], diffuse[24];
    V beam[24];  // W/m2, beam on the first array's plane under an isotropic sky
    V sky[24];   // W/m2, its diffuse and ground-reflected light
    V air[24];   // C
};

// One day on: two first-order autoregressive scores with the declared same-day correlation; its first call (day 0)
// starts both from their stationary distribution. `eps_*` are independent standard normals. A realisation's mean is
// never forced to the normals: that would delete the dull months that empty batteries.
template <class V>
RT_INLINE void next_scores(const WeatherView<typename V::Scalar>& w, int day, const WeatherInputs<V>& in,
                           V eps_clearness, V eps_air, DayScores<V>& s) {
    using T = typename V::Scalar;
    const V one(T(1)), r(w.same_day_corr[day]);
    if (day == 0) {
        s.clearness = eps_clearness;
        s.air = r * eps_clearness + sqrt(one - r * r) * eps_air;
        return;
    }
    const V phi = in.clearness_lag1, psi = in.air_temp_lag1;
    const V phi_rest = sqrt(one - phi * phi), psi_rest = sqrt(one - psi * psi);
    // Correlation of the innovations that gives r in the scores; not every r can be had with very unlike lags.
    const V c = clamp(r * (one - phi * psi) / (phi_rest * psi_rest), -one, one);
    s.clearness = phi * s.clearness + phi_rest * eps_clearness;
    s.air = psi * s.air + psi_rest * (c * eps_clearness + sqrt(one - c * c) * eps_air);
}

// Graham, Hollands & Huget 1988: the normal score's quantile in the month's distribution (from memory of the paper).
template <class V>
RT_INLINE V day_clearness(const WeatherView<typename V::Scalar>& w, int day, const WeatherInputs<V>& in, V score) {
    using T = typename V::Scalar;
    const V index = score * V(w.nodes_per_score) + V(T(w.nodes - 1) / 2);
    const V k = simd::lookup(w.clearness + w.table_at[day], w.nodes, index) * in.ghi_scale;
    return min(k, V(w.highest[day]));
}

template <class V>
RT_INLINE V day_air_mean(const WeatherView<typename V::Scalar>& w, int day, const WeatherInputs<V>& in, V score) {
    return V(w.air_normal_c[day]) + V(w.air_sd_c[day]) * score + in.air_temp_offset_k;
}

// All days of a trip. `clearness` and `air_mean_c` have w.days entries.
template <class V>
RT_INLINE void daily_weather(const WeatherView<typename V::Scalar>& w, const WeatherInputs<V>& in,
                             const std::uint64_t* clearness_draws, const std::uint64_t* temperature_draws, V* clearness,
                             V* air_mean_c) {
    DayScores<V> s{V(0), V(0)};
    for (int d = 0; d < w.days; ++d) {
        next_scores(w, d, in, random::normal_of<V>(clearness_draws + d * V::width),
                    random::normal_of<V>(temperature_draws + d * V::width), s);
        clearness[d] = day_clearness(w, d, in, s.clearness);
        air_mean_c[d] = day_air_mean(w, d, in, s.air);
    }
}

// Straight lines from midnight to noon to midnight, through the midnights' averages of neighbouring days; the noon is
// placed so that the day keeps its mean.
template <class V>
RT_INLINE void hourly_air(const typename V::Scalar* shape, V amplitude_k, V prev, V mean, V next, V* air) {
    using T = typename V::Scalar;
    const V dawn = V(T(0.5)) * (prev + mean), night = V(T(0.5)) * (mean + next);
    const V noon = V(T(1.5)) * mean - V(T(0.25)) * (prev + next);
    for (int h = 0; h < 24; ++h) {
        const T x = (T(h) + T(0.5)) / T(12);
        const V line = h < 12 ? dawn + (noon - dawn) * V(x) : noon + (night - noon) * V(x - T(1));
        air[h] = line + amplitude_k * V(shape[h]);
    }
}

// Erbs, Klein & Beckman 1983 (from memory), in kelvin, by the day's own clearness; at least 1.5 K.
template <class V>
RT_INLINE V air_amplitude_k(V clearness) {
    using T = typename V::Scalar;
    return max(V(T(25.8)) * clearness - V(T(5.21)), V(T(1.5)));
}

// Hourly clearness: the mean profile and a first-order autoregressive cloud about it, spread and persistence after
// Aguiar & Collares-Pereira 1992 (Solar Energy 49, 167-174). Kept inside [0.02 of the mean, clear limit]; the day's
// sum is kept: first by moving all hours towards the limit where too little is left, then by one factor.
template <class V>
RT_INLINE void hourly_clearness(const WeatherView<typename V::Scalar>& w, int day, V k,
                                const std::uint64_t* cloud_draws, V* kt) {
    using T = typename V::Scalar;
    const V one(T(1)), tiny(T(1e-20));
    const V a = k - V(T(0.35)), b = k - V(T(0.45)), k2 = k * k;
    const V log_a = V(T(-1.9661128563728327)) - V(T(20)) * a * a;  // log 0.14
    const V b_exponent = V(T(3)) * b * b + V(T(16)) * k2 * k2 * k;
    const V phi = V(T(0.38)) + V(T(0.06)) * simd::cos(V(T(7.4)) * k - V(T(2.5)));
    const V rest = sqrt(one - phi * phi);

    V y(T(0)), sum(T(0)), room(T(0));
    bool started = false;
    for (int h = 0; h < 24; ++h) {
        const int i = day * 24 + h;
        kt[h] = V(T(0));
        if (!(w.i0[i] > T(0))) continue;
        const V eps = random::normal_of<V>(cloud_draws + h * V::width);
        y = started ? phi * y + rest * eps : eps;
        started = true;
        const V mean = k * V(w.profile[i]), limit(w.clear_limit[i]);
        const V sigma = simd::exp(log_a + b_exponent * V(T(1) - w.sin_altitude[i]));
        kt[h] = min(max(mean + sigma * y, V(T(0.02)) * mean), limit);
        sum += kt[h] * V(w.i0[i]);
        room += (limit - kt[h]) * V(w.i0[i]);
    }
    const V target = k * V(w.h0[day]);
    const V fill = clamp((target - sum) / max(room, tiny), V(T(0)), one);
    V filled(T(0));
    for (int h = 0; h < 24; ++h) {
        const int i = day * 24 + h;
        if (!(w.i0[i] > T(0))) continue;
        kt[h] += fill * (V(w.clear_limit[i]) - kt[h]);
        filled += kt[h] * V(w.i0[i]);
    }
    const V factor = target / max(filled, tiny);
    for (int h = 0; h < 24; ++h) kt[h] *= factor;
}

// One day's hours. `cloud_draws`: this day's 24 draws a lane.
template <class V>
RT_INLINE void hourly_weather(const WeatherView<typename V::Scalar>& w, int day, V clearness, V air_prev_c,
                              V air_mean_c, V air_next_c, const std::uint64_t* cloud_draws, HourlyWeather<V>& out) {
    using T = typename V::Scalar;
    const V zero(T(0));
    out.clearness = clearness;
    const V amplitude = w.h0[day] > T(0) ? air_amplitude_k(clearness) : V(T(1.5));
    hourly_air(w.air_shape + day * 24, amplitude, air_prev_c, air_mean_c, air_next_c, out.air);
    V kt[24];
    hourly_clearness(w, day, clearness, cloud_draws, kt);
    for (int h = 0; h < 24; ++h) {
        const int i = day * 24 + h;
        out.ghi[h] = out.direct[h] = out.diffuse[h] = out.beam[h] = out.sky[h] = zero;
        if (!(w.i0[i] > T(0))) continue;
        const V ghi = kt[h] * V(w.i0[i]);
        const V beam = min(ghi * (V(T(1)) - sun::diffuse_share_hourly(kt[h])), V(T(highest_beam_share) * w.i0[i]));
        out.ghi[h] = ghi;
        out.direct[h] = beam;
        out.diffuse[h] = ghi - beam;
        out.beam[h] = beam * V(w.beam[i]);
        out.sky[h] = (ghi - beam) * V(w.sky[i]) + ghi * V(w.ground[i]);
    }
}

// A measured record with its plane factors applied; one entry an hour of the record.
template <class T>
struct ReplayView {
    int hours = 0;
    const T* ghi = nullptr;
    const T* direct = nullptr;
    const T* beam = nullptr;
    const T* sky = nullptr;
    const T* air = nullptr;
    const T* i0 = nullptr;
};

// Hours of day `day` of a trip that begins, in each lane, at hour `start[lane]` of the record (clock midnight of the
// trip's first day). Runs on from the last hour to the first; starts that may not do so are not offered.
template <class V>
RT_INLINE void replay_weather(const ReplayView<typename V::Scalar>& r, int day, const std::int32_t* start,
                              HourlyWeather<V>& out) {
    using T = typename V::Scalar;
    V ghi_sum(T(0)), i0_sum(T(0));
    for (int h = 0; h < 24; ++h) {
        T i0[V::width];
        for (int l = 0; l < V::width; ++l) {
            const int i = (start[l] + day * 24 + h) % r.hours;
            out.ghi[h].set_lane(l, r.ghi[i]);
            out.direct[h].set_lane(l, r.direct[i]);
            out.beam[h].set_lane(l, r.beam[i]);
            out.sky[h].set_lane(l, r.sky[i]);
            out.air[h].set_lane(l, r.air[i]);
            i0[l] = r.i0[i];
        }
        out.diffuse[h] = out.ghi[h] - out.direct[h];
        ghi_sum += out.ghi[h];
        i0_sum += V::load(i0);
    }
    out.clearness = min(ghi_sum / max(i0_sum, V(T(1))), V(T(1)));
}

}  // namespace ridethrough::weather
