#include "places.hpp"

#include <algorithm>

#include "ridethrough/weather/climate.hpp"

namespace ridethrough::trip {

using base::InputError;
using config::Configuration;
using config::ConfigurationPtr;

ConfigurationPtr climate_of(const Configuration& site) {
    std::optional<double> altitude_m;
    if (site.has("altitude_m")) altitude_m = site.number("altitude_m");
    return weather::climate_at(site.part("climate"), site.number("latitude"), site.number("longitude"), altitude_m);
}

std::vector<Place> places_of(const Configuration& trip) {
    std::vector<Place> places;
    const auto add = [&](ConfigurationPtr stop, const ConfigurationPtr& site, int nights, const std::string& path) {
        if (!site->has("climate"))
            throw InputError({.path = stop ? path + "site.climate" : "Site.climate",
                              .reason = "must be given",
                              .hint = "make one with Climate(...), Climate.from_hourly or Climate.from_daily"});
        const int first = places.empty() ? 0 : places.back().first_day + places.back().days;
        places.push_back({std::move(stop), site, climate_of(*site), first, nights, path});
    };
    for (const ConfigurationPtr& s : trip.parts("stops"))
        add(s, s->part("site"), s->integer("nights"), "trip.stops." + s->text("name") + ".");
    if (places.empty()) add(nullptr, trip.part("site"), trip.integer("nights"), "trip.");
    return places;
}

std::vector<std::size_t> places_by_hour(const std::vector<Place>& places, int days) {
    std::vector<std::size_t> out;
    std::size_t at = 0;
    for (int h = 0; h < 24 * days; ++h) {
        while (at + 1 < places.size() && h >= places[at + 1].departure_h()) ++at;
        out.push_back(at);
    }
    return out;
}

std::vector<sun::SkyDay> skies_of(std::vector<Place>& places, int first_day, int drawn_days, double utc_offset_h) {
    places.back().days = drawn_days - places.back().first_day;
    std::vector<sun::SkyDay> skies;
    for (const Place& p : places) {
        const auto here = weather::sky_days(first_day + p.first_day, p.days, p.site->number("latitude"),
                                            p.site->number("longitude"), utc_offset_h);
        skies.insert(skies.end(), here.begin(), here.end());
    }
    return skies;
}

weather::PlaneFactors place_planes(const std::vector<Place>& places, const std::vector<sun::SkyDay>& skies,
                                   const Configuration& van, const solar::Horizon& horizon, const ClockSteps& steps,
                                   std::vector<solar::PlaneNumbers>& tables) {
    const auto days_of = [&](const Place& p) {
        return std::span(skies).subspan(static_cast<std::size_t>(p.first_day), static_cast<std::size_t>(p.days));
    };
    for (int part = 0; part < steps.parts(); ++part) {
        std::vector<solar::PlaneNumbers> here;
        for (const Place& p : places)
            solar::append_plane_tables(here, van, days_of(p), p.site->number("albedo"), horizon, steps.ahead_h(part),
                                       part > 0);
        solar::add_part(tables, here);
    }
    weather::PlaneFactors all;
    for (const Place& p : places) {
        const solar::Plane own = solar::plane_of(solar::array_of_weather(van), p.site->number("latitude"));
        const auto here = solar::plane_factors(days_of(p), own, p.site->number("albedo"), horizon);
        all.beam.insert(all.beam.end(), here.beam.begin(), here.beam.end());
        all.sky.insert(all.sky.end(), here.sky.begin(), here.sky.end());
        all.ground.insert(all.ground.end(), here.ground.begin(), here.ground.end());
    }
    return all;
}

std::vector<weather::ClimateDays> climates_of(const std::vector<Place>& places) {
    std::vector<weather::ClimateDays> out;
    out.reserve(places.size());
    for (const Place& p : places) out.push_back({p.climate.get(), p.days});
    return out;
}

// Normals of one source, such as a default for the whole Earth, are off together rather than each by itself.
static bool shares_error(const Configuration& a, const Configuration& b) {
    if (a == b) return true;
    if (a.text("source").empty() || a.text("source") != b.text("source")) return false;
    const auto equal = [&](const char* field) { return a.at(field) == b.at(field); };
    return equal("ghi_scale") && equal("air_temp_offset_k") && equal("clearness_lag1");
}

std::vector<PlaceParameters> compile_places(const std::vector<Place>& places, const Plan& plan,
                                            random::ParameterTable& table) {
    const PlaceParameters first{plan.weather.clearness_lag1, plan.weather.ghi_scale, plan.shade_beam, plan.shade_sky,
                                plan.weather.air_temp_offset_k};
    std::vector<PlaceParameters> all(places.size(), first);
    for (std::size_t i = 0; i < places.size(); ++i) {
        const Place& p = places[i];
        std::size_t same = 0;  // a climate met again keeps its error, and so does one of the same source
        const ConfigurationPtr said = p.site->part("climate");
        while (!shares_error(*places[same].site->part("climate"), *said)) ++same;
        if (same < i) {
            all[i].lag = all[same].lag;
            all[i].scale = all[same].scale;
            all[i].air_offset = all[same].air_offset;
        } else if (i > 0) {
            all[i].lag = table.add(*p.climate, "clearness_lag1", p.path + "site.climate.");
            all[i].scale = table.add(*p.climate, "ghi_scale", p.path + "site.climate.", 1);
            all[i].air_offset = table.add(*p.climate, "air_temp_offset_k", p.path + "site.climate.");
        }
        if (p.stop->has("shade_beam")) all[i].shade_beam = table.add(*p.stop, "shade_beam", p.path);
        if (p.stop->has("shade_sky")) all[i].shade_sky = table.add(*p.stop, "shade_sky", p.path);
    }
    return all;
}

}  // namespace ridethrough::trip
