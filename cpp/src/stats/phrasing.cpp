#include "ridethrough/stats/phrasing.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "ridethrough/base/text.hpp"

namespace ridethrough::stats {
namespace {

void require_probability(const Estimate& e) {
    if (e.events != Estimate::not_counted) require_counts(e.events, e.trials);  // weighted trials have no count
    if (!(e.value >= 0 && e.value <= 1 && e.low >= 0 && e.low <= e.value && e.high >= e.value && e.high <= 1))
        throw base::InputError(
            {.path = "value", .value = base::number_text(e.value), .allowed = "a probability inside its limits"});
}

std::string fixed(double x, int decimals) {
    char text[64];
    return {text, std::to_chars(text, text + sizeof text, x, std::chars_format::fixed, decimals).ptr};
}

std::string trials_text(std::int64_t n) { return grouped(n) + (n == 1 ? " trial" : " trials"); }

// The step a person rounds to: 1 up to 20, 5 up to 50, 10 up to 200, 50 up to 500 and so on.
double spoken_step(double n) {
    double step = 1;
    while (n >= 200 * step) step *= 10;
    if (n < 20 * step) return step;
    return n < 50 * step ? 5 * step : 10 * step;
}

// Decimals of the value in percent: two significant digits of the rarer outcome, and more where a large sample has
// earned them: the rounded value lies inside the limits, and one decimal more than it has tells them apart.
int decimals_of(const Estimate& e) {
    constexpr int most = 12;
    double rarer = std::min(e.value, 1 - e.value);
    if (rarer == 0) rarer = e.value == 0 ? e.high : 1 - e.low;  // at 0 and 100 % the far limit sets the digits
    double scale = 1;
    for (int decimals = 0; decimals < most; ++decimals, scale *= 10) {
        const double rounded = std::round(100 * e.value * scale) / (100 * scale);
        if (std::round(100 * rarer * scale) >= 10 && rounded >= e.low && rounded <= e.high &&
            1000 * scale * e.half_width() >= 1)
            return decimals;
    }
    return most;
}

}  // namespace

std::string grouped(std::int64_t count) {
    std::string text = std::to_string(count);
    const int sign = count < 0 ? 1 : 0;
    for (int i = static_cast<int>(text.size()) - 3; i > sign; i -= 3) text.insert(static_cast<std::size_t>(i), 1, ',');
    return text;
}

std::string chance_text(const Estimate& e) {
    require_probability(e);
    // What happened in all or none of fewer than about five trials may well be as likely as not.
    const bool counted = e.events != Estimate::not_counted;
    const double bound = counted ? zero_event_bound(e.trials, e.confidence) : e.high;
    const std::string doubt = bound > 0.5 ? ", too few to say" : "";
    if (e.events == e.trials) return "All of " + trials_text(e.trials) + doubt;
    if (e.value == 0 && bound > 0.5) return "None in " + trials_text(e.trials) + doubt;
    if (e.value == 0) {
        const double n = 1 / bound, step = spoken_step(n);
        const auto spoken = static_cast<std::int64_t>(std::floor(n / step) * step);  // down: the bound must still hold
        return "Fewer than 1 in " + grouped(spoken) + " (" + base::number_text(std::round(e.confidence * 1e8) / 1e6) +
               " %)";
    }
    if (e.value >= 0.95) return "Nearly all";
    if (3 * e.value > 1) return "About " + std::to_string(std::lround(e.value * 10)) + " in 10";
    const double n = 1 / e.value, step = spoken_step(n);
    return "About 1 in " + grouped(static_cast<std::int64_t>(std::round(n / step) * step));
}

std::string estimate_text(const Estimate& e) {
    require_probability(e);
    const int decimals = decimals_of(e);
    const auto limit = [&](double x) { return x == 0 ? "0" : x == 1 ? "100" : fixed(100 * x, decimals + 1); };
    const std::string value = e.value == 0 ? "0" : e.value == 1 ? "100" : fixed(100 * e.value, decimals);
    return value + " %; sampling error alone " + limit(e.low) + "-" + limit(e.high) + " %, " + trials_text(e.trials);
}

}  // namespace ridethrough::stats
