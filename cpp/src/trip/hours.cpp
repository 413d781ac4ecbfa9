#include "hours.hpp"

#include <algorithm>

namespace ridethrough::trip {

void lay_clock(const ClockSteps& steps, Draft& draft) {
    engine::Plan<double>& p = draft.plan;
    p.step_h = steps.step_min() / 60.0;
    p.per_day = 24 * 60 / steps.step_min();
    p.days = steps.days();
    p.first_step = steps.first_step();
    p.steps = steps.steps();
    p.sky_lead = steps.sky_lead();
    draft.runs = steps.runs();
    draft.counted = steps.counted();
    if (!steps.one_clock()) draft.sky_hours = steps.sky_hours();
}

bool mark_hours(const engine::Plan<double>& plan, double from_h, double length_h, std::vector<double>& spans) {
    for (int s = 0; s < plan.steps; ++s) {
        const double a = (s + plan.first_step) * plan.step_h;
        const double on = std::clamp(from_h - a, 0.0, plan.step_h),
                     off = std::clamp(from_h + length_h - a, 0.0, plan.step_h);
        double* span = &spans[2 * static_cast<std::size_t>(s)];
        if (!(off > on)) continue;
        span[0] = span[1] > span[0] ? std::min(span[0], on) : on;
        span[1] = std::max(span[1], off);
    }
    const double begin = plan.first_step * plan.step_h, end = begin + plan.steps * plan.step_h;
    return std::min(from_h + length_h, end) > std::max(from_h, begin);
}

}  // namespace ridethrough::trip
