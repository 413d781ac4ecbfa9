// Inverse of the PERT distribution: a beta of parameters a and 6 - a on [0, 1] with 1 <= a <= 5.
#pragma once

#include <vector>

namespace ridethrough::config {

// 129 nodes for each tail: within 3e-10 of the width, for 40 ns a draw.
std::vector<double> pert_table(double a);
double pert_quantile(const std::vector<double>& table, double a, double u);  // u in (0, 1)

}  // namespace ridethrough::config
