// Wires and a system disconnect, as compiled.
#pragma once

#include "ridethrough/random/parameters.hpp"

namespace ridethrough::circuit {

struct WiringModel {
    random::ParameterIndex shared_mohm, branch_mohm;
};
struct DisconnectModel {
    bool fitted = false;
    double delay_h = 0;
    random::ParameterIndex cutout_v, restart_v;
};

}  // namespace ridethrough::circuit
