#include "schedule.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
#include "ridethrough/battery/chemistry.hpp"

namespace ridethrough::trip {
using base::InputError;
using config::Configuration;

namespace {

class ScheduleCompiler {
  public:
    ScheduleCompiler(const Configuration& van, const Configuration& trip, const ClockSteps& steps,
                     std::vector<std::string>& warnings)
        : van_(van), trip_(trip), steps_(steps), warnings_(warnings), step_h_(steps.step_min() / 60.0) {
        const auto count = static_cast<std::size_t>(steps.steps());
        none_.assign(2 * count, 0);
        s_.drive = s_.powered = none_;
        s_.warm_food.assign(count, 0);
    }

    Schedule compile(const std::vector<Place>& places, double start_h) {
        const MovingSpans moves = moving_spans(places, van_, start_h, steps_.end_h());
        drives(moves);
        idling();
        generator();
        engine_heat();
        shore_power(moves);
        warm_food();
        water();
        stationary();
        if (!(trip_.numbers("drive_days").empty() && moves.drives.empty()) && !van_.has("dc_dc"))
            warnings_.push_back("the trip has drives, but Van.dc_dc is None: driving charges nothing");
        if (!trip_.numbers("powered_nights").empty() && !van_.has("mains"))
            throw InputError(
                {.path = "Trip.powered_nights", .reason = "given, but Van.mains is None: give the van a MainsCharger"});
        return std::move(s_);
    }

  private:
    // Marks the hours [from, from + length) after midnight of day 0, on the start's clock, in the steps that they
    // touch. False where they lie outside the trip.
    bool mark_hours(double from_h, double length_h, std::vector<double>& spans) const {
        for (int step = 0; step < steps_.steps(); ++step) {
            const double a = (step + steps_.first_step()) * step_h_;
            const double on = std::clamp(from_h - a, 0.0, step_h_),
                         off = std::clamp(from_h + length_h - a, 0.0, step_h_);
            double* span = &spans[2 * static_cast<std::size_t>(step)];
            if (!(off > on)) continue;
            span[0] = span[1] > span[0] ? std::min(span[0], on) : on;
            span[1] = std::max(span[1], off);
        }
        const double begin = steps_.first_step() * step_h_, end = begin + steps_.steps() * step_h_;
        return std::min(from_h + length_h, end) > std::max(from_h, begin);
    }
    void mark(std::vector<double>& spans, double from_h, double length_h, const std::string& what) {
        if (!mark_hours(steps_.on_start_clock(from_h), length_h, spans)) outside(what);
    }
    void outside(const std::string& what) { warnings_.push_back(what + " lies outside the trip and does nothing"); }
    static std::string day(const char* field, double d) {
        return std::string("Trip.") + field + " = " + base::number_text(d) + " (0 is the day of the start)";
    }
    // On each of the days that one field lists: from an hour, for some hours.
    void mark_days(std::vector<double>& spans, const char* days, const char* from, const char* hours) {
        for (double d : trip_.numbers(days))
            mark(spans, 24 * d + trip_.number(from), trip_.number(hours), day(days, d));
    }

    void drives(const MovingSpans& moves) {
        mark_days(s_.drive, "drive_days", "drive_start_h", "drive_hours");
        for (const auto& [from, length] : moves.drives) mark(s_.drive, from, length, "Trip.stops: a drive");
        if (!van_.flag("towed"))  // a towed camper stays behind
            mark_days(s_.drive, "day_trip_days", "day_trip_start_h", "day_trip_hours");
    }
    void idling() {
        const bool any = !trip_.numbers("idle_days").empty();
        if (any && !van_.has("dc_dc"))
            warnings_.push_back("Trip.idle_days is given, but the van has no dc_dc charger: idling charges nothing");
        if (!any || !van_.has("dc_dc")) return;
        s_.idle = none_;
        mark_days(s_.idle, "idle_days", "idle_start_h", "idle_hours");
    }
    void generator() {
        const auto& runs = trip_.numbers("generator_days");
        if (runs.empty()) return;
        s_.generator = none_;
        const double start = trip_.number("generator_start_h");
        const double from = std::max(start, trip_.number("generator_allowed_from_h"));
        const double to = std::min(start + trip_.number("generator_hours"), trip_.number("generator_allowed_to_h"));
        if (!(to > from))
            warnings_.push_back("Trip.generator_start_h lies outside the allowed hours: the generator never runs");
        for (double d : runs)
            if (to > from) mark(s_.generator, 24 * d + from, to - from, day("generator_days", d));
    }
    // Rise of an engine bay's temperature in each step, from the hours within it that the engine runs.
    void engine_heat() {
        const Configuration& b = battery::in_common(van_);
        if (b.text("location") != "engine_bay") return;
        const double warms = 1 - base::exp(-step_h_ / 0.5), cools = 1 - base::exp(-step_h_ / 2);
        double now = 0;
        for (std::size_t step = 0; step < s_.warm_food.size(); ++step) {
            const auto hours = [step](const std::vector<double>& spans) {
                return spans.empty() ? 0 : std::max(spans[2 * step + 1] - spans[2 * step], 0.0);
            };
            const double share = std::min((hours(s_.drive) + hours(s_.idle)) / step_h_, 1.0);
            const double target = b.number("engine_bay_rise_k") * share;
            now += (target - now) * (target > now ? warms : cools);
            s_.battery_rise_k.push_back(now);
        }
    }
    void shore_power(const MovingSpans& moves) {
        mark_days(s_.powered, "powered_nights", "powered_from_h", "powered_hours");
        for (const auto& [from, length] : moves.powered)
            mark(s_.powered, from, steps_.passing_h(from, length), "Trip.stops: shore power");
    }
    void warm_food() {
        for (double d : trip_.numbers("warm_food_days")) {
            const double hour = steps_.on_start_clock(24 * d + trip_.number("warm_food_h"));
            const double step = std::floor(hour / step_h_ + 1e-9) - steps_.first_step();
            if (step >= 0 && step < steps_.steps())
                s_.warm_food[static_cast<std::size_t>(step)] = 1;
            else
                outside(day("warm_food_days", d));
        }
    }
    void water() {
        s_.water_refilled.assign(static_cast<std::size_t>(steps_.days()), 0);
        for (double d : trip_.numbers("water_days"))
            if (d < steps_.days()) s_.water_refilled[static_cast<std::size_t>(d)] = 1;
        if (!van_.has("water") && !trip_.numbers("water_days").empty())
            throw InputError(
                {.path = "Trip.water_days", .reason = "given, but Van.water is None: give the van WaterTanks"});
    }
    void stationary() {
        s_.stationary.assign(static_cast<std::size_t>(steps_.days()), 1);
        for (std::size_t step = 0; 2 * step < s_.drive.size(); ++step)
            if (s_.drive[2 * step + 1] > s_.drive[2 * step])
                s_.stationary[static_cast<std::size_t>(steps_.day_of(static_cast<int>(step)))] = 0;
    }

    const Configuration &van_, &trip_;
    const ClockSteps& steps_;
    std::vector<std::string>& warnings_;
    double step_h_;
    std::vector<double> none_;
    Schedule s_;
};

}  // namespace

Schedule compile_schedule(const Configuration& van, const Configuration& trip, const std::vector<Place>& places,
                          const ClockSteps& steps, double start_h, std::vector<std::string>& warnings) {
    return ScheduleCompiler(van, trip, steps, warnings).compile(places, start_h);
}

}  // namespace ridethrough::trip
