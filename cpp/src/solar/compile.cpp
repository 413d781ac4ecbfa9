#include "ridethrough/solar/compile.hpp"

#include <algorithm>

#include "ridethrough/solar/schemas.hpp"
#include "ridethrough/weather/tables.hpp"

namespace ridethrough::solar {
using config::Configuration;
using config::ConfigurationPtr;

namespace {

bool given(const Configuration& r, const char* field) {
    const config::Value& v = r.at(field);
    const auto* number = std::get_if<double>(&v);
    return !number || *number != 0;
}

bool is_portable(const Configuration& array) { return array.schema().name == "PortableArray"; }

SkyModel sky_model(const Configuration& r) {
    const std::string& name = r.text("sky_model");
    return name == "perez" ? SkyModel::perez : name == "hdkr" ? SkyModel::hdkr : SkyModel::isotropic;
}

ArrayModel array_model(const Configuration& r, const random::ParameterPath& path, random::ParameterTable& table) {
    const auto of = [&](const char* field, double otherwise = 0) { return table.add(r, field, path, otherwise); };
    const auto if_given = [&](const char* field) { return given(r, field) ? of(field) : random::ParameterIndex(); };
    ArrayModel a;
    a.portable = is_portable(r);
    a.counts_in_storage = !a.portable;
    a.rated_w = of("rated_w");
    a.soiling_loss = of("soiling_loss");
    a.system_loss = of("system_loss");
    a.pwm = r.text("charge_controller") == "pwm";
    if (a.counts_in_storage || !a.pwm) a.efficiency = of("controller_efficiency");
    if (a.pwm) a.drop_v = of("controller_drop_v");
    a.self_ma = if_given("self_consumption_ma");
    a.controller_start_w = if_given("controller_start_w");
    if (!a.pwm) a.start_v = if_given("controller_starts_above_battery_v");
    if (a.start_v) a.stay_v = of("controller_stays_above_battery_v");
    const std::string mounting = a.portable ? "framed" : r.text("mounting");
    const bool flexible = a.portable || mounting == "glued";
    a.cell_rise_k_per_w_m2 = mounting_rise_k_per_w_m2(mounting);
    a.rise_factor = of("cell_rise_factor");
    a.loss_per_k = of("power_loss_per_k");
    a.dark_shunt_share = r.has("dark_shunt_share")
                             ? of("dark_shunt_share")
                             : table.spread(r, "dark_shunt_share", path, dark_shunt_share(flexible));
    a.age = if_given("age_years");
    if (a.age) a.ageing = of("ageing_per_year", flexible ? 0.02 : 0.006);
    a.strings.module_vmp_v = r.number("module_vmp_v");
    a.volts_ratio = 18 / a.strings.module_vmp_v;
    a.sky = sky_model(r);
    if (a.portable) {
        a.from_h = r.number("set_up_h");
        a.to_h = r.number("pack_up_h");
        a.shade_kept = of("shade_kept");
        a.use = of("use_probability");
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

// Under which its draws are distinguished: its name, or its place where a name is used again.
std::vector<std::string> draw_names(const std::vector<ConfigurationPtr>& all) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < all.size(); ++i) {
        const std::string& name = all[i]->text("name");
        const bool drawn_alone = i == 0 && !is_portable(*all[i]);  // as "solar.", whatever its name
        const bool used = std::ranges::find(names, name) != names.end();
        names.push_back(drawn_alone ? "" : used ? std::to_string(i + 1) : name);
    }
    return names;
}

std::vector<ArrayModel> compile_arrays(const Configuration& van, random::ParameterTable& table) {
    const auto& all = van.parts("arrays");
    const auto paths = van.paths_of("arrays"), names = draw_names(all);
    std::vector<ArrayModel> arrays;
    for (std::size_t i = 0; i < all.size(); ++i) {
        const std::string draw = names[i].empty() ? "solar." : "more_solar." + names[i] + ".";
        ArrayModel a = array_model(*all[i], {paths[i] + ".", draw}, table);
        if (a.portable) a.use_draws = table.draws("solar." + names[i] + ".use", 1);
        arrays.push_back(a);
    }
    return arrays;
}

// `film`: null for none.
FilmModel compile_film(const ConfigurationPtr& film, random::ParameterTable& table) {
    if (!film) return {};
    const random::ParameterPath at{"snow_and_frost.", "panel_film."};
    return {table.draws("solar.film", 1),          table.add(*film, "film_probability", at),
            table.add(*film, "transmittance", at), table.add(*film, "clears_after_wh_m2", at),
            film->number("night_below_c"),         film->number("clears_above_c")};
}

// Morning, midday, afternoon; none where no shade by the time of day is given.
void compile_shade_by_time(const Configuration& trip, random::ParameterTable& table, Model& m) {
    const char* parts[] = {"shade_morning", "shade_midday", "shade_afternoon"};
    if (!std::any_of(std::begin(parts), std::end(parts), [&](const char* f) { return given(trip, f); })) return;
    for (int i = 0; i < 3; ++i) m.shade_by_time[i] = table.add(trip, parts[i], "trip.");
}

}  // namespace

Model compile(const Configuration& van, const Configuration& trip, random::ParameterTable& table,
              std::vector<ArrayModel>& arrays) {
    Model m;
    arrays = compile_arrays(van, table);
    compile_shade_by_time(trip, table, m);
    if (std::any_of(arrays.begin(), arrays.end(), [](const auto& a) { return !a.portable; }))
        m.film = compile_film(van.part("snow_and_frost"), table);
    return m;
}

ConfigurationPtr array_of_weather(const Configuration& van) {
    const auto& all = van.parts("arrays");
    return all.empty() || is_portable(*all[0]) ? nullptr : all[0];
}

ConfigurationPtr array_of_stages(const Configuration& van) {
    const auto& all = van.parts("arrays");
    return all.empty() ? nullptr : all[0];
}

Plane plane_of(const ConfigurationPtr& array, double latitude_deg) {
    if (!array) return {};
    const double to_equator = latitude_deg < 0 ? 0 : 180;
    return {array->number("tilt_deg"), array->has("azimuth_deg") ? array->number("azimuth_deg") : to_equator};
}

void append_plane_tables(std::vector<PlaneNumbers>& tables, const Configuration& van, std::span<const sun::SkyDay> days,
                         double albedo, const Horizon& horizon, double hours_ahead, bool aimed_only) {
    const auto& all = van.parts("arrays");
    const ConfigurationPtr of_weather = array_of_weather(van);
    tables.resize(all.size());
    for (std::size_t i = 0; i < all.size(); ++i) {
        const ConfigurationPtr& r = all[i];
        const bool weather_plane = i == 0 && of_weather && sky_model(*r) == SkyModel::isotropic;
        const bool aimed = is_portable(*r);
        if (weather_plane || days.empty() || (aimed_only && !aimed)) continue;
        if (aimed) {
            Aiming aiming{r->number("set_up_h") - hours_ahead,
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

void add_part(std::vector<PlaneNumbers>& tables, const std::vector<PlaneNumbers>& more) {
    tables.resize(more.size());
    for (std::size_t i = 0; i < more.size(); ++i) tables[i].insert(tables[i].end(), more[i].begin(), more[i].end());
}

weather::PlaneFactors series_planes(const weather::WeatherSeries& record, const Configuration& van, double latitude_deg,
                                    double albedo, const Horizon& horizon, std::span<const double> hours_ahead,
                                    std::vector<PlaneNumbers>& tables) {
    const auto skies = weather::series_skies(record);
    constexpr int n = PlaneHour<double>::numbers;
    for (std::size_t part = 0; part < hours_ahead.size(); ++part) {
        std::vector<PlaneNumbers> here;
        append_plane_tables(here, van, skies.days, albedo, horizon, hours_ahead[part], part > 0);
        for (PlaneNumbers& table : here) {  // whole days, cut to the record's hours
            if (table.empty()) continue;
            table.erase(table.begin(), table.begin() + n * skies.first_hour_of_day);
            table.resize(static_cast<std::size_t>(n * record.hours()));
        }
        add_part(tables, here);
    }
    const Plane own = plane_of(array_of_weather(van), latitude_deg);
    return weather::of_series_hours(record, plane_factors(skies.days, own, albedo, horizon));
}

}  // namespace ridethrough::solar
