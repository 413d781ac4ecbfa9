#include "ridethrough/stats/interval.hpp"

#include <cmath>
#include <string>

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/text.hpp"
#include "ridethrough/stats/beta.hpp"

namespace ridethrough::stats {

void require_confidence(double confidence) {
    // The upper end keeps 1 - confidence meaningful in double precision.
    if (!(confidence > 0 && confidence <= 1 - 1e-9))
        throw base::InputError(
            {.path = "confidence", .value = base::number_text(confidence), .allowed = "more than 0 up to 0.999999999"});
}

void require_trials(std::int64_t trials) {
    if (!(trials > 0))
        throw base::InputError({.path = "trials", .value = std::to_string(trials), .allowed = "1 or more"});
}

void require_counts(std::int64_t events, std::int64_t trials) {
    require_trials(trials);
    if (!(events >= 0 && events <= trials))
        throw base::InputError(
            {.path = "events", .value = std::to_string(events), .allowed = "0 to trials = " + std::to_string(trials)});
}

double two_sided_z(double confidence) {
    require_confidence(confidence);
    return -base::inverse_normal((1 - confidence) / 2);
}

Ends score_interval(double share, double trials, double confidence) {
    const double p = share, z = two_sided_z(confidence), z2n = z * z / trials;
    const double centre = (p + z2n / 2) / (1 + z2n);
    const double reach = std::sqrt(z2n * (p * (1 - p) + z2n / 4)) / (1 + z2n);
    return {p > 0 ? centre - reach : 0, p < 1 ? centre + reach : 1};
}

Estimate wilson(std::int64_t events, std::int64_t trials, double confidence) {
    require_counts(events, trials);
    const double n = static_cast<double>(trials), p = static_cast<double>(events) / n;
    const Ends ends = score_interval(p, n, confidence);
    return {p, ends.low, ends.high, events, trials, confidence};
}

Estimate clopper_pearson(std::int64_t events, std::int64_t trials, double confidence) {
    require_counts(events, trials);
    require_confidence(confidence);
    const double k = static_cast<double>(events), n = static_cast<double>(trials), tail = (1 - confidence) / 2;
    const double low = events == 0 ? 0 : beta_quantile(tail, k, n - k + 1);
    const double high = events == trials ? 1 : 1 - beta_quantile(tail, n - k, k + 1);
    return {k / n, low, high, events, trials, confidence};
}

double zero_event_bound(std::int64_t trials, double confidence) {
    require_trials(trials);
    require_confidence(confidence);
    return -base::expm1(base::log(1 - confidence) / static_cast<double>(trials));
}

}  // namespace ridethrough::stats
