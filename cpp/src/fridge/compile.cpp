#include "ridethrough/base/math.hpp"
#include "ridethrough/fridge/schemas.hpp"

namespace ridethrough::fridge {
using config::Configuration;
using config::ConfigurationPtr;

namespace {

constexpr double kUprightLeak = 1.08, kUprightDoors = 2;  // against a chest, see Fridge.form

void add_parts(const Configuration& fridge, Model& m, random::ParameterTable& table) {
    if (fridge.has("initial_inside_c")) m.initial_inside_c = table.add(fridge, "initial_inside_c", "fridge.");
    if (has_ice(fridge)) {
        m.ice_kg = table.add(fridge, "ice_kg", "fridge.");
        m.ice_coupling = table.add(fridge, "ice_coupling_w_per_k", "fridge.");
    }
    if (const ConfigurationPtr c = fridge.part("cover"))
        m.cover_factor = table.add(*c, "heat_leak_factor", "fridge.cover.");
    if (const ConfigurationPtr f = fridge.part("vent_fan")) {
        m.fan_a = table.add(*f, "current_a", "fridge.vent_fan.");
        m.vent_factor = table.add(*f, "vent_rise_factor", "fridge.vent_fan.");
    }
    if (const ConfigurationPtr b = fridge.part("freezer_box")) {
        const std::string at = "fridge.freezer_box.";
        m.freezer_capacity = table.add(*b, "heat_capacity_kj_per_k", at, b->number("volume_l"));
        m.freezer_coupling = table.add(*b, "coupling_w_per_k", at);
        m.freezer_leak = table.add(*b, "heat_leak_share", at);
        m.freezer_cooling = table.add(*b, "cooling_share", at);
        m.evaporator_c = b->number("evaporator_c");
    }
    if (const ConfigurationPtr n = fridge.part("night_set_back")) {
        m.set_back_k = n->number("rise_k");
        m.set_back_from_h = n->integer("from_h");
        m.set_back_to_h = n->integer("to_h");
    }
    if (const ConfigurationPtr p = fridge.part("medicine")) {
        m.coldest_k = table.add(*p, "coldest_place_k", "fridge.medicine.");
        m.warmest_k = table.add(*p, "warmest_place_k", "fridge.medicine.");
    }
}

}  // namespace

Model compile(const Configuration& f, random::ParameterTable& table) {
    const std::string at = "fridge.";
    const double volume = f.number("volume_l") / 55;
    const bool upright = f.text("form") == "upright";
    Model m;
    m.ua_w_per_k = table.add(f, "ua_w_per_k", at, base::pow(volume, 0.74) * (upright ? kUprightLeak : 1));
    m.heat_leak_factor = table.add(f, "heat_leak_factor", at);
    m.heat_capacity_kj_per_k = table.add(f, "heat_capacity_kj_per_k", at, 30 * volume);
    m.compressor_w = table.add(f, "compressor_w", at, usual_compressor_w(f.number("volume_l")));
    m.carnot_share = table.add(f, "carnot_share", at);
    m.vent_rise_k = table.add(f, "vent_rise_k", at);
    m.start_loss_s = table.add(f, "start_loss_s", at);
    m.door_openings = table.add(f, "door_openings_per_day", at);
    m.cutout_v = table.add(f, "cutout_v", at);
    m.restart_v = table.add(f, "restart_v", at);
    table.require_above(m.restart_v, m.cutout_v);
    m.set_point_c = f.number("set_point_c");
    m.hysteresis_k = f.number("hysteresis_k");
    m.carnot_loss_per_k = f.number("carnot_share_loss_per_k");
    m.door_opening_wh_per_k = f.number("door_opening_wh") / 28 * (upright ? kUprightDoors : 1);
    m.cutout_delay_h = f.number("cutout_delay_s") / 3600;
    m.restart_wait_h = f.number("restart_wait_s") / 3600;
    m.draws = table.draws("load.fridge", 2);
    add_parts(f, m, table);
    return m;
}

}  // namespace ridethrough::fridge
