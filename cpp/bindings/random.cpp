// The key of a purpose: Python spreads a choice over streams of its own.
#include "bindings.hpp"
#include "ridethrough/random/purpose.hpp"

void bind_random(py::module_& m) {
    m.def(
        "purpose_hash", [](const std::string& name) { return ridethrough::random::purpose(name); }, py::arg("name"),
        "32-bit key of a dotted purpose name (FNV-1a).");
}
