// Charge profile, DC-DC charger and mains charger.
#pragma once

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::charging {

const config::Schema& charge_profile_schema();
const config::Schema& dc_dc_charger_schema();
const config::Schema& mains_charger_schema();
const config::Schema& alternator_link_schema();
const config::Schema& generator_schema();

// What a profile comes to, ready-made or in numbers.
struct ProfileStages {
    double absorption_v, float_v, absorption_limit_h, tail_c_rate;
    bool lithium;  // what it is meant for
};
ProfileStages profile_stages(const config::Record& profile);
// The battery's own where no profile is given: lithium needs no long absorption; common practice, no source.
ProfileStages own_stages(bool lithium);

// The default of a `profile` field: none given means the battery's own chemistry.
config::Field profile_field();

}  // namespace ridethrough::charging
