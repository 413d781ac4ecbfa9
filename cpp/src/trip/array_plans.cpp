#include "array_plans.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/weather/tables.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/solar/schemas.hpp"
#include "ridethrough/engine/slots.hpp"

namespace ridethrough::trip {
using base::InputError;
using config::Record;
using config::RecordPtr;

namespace {

bool given(const Record& r, const char* field) {
    const config::Value& v = r.at(field);
    const auto* number = std::get_if<double>(&v);
    return !number || *number != 0;
}

solar::SkyModel sky_model(const Record& r) {
    const std::string& word = r.text("sky_model");
    return word == "perez"  ? solar::SkyModel::perez
           : word == "hdkr" ? solar::SkyModel::hdkr
                            : solar::SkyModel::isotropic;
}

solar::ArrayPlan<double> array_plan(const Record& r, bool first, const std::string& path, const SlotAt& slot) {
    const auto of = [&](const char* field, double otherwise = 0) { return slot(r, field, path, otherwise); };
    const auto if_given = [&](const char* field) { return given(r, field) ? of(field) : -1; };
    solar::ArrayPlan<double> a;
    a.portable = r.schema().name == "PortableArray";
    a.rated = first ? engine::kRatedW : of("rated_w");
    a.dirt = first ? engine::kDirtLoss : of("dirt_loss");
    a.other = first ? engine::kOtherLoss : of("other_loss");
    a.pwm = r.text("regulator") == "pwm";
    if (first)
        a.efficiency = engine::kRegulatorEfficiency;
    else if (!a.pwm)
        a.efficiency = of("regulator_efficiency");
    if (a.pwm) a.drop = of("regulator_drop_v");
    a.self_ma = if_given("self_consumption_ma");
    a.start_w = if_given("start_w");
    if (!a.pwm) a.start_v = if_given("starts_above_battery_v");
    if (a.start_v >= 0) a.stay_v = of("stays_above_battery_v");
    const std::string mounting = a.portable ? "framed" : r.text("mounting");
    a.rise_k_per_w_m2 = solar::mounting_rise_k_per_w_m2(mounting);
    a.age = if_given("age_years");
    if (a.age >= 0) a.ageing = of("ageing_per_year", a.portable || mounting == "glued" ? 0.02 : 0.006);
    a.strings.module_v = r.number("module_v");
    a.volts_ratio = 18 / a.strings.module_v;
    a.sky = sky_model(r);
    if (a.portable) {
        a.from_h = r.number("set_up_h");
        a.to_h = r.number("pack_up_h");
        a.kept = of("shade_kept");
        a.use = of("use_share");
    } else {
        a.from_h = r.number("shadow_from_h");
        a.to_h = r.number("shadow_to_h");
        a.strings.modules = r.integer("modules");
        a.strings.substrings = r.integer("substrings");
        a.strings.series = r.text("layout") == "series";
        a.shadow = if_given("shadow_share");
    }
    return a;
}

}  // namespace

std::vector<RecordPtr> all_arrays(const Record& van) {
    std::vector<RecordPtr> all;
    if (const RecordPtr s = van.record("solar")) all.push_back(s);
    for (const RecordPtr& s : van.records("more_solar")) all.push_back(s);
    return all;
}

SolarDraft solar_draft(const Record& van, const Record& trip, const SlotAt& slot, const WordsOf& words) {
    SolarDraft draft;
    const bool roof = van.has("solar");
    for (const RecordPtr& r : all_arrays(van)) {
        const bool first = roof && draft.arrays.empty();
        const std::string& name = r->text("name");
        solar::ArrayPlan<double> a = array_plan(*r, first, first ? "solar." : "more_solar." + name + ".", slot);
        if (a.portable) a.use_word = words("solar." + name + ".use", 1);
        draft.arrays.push_back(a);
    }
    draft.plan.arrays = static_cast<int>(draft.arrays.size());
    const char* parts[] = {"shade_morning", "shade_midday", "shade_afternoon"};
    if (std::any_of(std::begin(parts), std::end(parts), [&](const char* f) { return given(trip, f); }))
        for (int i = 0; i < 3; ++i) draft.plan.shade_by_time[i] = slot(trip, parts[i], "trip.", 0);
    const bool any_fixed =
        std::any_of(draft.arrays.begin(), draft.arrays.end(), [](const auto& a) { return !a.portable; });
    if (const RecordPtr film = any_fixed ? van.record("panel_film") : nullptr) {
        draft.plan.film_word = words("solar.film", 1);
        draft.plan.film_share = slot(*film, "share_of_cold_nights", "panel_film.", 0);
        draft.plan.film_light = slot(*film, "light_share", "panel_film.", 0);
        draft.plan.film_sun = slot(*film, "clears_after_wh_m2", "panel_film.", 0);
        draft.plan.film_night_c = film->number("night_below_c");
        draft.plan.film_clears_c = film->number("clears_above_c");
    }
    return draft;
}

void set_surroundings(const Record& trip, SlotDraw& beam, SlotDraw& sky) {
    const auto shade = solar::site_shade(trip.text("surroundings"));
    if (!shade) return;
    beam.spread = shade->beam;
    beam.daily = true;
    sky.spread = shade->sky;
    for (SlotDraw* draw : {&beam, &sky}) draw->purpose = random::purpose("spread." + draw->path);
}

solar::Plane plane_of(const RecordPtr& array, double latitude_deg) {
    if (!array) return {};
    const double to_equator = latitude_deg < 0 ? 0 : 180;
    return {array->number("tilt_deg"), array->has("azimuth_deg") ? array->number("azimuth_deg") : to_equator};
}

void append_plane_tables(std::vector<solar::PlaneNumbers>& tables, const Record& van, std::span<const sun::SkyDay> days,
                         double albedo, const solar::Horizon& horizon, double hours_ahead, bool aimed_only) {
    const auto all = all_arrays(van);
    tables.resize(all.size());
    for (std::size_t i = 0; i < all.size(); ++i) {
        const RecordPtr& r = all[i];
        const bool weather_plane = i == 0 && van.has("solar") && sky_model(*r) == solar::SkyModel::isotropic;
        const bool aimed = r->schema().name == "PortableArray";
        if (weather_plane || days.empty() || (aimed_only && !aimed)) continue;
        if (aimed) {
            solar::Aiming aiming{r->number("set_up_h") - hours_ahead,
                                 r->number("pack_up_h") - hours_ahead,
                                 r->integer("aims_per_day"),
                                 {}};
            if (r->has("tilt_deg")) aiming.tilt_deg = r->number("tilt_deg");
            append_plane_hours(tables[i], days, aiming, albedo, horizon);
        } else {
            append_plane_hours(tables[i], days, plane_of(r, days.front().latitude_deg), albedo, horizon);
        }
    }
}

void add_part(std::vector<solar::PlaneNumbers>& tables, const std::vector<solar::PlaneNumbers>& more) {
    tables.resize(more.size());
    for (std::size_t i = 0; i < more.size(); ++i) tables[i].insert(tables[i].end(), more[i].begin(), more[i].end());
}

weather::PlaneFactors record_planes(const weather::HourlyRecord& record, const Record& van, const Record& trip,
                                    const Record& site, const ClockSteps& steps, SolarDraft& draft) {
    const auto skies = weather::record_skies(record);
    const solar::Horizon horizon{trip.numbers("horizon_deg")};
    const double albedo = site.number("albedo");
    constexpr int n = solar::PlaneHour<double>::numbers;
    for (int part = 0; part < steps.parts(); ++part) {
        std::vector<solar::PlaneNumbers> tables;
        const double ahead_h = steps.utc_offset_h() - record.data().utc_offset_h + steps.ahead_h(part);
        append_plane_tables(tables, van, skies.days, albedo, horizon, ahead_h, part > 0);
        for (solar::PlaneNumbers& table : tables) {  // whole days, cut to the record's hours
            if (table.empty()) continue;
            table.erase(table.begin(), table.begin() + n * skies.first_hour_of_day);
            table.resize(static_cast<std::size_t>(n * record.hours()));
        }
        add_part(draft.planes, tables);
    }
    const solar::Plane own = plane_of(van.record("solar"), site.number("latitude"));
    return weather::of_record_hours(record, solar::plane_factors(skies.days, own, albedo, horizon));
}

void mark_days(SolarDraft& draft, std::span<const sun::SkyDay> days, const std::vector<double>& drive,
               const ClockSteps& steps) {
    draft.parts = steps.parts();
    draft.stationary.assign(static_cast<std::size_t>(steps.days()), 1);
    for (std::size_t step = 0; 2 * step < drive.size(); ++step)
        if (drive[2 * step + 1] > drive[2 * step])
            draft.stationary[static_cast<std::size_t>(steps.day_of(static_cast<int>(step)))] = 0;
    if (draft.plan.shade_by_time[0] < 0) return;
    for (const sun::SkyDay& day : days)
        for (int h = 0; h < 24; ++h) {
            const double clock = h + day.solar_minus_clock_h;
            const double begin = clock - 24 * std::floor(clock / 24);
            draft.morning.push_back(std::clamp(10 - begin, 0.0, 1.0));
            draft.afternoon.push_back(std::clamp(begin + 1 - 14, 0.0, 1.0));
        }
}

template <class T>
SolarTables<T>::SolarTables(const SolarDraft& draft)
    : morning(draft.morning.begin(), draft.morning.end()),
      afternoon(draft.afternoon.begin(), draft.afternoon.end()),
      stationary(draft.stationary.begin(), draft.stationary.end()) {
    const auto number = [](double x) { return static_cast<T>(x); };
    const solar::SolarPlan<double>& d = draft.plan;
    plan.arrays = d.arrays;
    std::copy(std::begin(d.shade_by_time), std::end(d.shade_by_time), std::begin(plan.shade_by_time));
    plan.film_word = d.film_word;
    plan.film_share = d.film_share;
    plan.film_light = d.film_light;
    plan.film_sun = d.film_sun;
    plan.film_night_c = number(d.film_night_c);
    plan.film_clears_c = number(d.film_clears_c);
    for (const solar::ArrayPlan<double>& a : draft.arrays) {
        solar::ArrayPlan<T> t;
        t.rated = a.rated, t.dirt = a.dirt, t.other = a.other, t.efficiency = a.efficiency;
        t.drop = a.drop, t.self_ma = a.self_ma, t.start_w = a.start_w, t.start_v = a.start_v;
        t.stay_v = a.stay_v;
        t.age = a.age, t.ageing = a.ageing, t.shadow = a.shadow, t.kept = a.kept, t.use = a.use;
        t.use_word = a.use_word;
        t.rise_k_per_w_m2 = number(a.rise_k_per_w_m2), t.volts_ratio = number(a.volts_ratio);
        t.pwm = a.pwm, t.portable = a.portable, t.strings = a.strings;
        t.from_h = number(a.from_h), t.to_h = number(a.to_h);
        t.sky = a.sky;
        arrays.push_back(t);
    }
    for (const solar::PlaneNumbers& p : draft.planes) planes.emplace_back(p.begin(), p.end());
    for (std::size_t i = 0; i < planes.size(); ++i)
        if (arrays[i].portable) arrays[i].part_numbers = static_cast<int>(planes[i].size()) / draft.parts;
}

template <class T>
solar::SolarPlan<T> SolarTables<T>::view() {
    for (std::size_t i = 0; i < planes.size(); ++i) arrays[i].plane = planes[i].empty() ? nullptr : planes[i].data();
    plan.array = arrays.data();
    plan.morning = morning.empty() ? nullptr : morning.data();
    plan.afternoon = afternoon.data();
    plan.stationary = stationary.data();
    return plan;
}

template struct SolarTables<double>;
template struct SolarTables<float>;

void check_arrays(const Record& van) {
    const auto all = all_arrays(van);
    if (!(all.size() <= solar::kMostArrays))
        throw InputError("Van.more_solar: " + std::to_string(all.size()) + " arrays with Van.solar; allowed up to " +
                         std::to_string(solar::kMostArrays) + " in all");
}

void check_shade(const Record& trip) {
    const auto points = trip.numbers("horizon_deg").size() / 2;
    if (!(points <= 360))
        throw InputError("Trip.horizon_deg = " + std::to_string(points) + " pairs: allowed up to 360 of them");
    if (points > 0 && !trip.records("stops").empty())
        throw InputError("Trip.horizon_deg: allowed for a trip to one place, as it is one place's");
    if (trip.text("surroundings") == "as_given") return;
    for (const char* field : {"shade_beam", "shade_sky"})
        if (!(trip.at(field) == trip.schema().field(field).standard))
            throw InputError("Trip.surroundings = '" + trip.text("surroundings") + "': not allowed beside Trip." +
                             field + ", which it sets");
}

}  // namespace ridethrough::trip
