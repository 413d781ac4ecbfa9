#include "ridethrough/circuit/schemas.hpp"

#include "ridethrough/config/declare.hpp"

namespace ridethrough::circuit {
using namespace config;

const Schema& wiring_schema() {
    static const Schema schema{
        "Wiring",
        "Loop resistance, there and back, between the battery and the fridge: a part shared by all loads on the "
        "distribution and a branch of the fridge's own.",
        {
            number("shared_mohm", "mohm", Variation::trial, {0, 500}, Spread::triangular(12, 20, 32), from_memory(),
                   "battery terminals to distribution, with fuse and isolator"),
            number("fridge_branch_mohm", "mohm", Variation::trial, {0, 1000}, Spread::triangular(26, 40, 62),
                   from_memory(), "distribution to fridge terminals, with plug"),
        }};
    return schema;
}

const Schema& system_disconnect_schema() {
    static const Schema schema{"SystemDisconnect",
                               "A low-voltage disconnect that drops every load, measured at the distribution.",
                               {
                                   number("cutout_v", "V", Variation::trial, {9, 12.6}, 10.8, common_practice(),
                                          "it opens when the distribution stays below this voltage"),
                                   number("restart_v", "V", Variation::trial, {9.5, 14}, 12.2, from_memory(),
                                          "it closes again at or above this voltage"),
                                   number("cutout_delay_s", "s", Variation::fixed, {0, 600}, 60.0, from_memory(),
                                          "how long the voltage has to stay below"),
                               }};
    return schema;
}

WiringModel compile_wiring(const Configuration& w, random::ParameterTable& table) {
    return {table.add(w, "shared_mohm", "wiring."), table.add(w, "fridge_branch_mohm", "wiring.")};
}

DisconnectModel compile_disconnect(const ConfigurationPtr& d, random::ParameterTable& table) {
    if (!d) return {};
    const DisconnectModel m{true, d->number("cutout_delay_s") / 3600, table.add(*d, "cutout_v", "disconnect."),
                            table.add(*d, "restart_v", "disconnect.")};
    table.require_above(m.restart_v, m.cutout_v);
    return m;
}

}  // namespace ridethrough::circuit
