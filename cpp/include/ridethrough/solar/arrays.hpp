// One array and all of a van's, in an hour and in lanes: first the light on each, with its plane and shade, which takes
// the sky and the place alone; then what their charge controllers make of it at the battery's voltage. Draws: purpose
// solar.film 1 a day, solar.<name>.use 1 a day.
#pragma once

#include "ridethrough/base/math.hpp"
#include "ridethrough/random/parameters.hpp"
#include "ridethrough/simd/pack.hpp"
#include "ridethrough/solar/module.hpp"
#include "ridethrough/solar/sky_model.hpp"
#include "ridethrough/weather/generator.hpp"

namespace ridethrough::solar {

using simd::any;
using simd::max;
using simd::min;
using simd::select;

template <class V>
struct ArrayTrial {
    V rated_w;
    V light_share;  // left by soiling
    V power_share;  // left by wiring, mismatch, ageing and the charge controller
    V shade_beam, shade_sky;
    V cell_rise_k_per_w_m2, loss_per_k;  // Ross coefficient of the cells; of the power
};

// beam and sky: light on the plane, W/m2, unshaded.
template <class V>
RT_INLINE V light_left(const ArrayTrial<V>& p, V beam, V sky) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1));
    return max(beam, zero) * (one - p.shade_beam) + max(sky, zero) * (one - p.shade_sky);
}

// What an array makes an hour's power of, whatever the battery's voltage.
template <class V>
struct ArrayLight {
    V used;    // W/m2 after shade and soiling
    V cell_c;  // equivalent, of the reference module
    V left_w;  // of the rated power, by all but light and heat
};

template <class V>
RT_INLINE ArrayLight<V> light_on_array(const ArrayTrial<V>& p, V beam, V sky, V air_c) {
    const V light = light_left(p, beam, sky);
    const V cell_c = equivalent_cell_c(air_c + p.cell_rise_k_per_w_m2 * light, p.loss_per_k);
    return {light * p.light_share, cell_c, p.rated_w * p.power_share};
}

// Below this light an array gives nothing.
inline constexpr double kLeastLightWM2 = 2;

// Of the array with `module_w` from its 36-cell module.
template <class V>
RT_INLINE V array_power_w(const ArrayLight<V>& a, V module_w) {
    using T = typename V::Scalar;
    return select(a.used > V(T(kLeastLightWM2)), a.left_w * module_w * V(T(1 / kModuleRatedW)), V(T(0)));
}

// Current of an array that a PWM controller holds at `volts` (of battery and drop). `volts_ratio`: of the 36-cell
// module over this one.
template <class V>
RT_INLINE V clamped_current_a(const ArrayLight<V>& a, const ModuleState<V>& m, V volts, V volts_ratio) {
    return array_power_w(a, module_current_a(m, volts * volts_ratio) * volts_ratio);
}

// Most that a down-converter gets of a module: where its maximum-power point lies below the battery's voltage, the
// module works at battery voltage.
template <class V>
RT_INLINE V power_above_battery_w(const ModuleState<V>& m, const ModulePeak<V>& peak, V battery_v) {
    if (!any(peak.volts < battery_v)) return peak.watts;
    return select(peak.volts < battery_v, battery_v * module_current_a(m, battery_v), peak.watts);
}

// How the modules of an array stand together under a hard shadow.
struct Strings {
    int modules = 1, substrings = 2;
    bool series = false;
    double module_vmp_v = 18;
};
// Lowest voltage of a string that a charge controller can still charge from. From memory.
inline constexpr double kLeastStringV = 15;

// Share of an array's power left when one piece `area` of it has diffuse light only (`diffuse_share` of the full).
// In series the charge controller takes the better of two: the touched substrings bypassed, or all at the current of
// the shaded. In parallel a touched module cannot keep the others' voltage on fewer substrings and gives its diffuse
// only.
template <class V>
RT_INLINE V share_beside_shadow(const Strings& s, V area, V diffuse_share) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1));
    // A thousandth of a part is not touched; round(x + 0.499) is the next whole number above.
    const auto touched = [&](int parts) {
        return min(simd::detail::round_even(area * V(T(parts)) + V(T(0.499))) * V(T(1) / T(parts)), one);
    };
    if (!s.series && s.modules > 1) return one - touched(s.modules) * (one - diffuse_share);
    if (s.substrings == 0) return select(touched(s.modules) > zero, diffuse_share, one);
    const V bypassed = one - touched(s.modules * s.substrings);
    const V volts = bypassed * V(T(s.modules * s.module_vmp_v));
    return max(select(volts >= V(T(kLeastStringV)), bypassed, zero), diffuse_share);
}

constexpr int kMostArrays = 8;

// Indices are none where a number has nothing to do.
struct ArrayModel {
    random::ParameterIndex rated_w, soiling_loss, system_loss, efficiency;
    random::ParameterIndex drop_v, self_ma, controller_start_w, start_v, stay_v;
    random::ParameterIndex rise_factor, loss_per_k, dark_shunt_share, age, ageing, shadow, shade_kept, use;
    random::DrawIndex use_draws;  // of a portable panel
    double cell_rise_k_per_w_m2 = 0, volts_ratio = 1;
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

// Light of an hour on each of the arrays, and what their charge controllers take for themselves.
template <class V>
struct SolarLight {
    ArrayLight<V> on[kMostArrays];
    V own_a;
};

// Charge controllers, of which some start and stop by the battery's voltage, and what they offered last.
template <class V>
struct ChargeControllers {
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

// Lost share of the beam where the van stands, with that by the time of day.
template <class V>
RT_INLINE V with_shade_by_time(const Model& m, random::Parameters<V> x, int sky_hour, V shade_beam) {
    using T = typename V::Scalar;
    if (!m.morning) return shade_beam;
    const V one(T(1)), before(T(m.morning[sky_hour])), after(T(m.afternoon[sky_hour]));
    const V lost =
        before * x[m.shade_by_time[0]] + (one - before - after) * x[m.shade_by_time[1]] + after * x[m.shade_by_time[2]];
    return one - (one - shade_beam) * (one - lost);
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
    for (int i = 0; i < m.arrays; ++i) {
        const ArrayModel& a = m.array[i];
        const bool in_hours = hour >= a.from_h && hour < a.to_h;
        if (a.portable && !in_hours) {
            light.on[i] = {zero, air_c, zero};
            continue;
        }
        V beam = weather.beam[of_day], sky = weather.sky[of_day];
        if (const T* table = planes.of_array[i]) {
            const auto plane = plane_hour(table + index.part * a.part_numbers, index);
            const auto on_plane = light_on_plane(a.sky, plane, weather.direct[of_day], weather.diffuse[of_day]);
            beam = on_plane.beam;
            sky = on_plane.sky;
        }
        ArrayTrial<V> p{x[a.rated_w],
                        one - x[a.soiling_loss],
                        one - x[a.system_loss],
                        shade_beam,
                        shade_sky,
                        V(T(a.cell_rise_k_per_w_m2)) * x[a.rise_factor],
                        x[a.loss_per_k]};
        if (!a.pwm) p.power_share *= x[a.efficiency];
        if (a.age) p.power_share *= max(one - x[a.age] * x[a.ageing], zero);
        if (a.portable) {
            p.shade_beam *= x[a.shade_kept];
            p.shade_sky *= x[a.shade_kept];
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
        if (a.portable) light.on[i].left_w = select(today.out[i], light.on[i].left_w, zero);
    }
}

// A tracker's power, or the current of a module clamped by a PWM controller, added to those of the others.
template <class V>
RT_INLINE void offer_of_array(const ArrayModel& a, random::Parameters<V> x, const ArrayLight<V>& on, V terminal_v,
                              typename V::Bool where, typename V::Bool& running, V& power_w, V& current_a) {
    using T = typename V::Scalar;
    const V zero(T(0)), least{T(kLeastLightWM2)};
    const auto lit = (on.used > least) & where;
    if (!any(lit)) {
        running = running & !where;
        return;
    }
    const auto module = module_at(max(on.used, least), on.cell_c, x[a.dark_shunt_share]);
    auto works = V::Bool::all(true);
    V power = zero;
    if (!a.pwm || a.controller_start_w) {
        const V open = module_open_v(module);
        const ModulePeak<V> peak = module_peak(module, open);
        V module_w = peak.watts;
        if (a.start_v) {
            const T modules_v = T(a.strings.series ? a.strings.modules : 1) / T(a.volts_ratio);
            const V above = open * V(modules_v) - terminal_v;
            // A level to stay at above that of the start has nothing to say.
            const auto runs = lit & ((above >= x[a.start_v]) | (running & (above >= x[a.stay_v])));
            running = runs | (running & !where);
            works = running;
            module_w = power_above_battery_w(module, peak, terminal_v * V(T(1) / modules_v));
        }
        power = array_power_w(on, module_w);
        if (a.controller_start_w) works = works & (power >= x[a.controller_start_w]);
    }
    if (a.pwm)
        current_a += select(works, clamped_current_a(on, module, terminal_v + x[a.drop_v], V(T(a.volts_ratio))), zero);
    else
        power_w += select(works, power, zero);
}

// What the charge controllers make of an hour's light at the battery's voltage as last known, where an hour begins.
template <class V>
RT_INLINE void offer_solar(const Model& m, random::Parameters<V> x, const SolarLight<V>& light, V terminal_v,
                           typename V::Bool where, ChargeControllers<V>& controllers) {
    using T = typename V::Scalar;
    V power_w(T(0)), current_a(T(0));
    for (int i = 0; i < m.arrays; ++i)
        offer_of_array(m.array[i], x, light.on[i], terminal_v, where, controllers.running[i], power_w, current_a);
    controllers.power_w = select(where, power_w, controllers.power_w);
    controllers.current_a = select(where, current_a, controllers.current_a);
}

}  // namespace ridethrough::solar
