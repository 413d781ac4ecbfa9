// A probability the way a person says it, and the figures that stand behind it.
#pragma once

#include <cstdint>
#include <string>

#include "ridethrough/stats/interval.hpp"

namespace ridethrough::stats {

// "About 1 in 8" up to a third, "About 4 in 10" above, "Nearly all" from 95 %, "All of 500 trials" where it always
// happened, "Fewer than 1 in 6,000 (95 %)" where it never did. Never a guarantee: print estimate_text beside it.
std::string chance_text(const Estimate& estimate);

// "12 %; sampling error alone 11.9-12.9 %, 20,000 trials": two significant digits of the rarer outcome, more where the
// sample is large enough to tell, and one more for the interval.
std::string estimate_text(const Estimate& estimate);

// 20000 as "20,000".
std::string grouped(std::int64_t count);

}  // namespace ridethrough::stats
