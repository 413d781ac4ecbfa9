// To whom what is not known of each quantity belongs.
#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "trip/van_fixture.hpp"

using namespace ridethrough;

TEST_CASE("each quantity of the default van belongs to the van, the people, the trip or the model") {
    const auto compiled = van_fixture::compile(van_fixture::make("Van"), van_fixture::plan(van_fixture::site(), 2));
    std::map<std::string_view, std::set<std::string>> found;
    for (const random::Parameter& p : compiled->parameters())
        if (!p.path.empty()) found[config::name_of(p.owner)].insert(p.path);
    CHECK(found["van"] == std::set<std::string>{"battery.acceptance_per_h",
                                                "battery.capacity_ah",
                                                "battery.capacity_factor_0c",
                                                "battery.resistance_mohm_100ah",
                                                "battery.state_of_health",
                                                "battery.thermal_lag_h",
                                                "cabin_heat_loss_w_per_k",
                                                "cabin_lag_h",
                                                "cabin_sun_rise_k_per_w_m2",
                                                "dc_dc.alternator_swing_v",
                                                "dc_dc.alternator_v",
                                                "dc_dc.current_a",
                                                "dc_dc.cycling_share",
                                                "dc_dc.efficiency",
                                                "dc_dc.lockout_v",
                                                "fridge.carnot_share",
                                                "fridge.cutout_v",
                                                "fridge.heat_leak_factor",
                                                "fridge.restart_v",
                                                "fridge.start_loss_s",
                                                "fridge.vent_rise_k",
                                                "loads.fan.current_a",
                                                "loads.fan.fitted_probability",
                                                "loads.fan.ventilation",
                                                "loads.heater.full_current_a",
                                                "loads.heater.glow_current_a",
                                                "loads.heater.low_current_a",
                                                "loads.heater.starts_above_v",
                                                "loads.inverter.branch_mohm",
                                                "loads.inverter.cutout_v",
                                                "loads.inverter.idle_current_a",
                                                "loads.inverter.restart_v",
                                                "loads.laptop.current_a",
                                                "loads.lights.current_a",
                                                "loads.standby.current_a",
                                                "loads.water_pump.current_a",
                                                "solar.cell_rise_factor",
                                                "solar.dark_shunt_share",
                                                "solar.power_loss_per_k",
                                                "solar.self_consumption_ma",
                                                "solar.soiling_loss",
                                                "solar.system_loss",
                                                "solar.rated_w",
                                                "solar.controller_efficiency",
                                                "solar.controller_starts_above_battery_v",
                                                "solar.controller_stays_above_battery_v",
                                                "wiring.fridge_branch_mohm",
                                                "wiring.shared_mohm"});
    CHECK(found["person"] ==
          std::set<std::string>{
              "battery.initial_soc", "cabin_person_heat_w", "window_ventilation", "fridge.door_openings_per_day",
              "loads.heater.set_point_c", "loads.heater.night_set_point_c", "loads.heater.switch_on_below_c",
              "loads.inverter.duration_h", "loads.inverter.left_on_probability", "loads.inverter.daily_probability",
              "loads.laptop.duration_h", "loads.laptop.daily_probability", "loads.phones.charge_ah",
              "loads.water_pump.water_l_per_day", "trip.habits_scale", "trip.warm_food_kg"});
    CHECK(found["trip"] == std::set<std::string>{"trip.shade_beam", "trip.shade_sky"});
    CHECK(found["model"] == std::set<std::string>{"battery.acceptance_exponent", "battery.acceptance_halving_k",
                                                  "battery.polarisation_factor",
                                                  "battery.open_circuit_voltage_offset_v", "climate.air_temp_offset_k",
                                                  "climate.clearness_lag1", "climate.ghi_scale",
                                                  "snow_and_frost.clears_after_wh_m2", "snow_and_frost.transmittance",
                                                  "snow_and_frost.film_probability"});
    CHECK(found.size() == 4);
}
