// The declared results, causes of a cut-out and hourly time series as numbers, for the kernel: no text comes along.
#pragma once

namespace ridethrough::engine {

enum Column : int {
#define RT_RESULT(id, ...) id,
#include "ridethrough/engine/results.def"
    kColumns
};

enum Cause : int {
#define RT_CAUSE(id, ...) id,
#include "ridethrough/engine/results.def"
    kCauses
};

enum Series : int {
#define RT_SERIES(id, ...) id,
#include "ridethrough/engine/results.def"
    kSeriesCount
};

}  // namespace ridethrough::engine
