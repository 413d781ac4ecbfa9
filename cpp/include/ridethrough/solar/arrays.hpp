// The van's solar arrays in an hour, in lanes: first the light on each, with its plane and shade, which takes the sky
// and the place alone; then what their regulators make of it at the battery's voltage. Draws: purpose solar.film 1 a
// day, solar.<name>.use 1 a day.
#pragma once

#include "ridethrough/random/parameters.hpp"
#include "ridethrough/solar/array.hpp"
#include "ridethrough/solar/sky_model.hpp"
#include "ridethrough/weather/generator.hpp"

namespace ridethrough::solar {

using simd::any;
using simd::max;
using simd::min;
using simd::select;

constexpr int kMostArrays = 8;

// Indices are none where a number has nothing to do.
struct ArrayModel {
    random::ParameterIndex rated_w, soiling_loss, system_loss, efficiency;
    random::ParameterIndex drop_v, self_ma, controller_start_w, start_v, stay_v;
    random::ParameterIndex age, ageing, shadow, kept, use;
    random::DrawIndex use_draws;  // of a portable panel
    double rise_k_per_w_m2 = 0, volts_ratio = 1;
    bool pwm = false, portable = false;
    bool counts_in_storage = false;  // in the weeks before the trip
    Strings strings{};
    double from_h = 0, to_h = 24;  // hours of the shadow, or of standing out
    SkyModel sky = SkyModel::isotropic;
    int part_numbers = 0;  // of one that is aimed by the clock: from the table of one of its offsets to the next
};

struct FilmModel {
    random::DrawIndex draws;  // none without a film
    random::ParameterIndex share, light, clears_after_wh_m2;
    double night_below_c = 0, clears_above_c = 0;
};

// All of a van's arrays, alike. Tables are owned by the compiled trip.
struct Model {
    int arrays = 0;
    const ArrayModel* array = nullptr;
    const double* morning = nullptr;    // [sky's hours] share before 10 h solar time; null: no shade by time of day
    const double* afternoon = nullptr;  // after 14 h
    random::ParameterIndex shade_by_time[3];  // morning, midday, afternoon
    const double* stationary = nullptr;       // [days] 1 where nothing is driven
    FilmModel film;
};

// Tables of the arrays' planes in the kernel's number type: [hours][PlaneHour::numbers]; null: the weather's own plane.
template <class T>
struct PlaneTables {
    const T* of_array[kMostArrays] = {};
};

template <class V>
struct SolarDay {
    typename V::Bool out[kMostArrays];  // portable panels that are set up
    V film[24];                         // share of the light that passes
};

// Light of an hour on each of the arrays, and what their regulators take for themselves.
template <class V>
struct SolarLight {
    ArrayLight<V> on[kMostArrays];
    V own_a;
};

// Regulators, of which some start and stop by the battery's voltage, and what they offered last.
template <class V>
struct Regulators {
    typename V::Bool running[kMostArrays];
    V power_w, current_a;  // of trackers; of clamped modules

    RT_INLINE void begin_day(const Model& m) {
        for (int i = 0; i < m.arrays; ++i) running[i] = V::Bool::all(false);
    }
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
RT_INLINE PlaneHour<V> plane_hour(const T* table, const HourIndex<V>& index) {
    const auto n = [&](int i) { return index.at(table, PlaneHour<V>::numbers, i); };
    return {n(0), n(1), n(2), n(3), n(4), n(5), n(6), n(7), n(8), n(9)};
}

// Frost or snow after a night below freezing, until the air or the sun clears it.
template <class V>
RT_INLINE void build_film(const FilmModel& m, random::Parameters<V> x, V u, typename V::Scalar dawn_h, const V* air_c,
                          const V* ghi, V* film) {
    using T = typename V::Scalar;
    const V one(T(1));
    V coldest = air_c[0], sun(T(0));
    for (int h = 1; h < 24; ++h)
        if (h < 4 || T(h) < dawn_h) coldest = min(coldest, air_c[h]);
    auto covered = (coldest < V(T(m.night_below_c))) & (u < x[m.share]);
    for (int h = 0; h < 24; ++h) {
        covered = covered & (air_c[h] <= V(T(m.clears_above_c))) & (sun <= x[m.clears_after_wh_m2]);
        film[h] = select(covered, x[m.light], one);
        sun += ghi[h];
    }
}

template <class V>
RT_INLINE void begin_solar_day(const Model& m, random::Parameters<V> x, random::Draws<V> draws, int day,
                               typename V::Scalar dawn_h, const weather::HourlyWeather<V>& weather,
                               SolarDay<V>& today) {
    using Bool = typename V::Bool;
    for (int i = 0; i < m.arrays; ++i) {
        const ArrayModel& a = m.array[i];
        today.out[i] = Bool::all(true);
        if (a.portable) {
            const V u = draws.uniform(a.use_draws, day);
            today.out[i] = (u < x[a.use]) & Bool::all(m.stationary[day] > 0);
        }
    }
    if (m.film.draws)
        build_film(m.film, x, draws.uniform(m.film.draws, day), dawn_h, weather.air, weather.ghi, today.film);
}

// hour: of the clock. weather: of the sky's day. shade_beam, shade_sky: where the van stands.
template <class V>
RT_INLINE void light_on_arrays(const Model& m, const PlaneTables<typename V::Scalar>& planes, random::Parameters<V> x,
                               const HourIndex<V>& index, int hour, const weather::HourlyWeather<V>& weather,
                               V shade_beam, V shade_sky, const SolarDay<V>& today, SolarLight<V>& light) {
    using T = typename V::Scalar;
    const int of_day = index.hour % 24;
    const V zero(T(0)), one(T(1)), air_c = weather.air[of_day];
    light.own_a = zero;
    if (m.morning) {
        const V before(T(m.morning[index.hour])), after(T(m.afternoon[index.hour]));
        const V lost = before * x[m.shade_by_time[0]] + (one - before - after) * x[m.shade_by_time[1]] +
                       after * x[m.shade_by_time[2]];
        shade_beam = one - (one - shade_beam) * (one - lost);
    }
    for (int i = 0; i < m.arrays; ++i) {
        const ArrayModel& a = m.array[i];
        const bool in_hours = hour >= a.from_h && hour < a.to_h;
        if (a.portable && !in_hours) {
            light.on[i] = {zero, zero, air_c, zero, one};
            continue;
        }
        V beam = weather.beam[of_day], sky = weather.sky[of_day];
        if (const T* table = planes.of_array[i]) {
            const auto plane = plane_hour(table + index.part * a.part_numbers, index);
            const auto on_plane = light_on_plane(a.sky, plane, weather.direct[of_day], weather.diffuse[of_day]);
            beam = on_plane.beam;
            sky = on_plane.sky;
        }
        ArrayTrial<V> p{x[a.rated_w], one - x[a.soiling_loss], one - x[a.system_loss], shade_beam,
                        shade_sky,    V(T(a.rise_k_per_w_m2))};
        if (!a.pwm) p.power_share *= x[a.efficiency];
        if (a.age) p.power_share *= max(one - x[a.age] * x[a.ageing], zero);
        if (a.portable) {
            p.shade_beam *= x[a.kept];
            p.shade_sky *= x[a.kept];
        } else {
            if (m.film.draws) p.light_share *= today.film[hour];
            if (a.shadow && in_hours) {
                const V diffuse = max(sky, zero) * (one - p.shade_sky);
                const V full = max(light_left(p, beam, sky), V(T(1e-6)));
                p.power_share *= share_beside_shadow(a.strings, x[a.shadow], min(diffuse / full, one));
            }
        }
        if (a.self_ma) light.own_a += select(today.out[i], x[a.self_ma] * V(T(0.001)), zero);
        light.on[i] = light_on_array(p, beam, sky, air_c);
        if (a.portable) light.on[i].peak_w = select(today.out[i], light.on[i].peak_w, zero);
    }
}

// What the regulators make of an hour's light at the battery's voltage as last known, where an hour begins.
template <class V>
RT_INLINE void regulate(const Model& m, random::Parameters<V> x, const SolarLight<V>& light, V terminal_v,
                        typename V::Bool where, Regulators<V>& regulators) {
    using T = typename V::Scalar;
    using Bool = typename V::Bool;
    const V zero(T(0));
    V power_w = zero, current_a = zero;
    for (int i = 0; i < m.arrays; ++i) {
        const ArrayModel& a = m.array[i];
        ArrayLight<V> on = light.on[i];
        auto works = Bool::all(true);
        if (a.start_v) {
            if (any(on.on_plane > zero)) {
                const auto module = module_at(max(on.used, V(T(0.1))), on.cell_c);
                const T modules_v = T(a.strings.series ? a.strings.modules : 1) / T(a.volts_ratio);
                const V open = module_open_v(module), above = open * V(modules_v) - terminal_v;
                // A level to stay at above that of the start has nothing to say.
                const Bool runs =
                    (on.on_plane > zero) & ((above >= x[a.start_v]) | (regulators.running[i] & (above >= x[a.stay_v])));
                regulators.running[i] = (runs & where) | (regulators.running[i] & !where);
                on.power_share *= share_above_battery(module, open, terminal_v * V(T(1) / modules_v));
            } else {
                regulators.running[i] = regulators.running[i] & !where;
            }
            works = regulators.running[i];
        }
        const V power = array_power_w(on);
        if (a.controller_start_w) works = works & (power >= x[a.controller_start_w]);
        if (a.pwm)
            current_a += select(works, clamped_current_a(on, terminal_v + x[a.drop_v], V(T(a.volts_ratio))), zero);
        else
            power_w += select(works, power, zero);
    }
    regulators.power_w = select(where, power_w, regulators.power_w);
    regulators.current_a = select(where, current_a, regulators.current_a);
}

}  // namespace ridethrough::solar
