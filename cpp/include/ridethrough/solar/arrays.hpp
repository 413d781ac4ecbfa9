// What the van's solar arrays give in an hour, in lanes: each with its plane, shade and regulator; together into the
// bus. Words: purpose solar.film 1 a day, solar.<name>.use 1 a day.
#pragma once

#include "ridethrough/weather/generator.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/solar/array.hpp"
#include "ridethrough/solar/sky_model.hpp"

namespace ridethrough::solar {

using simd::any;
using simd::max;
using simd::min;
using simd::select;

constexpr int kMostArrays = 8;

// Slots; -1 where a number has nothing to do.
template <class T>
struct ArrayPlan {
    int rated = -1, dirt = -1, other = -1, efficiency = -1;
    int drop = -1, self_ma = -1, start_w = -1, start_v = -1, stay_v = -1;
    int age = -1, ageing = -1, shadow = -1, kept = -1, use = -1;
    int use_word = -1;  // of a portable panel
    T rise_k_per_w_m2 = 0, volts_ratio = 1;
    bool pwm = false, portable = false;
    solar::Strings strings{};
    T from_h = 0, to_h = 24;  // hours of the shadow, or of standing out
    solar::SkyModel sky = solar::SkyModel::isotropic;
    const T* plane = nullptr;  // [hours][PlaneHour::numbers]; null: the weather's own plane
    int part_numbers = 0;      // of one that is aimed by the clock: from the table of one of its offsets to the next
};

template <class T>
struct SolarPlan {
    int arrays = 0;
    const ArrayPlan<T>* array = nullptr;
    const T* morning = nullptr;  // [sky's hours] share before 10 h solar time; null: no shade by time of day
    const T* afternoon = nullptr;         // after 14 h
    int shade_by_time[3] = {-1, -1, -1};  // slots: morning, midday, afternoon
    const T* stationary = nullptr;        // [days] 1 where nothing is driven
    int film_word = -1, film_share = -1, film_light = -1, film_sun = -1;
    T film_night_c = 0, film_clears_c = 0;
};

template <class V>
struct SolarDay {
    typename V::Bool out[kMostArrays], running[kMostArrays];
    V film[24];  // share of the light that passes
};

template <class V>
struct SolarHour {
    V power_w, current_a, own_a;  // of trackers, of clamped modules, and what the regulators take
};

// Each lane's hour of a record, or the sky's own of the trip.
template <class V>
struct HourIndex {
    int hour = 0, hours = 0;
    const std::int32_t* start = nullptr;  // null where the weather is generated
    int part = 0;                         // which of the clock's offsets holds

    template <class T>
    RT_INLINE V at(const T* table, int stride, int number) const {
        if (!start) return V(table[hour * stride + number]);
        V v(T(0));
        for (int l = 0; l < V::width; ++l) v.set_lane(l, table[((start[l] + hour) % hours) * stride + number]);
        return v;
    }
};

template <class T, class V>
RT_INLINE solar::PlaneHour<V> plane_hour(const T* table, const HourIndex<V>& index) {
    const auto n = [&](int i) { return index.at(table, solar::PlaneHour<V>::numbers, i); };
    return {n(0), n(1), n(2), n(3), n(4), n(5), n(6), n(7), n(8), n(9)};
}

// Frost or snow after a night below freezing, until the air or the sun clears it.
template <class T, class V>
RT_INLINE void lay_film(const SolarPlan<T>& plan, const V* x, V u, T dawn_h, const V* air_c, const V* ghi, V* film) {
    const V one(T(1));
    V coldest = air_c[0], sun(T(0));
    for (int h = 1; h < 24; ++h)
        if (h < 4 || T(h) < dawn_h) coldest = min(coldest, air_c[h]);
    auto covered = (coldest < V(plan.film_night_c)) & (u < x[plan.film_share]);
    for (int h = 0; h < 24; ++h) {
        covered = covered & (air_c[h] <= V(plan.film_clears_c)) & (sun <= x[plan.film_sun]);
        film[h] = select(covered, x[plan.film_light], one);
        sun += ghi[h];
    }
}

template <class T, class V>
RT_INLINE void begin_solar_day(const SolarPlan<T>& plan, const V* x, const std::uint64_t* words, int day, T dawn_h,
                               const weather::HourlyWeather<V>& weather, SolarDay<V>& today) {
    using Bool = typename V::Bool;
    for (int i = 0; i < plan.arrays; ++i) {
        const ArrayPlan<T>& a = plan.array[i];
        today.running[i] = Bool::all(false);
        today.out[i] = Bool::all(true);
        if (a.portable) {
            const V u = random::uniform_of<V>(words + (a.use_word + day) * V::width);
            today.out[i] = (u < x[a.use]) & Bool::all(plan.stationary[day] > T(0));
        }
    }
    if (plan.film_word >= 0)
        lay_film(plan, x, random::uniform_of<V>(words + (plan.film_word + day) * V::width), dawn_h, weather.air,
                 weather.ghi, today.film);
}

// hour: of the clock. weather: of the sky's day. shade_beam, shade_sky: where the van stands. posts_v: the battery's
// voltage, as last known.
template <class T, class V>
RT_INLINE SolarHour<V> solar_hour(const SolarPlan<T>& plan, const V* x, const HourIndex<V>& index, int hour,
                                  const weather::HourlyWeather<V>& weather, V shade_beam, V shade_sky, V posts_v,
                                  SolarDay<V>& today) {
    using Bool = typename V::Bool;
    const int of_day = index.hour % 24;
    const V zero(T(0)), one(T(1)), air_c = weather.air[of_day];
    SolarHour<V> sum{zero, zero, zero};
    if (plan.morning) {
        const V before(plan.morning[index.hour]), after(plan.afternoon[index.hour]);
        const V lost = before * x[plan.shade_by_time[0]] + (one - before - after) * x[plan.shade_by_time[1]] +
                       after * x[plan.shade_by_time[2]];
        shade_beam = one - (one - shade_beam) * (one - lost);
    }
    for (int i = 0; i < plan.arrays; ++i) {
        const ArrayPlan<T>& a = plan.array[i];
        const bool in_hours = T(hour) >= a.from_h && T(hour) < a.to_h;
        if (a.portable && !in_hours) continue;
        V beam = weather.beam[of_day], sky = weather.sky[of_day];
        if (a.plane) {
            const auto plane = plane_hour(a.plane + index.part * a.part_numbers, index);
            const auto light =
                solar::light_on_plane(a.sky, plane, weather.direct[of_day], weather.diffuse[of_day]);
            beam = light.beam;
            sky = light.sky;
        }
        solar::ArrayTrial<V> p{x[a.rated], one - x[a.dirt], one - x[a.other],
                               shade_beam, shade_sky,       V(a.rise_k_per_w_m2)};
        if (!a.pwm) p.power_share *= x[a.efficiency];
        if (a.age >= 0) p.power_share *= max(one - x[a.age] * x[a.ageing], zero);
        if (a.portable) {
            p.shade_beam *= x[a.kept];
            p.shade_sky *= x[a.kept];
        } else {
            if (plan.film_word >= 0) p.light_share *= today.film[hour];
            if (a.shadow >= 0 && in_hours) {
                const V diffuse = max(sky, zero) * (one - p.shade_sky);
                const V full = max(solar::light_left(p, beam, sky), V(T(1e-6)));
                p.power_share *= solar::share_beside_shadow(a.strings, x[a.shadow], min(diffuse / full, one));
            }
        }
        if (a.self_ma >= 0) sum.own_a += select(today.out[i], x[a.self_ma] * V(T(0.001)), zero);
        auto works = today.out[i];
        if (a.start_v >= 0) {
            const V light = solar::light_left(p, beam, sky);
            if (any(light > zero)) {
                const auto module =
                    solar::module_at(max(light * p.light_share, V(T(0.1))), air_c + p.rise_k_per_w_m2 * light);
                const T modules_v = T(a.strings.series ? a.strings.modules : 1) / a.volts_ratio;
                const V open = solar::module_open_v(module), above = open * V(modules_v) - posts_v;
                // A level to stay at above that of the start has nothing to say.
                today.running[i] = (light > zero) & ((above >= x[a.start_v]) |
                                                     (today.running[i] & (above >= x[a.stay_v])));
                p.power_share *= solar::share_above_battery(module, open, posts_v * V(T(1) / modules_v));
            } else {
                today.running[i] = Bool::all(false);
            }
            works = works & today.running[i];
        }
        const V power = array_power_w(p, beam, sky, air_c);
        if (a.start_w >= 0) works = works & (power >= x[a.start_w]);
        if (a.pwm)
            sum.current_a += select(
                works, solar::clamped_current_a(p, beam, sky, air_c, posts_v + x[a.drop], V(a.volts_ratio)), zero);
        else
            sum.power_w += select(works, power, zero);
    }
    return sum;
}

}  // namespace ridethrough::solar
