#include "ridethrough/engine/scores.hpp"

#include <algorithm>
#include <array>
#include <map>

#include "ridethrough/base/math.hpp"

namespace ridethrough::engine {

namespace {

// Fields, by the names of their draws, whose place among the coordinates is older than the order in which components
// now add their parameters: a point of a low-discrepancy sequence, or a direction of importance sampling, means the
// same ever after. Never reorder.
constexpr std::array kFirst{"battery.capacity_ah",
                            "battery.state_of_health",
                            "battery.start_charge",
                            "battery.resistance_mohm_100ah",
                            "battery.rest_voltage_offset_v",
                            "battery.polarisation_factor",
                            "battery.capacity_factor_0c",
                            "battery.acceptance_per_h",
                            "battery.charge_c_rate",
                            "battery.coulombic_efficiency",
                            "battery.cabin_share",
                            "battery.thermal_lag_h",
                            "battery.wakes_itself_share",
                            "wiring.shared_mohm",
                            "wiring.fridge_branch_mohm",
                            "solar.rated_w",
                            "solar.dirt_loss",
                            "solar.other_loss",
                            "solar.regulator_efficiency",
                            "dc_dc.current_a",
                            "dc_dc.efficiency",
                            "dc_dc.alternator_v",
                            "dc_dc.supply_mohm",
                            "dc_dc.lockout_v",
                            "mains.current_a",
                            "fridge.ua_w_per_k",
                            "fridge.heat_leak_factor",
                            "fridge.heat_capacity_kj_per_k",
                            "fridge.compressor_w",
                            "fridge.carnot_share",
                            "fridge.vent_rise_k",
                            "fridge.door_openings_per_day",
                            "fridge.cutout_v",
                            "fridge.restart_v",
                            "disconnect.cutout_v",
                            "disconnect.restart_v",
                            "cabin_sun_rise_k_per_w_m2",
                            "cabin_person_heat_w",
                            "cabin_heat_loss_w_per_k",
                            "trip.shade_beam",
                            "trip.shade_sky",
                            "trip.habits_scale",
                            "trip.warm_food_kg",
                            "climate.ghi_scale",
                            "climate.clearness_lag1",
                            "climate.air_temp_offset_k"};

std::size_t rank(const std::string& draw) {
    return static_cast<std::size_t>(std::find(kFirst.begin(), kFirst.end(), draw) - kFirst.begin());
}

}  // namespace

std::vector<std::size_t> spreads_in_order(const trip::CompiledTrip& compiled) {
    const auto& parameters = compiled.parameters();
    std::vector<std::size_t> spread;
    for (std::size_t i = 0; i < parameters.size(); ++i)
        if (parameters[i].spread) spread.push_back(i);
    std::stable_sort(spread.begin(), spread.end(),
                     [&](std::size_t a, std::size_t b) { return rank(parameters[a].draw) < rank(parameters[b].draw); });
    return spread;
}

std::vector<Coordinate> coordinates(const trip::CompiledTrip& compiled) {
    std::vector<Coordinate> all;
    if (!compiled.replay())
        for (const random::DrawPurpose& w : compiled.table().purposes())
            if (w.name == "weather.clearness" || w.name == "weather.temperature")
                for (int day = 0; day < compiled.drawn_days(); ++day)
                    all.push_back({w.name, day, w.first + day, Half::normal, {}});
    std::map<std::uint32_t, std::vector<Coordinate::Place>> drawn_together;  // one draw serves all of a purpose
    const auto& parameters = compiled.parameters();
    int daily = 0;
    for (std::size_t i = 0; i < parameters.size(); ++i)
        if (parameters[i].spread)
            drawn_together[parameters[i].purpose].push_back(
                {random::ParameterIndex(static_cast<int>(i)),
                 parameters[i].daily ? std::optional(daily++) : std::nullopt});
    for (const std::size_t i : spreads_in_order(compiled)) {
        const auto& places = drawn_together[parameters[i].purpose];
        if (places.front().parameter.place() != static_cast<int>(i)) continue;
        Coordinate c{.name = parameters[i].path, .places = places};
        if (!parameters[i].daily) all.push_back(c);
        for (int day = 0; parameters[i].daily && day < compiled.days(); ++day) {
            c.day = day;
            all.push_back(c);
        }
    }
    return all;
}

Coordinate coordinate_of_draw(const trip::CompiledTrip& compiled, const std::string& purpose, int day, int i,
                              Half half) {
    for (const random::DrawPurpose& p : compiled.table().purposes()) {
        if (p.name != purpose) continue;
        if (!(day >= 0 && day < compiled.drawn_days()))
            throw base::InputError({.path = "day",
                                    .value = std::to_string(day),
                                    .allowed = "0 to " + std::to_string(compiled.drawn_days() - 1)});
        if (!(i >= 0 && i < p.a_day))
            throw base::InputError(
                {.path = "draw",
                 .value = std::to_string(i),
                 .allowed = "0 to " + std::to_string(p.a_day - 1) + ", the draws of \"" + purpose + "\" in a day"});
        return {purpose, day, p.first + day * p.a_day + i, half, {}};
    }
    throw base::InputError(
        {.path = "purpose", .value = "\"" + purpose + "\"", .reason = "the trip draws nothing under that name"});
}

std::uint64_t with_score(std::uint64_t draw, Half half, double score, double tail) {
    const auto from_end = std::min<std::uint64_t>(static_cast<std::uint64_t>(tail * 0x1p32), 0x7fffffffu);
    const std::uint64_t number = score < 0 ? from_end : 0xffffffffu - from_end;
    return half == Half::normal ? (number << 32) | (draw & 0xffffffffu) : (draw & ~std::uint64_t{0xffffffffu}) | number;
}

double inside_uniform(double probability) { return std::clamp(probability, 0x1p-33, 1 - 0x1p-33); }

}  // namespace ridethrough::engine
