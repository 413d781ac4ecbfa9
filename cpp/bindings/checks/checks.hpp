// Parts of ridethrough._checks: what tests look at inside the core, and toys with exact answers. Not in the package.
#pragma once

#include "../bindings.hpp"
#include "../climate.hpp"
#include "../ensemble.hpp"

void bind_arrays(py::module_& m);
void bind_beta(py::module_& m);
void bind_clearness(py::module_& m);
void bind_draws(py::module_& m);
void bind_packs(py::module_& m);
void bind_planes(py::module_& m);
void bind_walks(py::module_& m);
void bind_weather(py::module_& m);
