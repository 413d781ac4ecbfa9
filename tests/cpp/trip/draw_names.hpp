// Under which name each quantity of a van and a trip is drawn: vans and trips that between them have every part, with
// whatever is left out by default. tests/data/draw_names.txt holds the expected text of report().
#pragma once

#include <map>
#include <set>
#include <sstream>

#include "ridethrough/loads/schemas.hpp"
#include "ridethrough/random/purpose.hpp"
#include "trip/van_fixture.hpp"

namespace draw_names {
using namespace ridethrough;
using config::Configuration;
using config::ConfigurationPtr;
using config::Field;
using config::Schema;
using config::Values;
using Parts = std::vector<ConfigurationPtr>;

inline bool varies(const Field& f) {
    return f.type == config::FieldType::number && f.variation != config::Variation::fixed;
}

// A part with all that varies, also what has no number by default, or one of 0 that means that there is none.
inline ConfigurationPtr full(const std::string& name, Values values = {}) {
    for (const Field& f : trip::schema_named(name).fields) {
        const auto* number = std::get_if<double>(&f.default_value);
        const bool none = std::holds_alternative<std::monostate>(f.default_value) || (number && *number == 0);
        if (varies(f) && none) values.insert({f.name, f.low + 0.3 * (f.high - f.low)});
    }
    return van_fixture::make(name, values);
}

inline Parts all_loads_but(const std::string& left_out) {
    Parts loads;
    for (const Schema* s : loads::load_schemas()) {
        if (s->name == left_out) continue;
        Values values;
        if (std::holds_alternative<std::monostate>(s->field("name").default_value)) values["name"] = "my_" + s->name;
        if (s->name == "Appliance") values["start_duration_min"] = 1.0;
        loads.push_back(full(s->name, values));
    }
    return loads;
}

struct Case {
    ConfigurationPtr van, trip;
};

inline std::vector<Case> cases() {
    using van_fixture::make;
    const Values unmeasured{{"measured_capacity_ah", std::monostate{}}}, pwm{{"charge_controller", std::string("pwm")}};
    const auto named = [](const char* name, Values values = {}) {
        values["name"] = std::string(name);
        return values;
    };
    Values weeks = unmeasured;
    weeks["weeks_at_partial_charge"] = 8.0;
    const ConfigurationPtr agm = full("AgmBattery", weeks);
    Values fridge;
    for (const auto& [part, kind] : std::map<std::string, std::string>{{"freezer_box", "FreezerBox"},
                                                                       {"cover", "InsulatedCover"},
                                                                       {"vent_fan", "VentFan"},
                                                                       {"medicine", "Medicine"}})
        fridge[part] = full(kind);
    fridge["ice_kg"] = 0.0;  // goes with no freezer box
    const ConfigurationPtr mppt_van =
        full("Van", {{"batteries", Parts{agm, agm}},
                     {"arrays", Parts{full("SolarArray"), full("SolarArray", named("awning")), full("PortableArray")}},
                     {"snow_and_frost", full("SnowAndFrost")},
                     {"dc_dc", full("DcDcCharger", {{"restart_v", 13.5}})},
                     {"mains", full("MainsCharger")},
                     {"fridge", full("Fridge", fridge)},
                     {"disconnect", full("SystemDisconnect")},
                     {"water", full("WaterTanks")},
                     {"loads", all_loads_but("GasFurnace")}});
    const ConfigurationPtr pwm_van = full(
        "Van", {{"battery", full("LithiumBattery", unmeasured)},
                {"fridge", full("Fridge")},
                {"arrays",
                 Parts{full("SolarArray", pwm), full("SolarArray", named("awning", pwm)), full("PortableArray", pwm)}},
                {"dc_dc", full("AlternatorCable")},
                {"loads", Parts{full("GasFurnace"), make("WaterPump")}}});
    const ConfigurationPtr measured_agm = full("Van", {{"batteries", Parts{full("AgmBattery"), full("AgmBattery")}}});
    const ConfigurationPtr measured_lfp = full("Van", {{"battery", full("LithiumBattery")}});

    const auto site = [](double clearness) {
        return make("Site", {{"latitude", 36.0},
                             {"longitude", -80.0},
                             {"climate", fixture::climate_at(36, -80, clearness, {{"ghi_scale", 1.1}})}});
    };
    const std::string start = "2026-11-06 15:00";
    const ConfigurationPtr one_place = full("Trip", {{"site", site(0.4)},
                                                     {"start", start},
                                                     {"nights", 2.0},
                                                     {"idling", van_fixture::planned("Idle", {2})},
                                                     {"storage", full("Storage")},
                                                     {"party", full("Party", {{"carelessness", 1.0}})}});
    const ConfigurationPtr stops =
        full("Trip", {{"start", start},
                      {"idling", van_fixture::planned("Idle", {2})},
                      {"stops", Parts{full("Stop", {{"name", std::string("lake")}, {"site", site(0.4)}}),
                                      full("Stop", {{"name", std::string("hills")}, {"site", site(0.5)}})}}});
    return {{mppt_van, one_place}, {pwm_van, stops}, {measured_agm, one_place}, {measured_lfp, one_place}};
}

// What a trip plans has no name, and nothing in it is drawn.
inline bool is_named(const Configuration& r) {
    return std::ranges::any_of(r.schema().fields, [](const Field& f) { return f.name == "name"; });
}

// Calls seen(path, configuration) for a van or a trip and all that is in it; a path ends in a dot, or is empty.
template <class Seen>
void walk(const Configuration& r, const std::string& path, const Seen& seen) {
    seen(path, r);
    for (const Field& f : r.schema().fields) {
        const config::Value& value = r.at(f.name);
        const std::string at = path == "trip.site." ? "" : path;
        if (const auto* part = std::get_if<ConfigurationPtr>(&value)) walk(**part, at + f.name + ".", seen);
        const auto* parts = std::get_if<Parts>(&value);
        for (std::size_t i = 0; parts && i < parts->size(); ++i)
            if (is_named(*(*parts)[i]) || r.schema().name == "Van")
                walk(*(*parts)[i], at + r.paths_of(f.name)[i] + ".", seen);
    }
}

struct Table {
    std::map<std::string, std::string> fields;  // name of a draw, public path: the shorter where a van may have several
    std::set<std::string> fixed;                // names of draws that belong to no field
    std::set<std::string> declared;             // "Fridge.cutout_v", of those that stand in a compiled trip
};

inline Table table() {
    Table out{{}, {"weather.replay"}, {}};  // its purpose is the kernel's own
    for (const Case& c : cases()) {
        const trip::CompiledTrip compiled(c.van, c.trip);
        std::set<std::string> here;
        std::map<std::string, std::string> drawn;  // of one van, in which no two quantities may be the same
        for (const random::Parameter& p : compiled.parameters()) {
            if (p.path.empty()) continue;
            const std::string draw = "spread." + p.draw;
            if (p.purpose == random::purpose(p.draw)) {
                out.fixed.insert(p.draw);
                continue;
            }
            here.insert(p.path);
            const std::string& other = drawn.emplace(draw, p.path).first->second;
            if (other != p.path) throw std::logic_error(p.path + " and " + other + " are drawn as " + draw);
            if (p.spread && p.purpose != random::purpose(draw))
                throw std::logic_error(p.path + " is not drawn as " + draw);
            std::string& path = out.fields.emplace(draw, p.path).first->second;
            if (p.path.size() < path.size()) path = p.path;
        }
        for (const random::DrawPurpose& p : compiled.table().purposes()) out.fixed.insert(p.name);
        const auto note = [&](const std::string& path, const Configuration& r) {
            for (const Field& f : r.schema().fields)
                if (here.contains(path + f.name)) out.declared.insert(r.schema().name + "." + f.name);
        };
        walk(*c.van, "", note);
        walk(*c.trip, "trip.", note);
    }
    return out;
}

inline std::string report(const Table& table) {
    std::ostringstream out;
    std::map<std::string, std::string> by_path;
    for (const auto& [draw, path] : table.fields) by_path[path] = draw;
    for (const auto& [path, draw] : by_path) out << path << " -> " << draw << "\n";
    for (const std::string& name : table.fixed) out << "(no field) -> " << name << "\n";
    return out.str();
}

}  // namespace draw_names
