// What can hurt somebody in a van or a plan.
#include "ridethrough/trip/cautions.hpp"

#include "bindings.hpp"

void bind_cautions(py::module_& m) {
    namespace trip = ridethrough::trip;
    m.attr("CAUTION") = trip::kPlanningAid;
    m.attr("CARBON_MONOXIDE") = trip::kCarbonMonoxide;
    m.attr("LEAD_ACID_INSIDE") = trip::kLeadAcidInside;
    m.attr("LITHIUM_INSIDE") = trip::kLithiumInside;
    m.attr("MEDICINE") = trip::kMedicine;
    m.def(
        "cautions",
        [](const ridethrough::config::ConfigurationPtr& van, const ridethrough::config::ConfigurationPtr& trip) {
            return trip::cautions(*van, *trip);
        },
        py::arg("van"), py::arg("trip"),
        "Sentences for a verdict; loads that people depend on are named, never judged.");
    m.def(
        "refuse_life_support",
        [](const std::vector<std::string>& load_names) { trip::refuse_life_support(load_names); },
        py::arg("load_names"), "InputError where a load is one that no probability is given for.");
}
