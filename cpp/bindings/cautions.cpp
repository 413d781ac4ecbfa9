// What can hurt somebody in a van or a plan.
#include "ridethrough/trip/cautions.hpp"

#include "bindings.hpp"

void bind_cautions(py::module_& m) {
    namespace est = ridethrough::trip;
    m.attr("CAUTION") = est::kPlanningAid;
    m.attr("CARBON_MONOXIDE") = est::kCarbonMonoxide;
    m.attr("LEAD_ACID_INSIDE") = est::kLeadAcidInside;
    m.attr("LITHIUM_INSIDE") = est::kLithiumInside;
    m.attr("MEDICINE") = est::kMedicine;
    m.def(
        "cautions",
        [](const ridethrough::config::ConfigurationPtr& van, const ridethrough::config::ConfigurationPtr& trip) {
            return est::cautions(*van, *trip);
        },
        py::arg("van"), py::arg("trip"),
        "Sentences for a verdict; loads that people depend on are told about, never judged.");
    m.def(
        "refuse_life_support", [](const std::vector<std::string>& load_names) { est::refuse_life_support(load_names); },
        py::arg("load_names"), "InputError where a load is one that no probability is told of.");
}
