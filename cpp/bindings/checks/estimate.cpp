// The beta function under the intervals.
#include "checks.hpp"
#include "ridethrough/stats/beta.hpp"
#include "ridethrough/stats/interval.hpp"

void bind_beta(py::module_& m) {
    namespace est = ridethrough::stats;
    m.def("zero_event_bound", &est::zero_event_bound, py::arg("trials"), py::arg("confidence") = 0.95,
          "One-sided bound on a probability of which no event was seen: about 3 / trials at 95 %.");
    m.def("incomplete_beta", &est::incomplete_beta, py::arg("a"), py::arg("b"), py::arg("x"),
          "Regularised incomplete beta function, for tests.");
    m.def("beta_quantile", &est::beta_quantile, py::arg("p"), py::arg("a"), py::arg("b"),
          "Its inverse in x, for tests.");
}
