// The project's elementary functions. Templates over packs come from the two headers below; this one adds them for
// plain doubles, built on packs of one lane and compiled once (math.cpp), for set-up code: base::exp(x).
#pragma once

#include "ridethrough/simd/elementary.hpp"
#include "ridethrough/simd/normal.hpp"

namespace ridethrough::base {

double exp(double x);
double expm1(double x);
double log(double x);
double log1p(double x);
double pow(double x, double y);  // x > 0
double sin(double x);            // |x| < 1e5 rad
double cos(double x);
double acos(double x);             // rad, within 2.5 ulp; NaN outside [-1, 1]
double asin(double x);             // rad, within 2 ulp
double atan2(double y, double x);  // rad, in (-pi, pi], within 2 ulp; at most one argument may be infinite
double inverse_normal(double u);   // relative error below 3e-15
double normal_cdf(double z);       // within 6 ulp, in the lower tail too

}  // namespace ridethrough::base
