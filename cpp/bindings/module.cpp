#include "bindings.hpp"

// Nothing here keeps global state that threads change: configurations are immutable.
PYBIND11_MODULE(_core, m, py::mod_gil_not_used()) {
    m.doc() = "The compiled core of ridethrough.";
    bind_base(m);
    bind_random(m);
    bind_climate(m);
    bind_estimate(m);
    bind_clock(m);
    bind_results(m);
    bind_trip(m);
    bind_cautions(m);
    bind_forecast(m);
}
