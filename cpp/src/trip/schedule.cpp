#include "schedule.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
#include "ridethrough/battery/chemistry.hpp"
#include "timetable.hpp"

namespace ridethrough::trip {
using base::InputError;
using config::Configuration;

namespace {

class ScheduleCompiler {
  public:
    ScheduleCompiler(const Configuration& van, const Configuration& trip, const ClockSteps& steps,
                     std::vector<std::string>& warnings)
        : van_(van),
          trip_(trip),
          steps_(steps),
          warnings_(warnings),
          step_h_(steps.step_min() / 60.0),
          begin_h_(steps.first_step() * step_h_),
          end_h_(begin_h_ + steps.steps() * step_h_) {
        const auto count = static_cast<std::size_t>(steps.steps());
        none_.assign(2 * count, 0);
        s_.drive = s_.powered = none_;
        s_.warm_food.assign(count, 0);
        s_.water_refilled.assign(static_cast<std::size_t>(steps_.days()), 0);
    }

    Schedule compile() {
        storage();
        const auto items = timetable(trip_);
        for (const Item& item : items) require_equipment(item);
        for (const Item& item : items) place(item);
        std::stable_sort(s_.intervals.begin(), s_.intervals.end(),
                         [](const Interval& a, const Interval& b) { return a.begin_h < b.begin_h; });
        warn_of_drives_plugged_in();
        engine_heat();
        stationary();
        return std::move(s_);
    }

  private:
    // Hours after midnight of day 0 on the start's clock.
    struct Span {
        double from_h, length_h;
    };

    void require_equipment(const Item& item) {
        if (item.activity == Activity::shore_power && !van_.has("mains"))
            throw InputError({.path = item.of_stop ? item.path + ".power" : "Trip.shore_power",
                              .value = item.of_stop ? "\"shore\"" : "",
                              .reason = "Van.mains is None: give the van a MainsCharger, in a file [van.mains]"});
        if (item.activity == Activity::water && !van_.has("water"))
            throw InputError({.path = "Trip.water_days",
                              .reason = "Van.water is None: give the van WaterTanks, in a file [van.water]"});
        if (van_.has("dc_dc")) return;
        if (item.activity == Activity::drive && !warned_of_drives_) {
            warnings_.push_back("the trip has drives, but the van has no DC-DC charger: driving charges nothing");
            warned_of_drives_ = true;
        }
        if (item.activity == Activity::idling && !warned_of_idling_) {
            warnings_.push_back("the engine idles, but the van has no DC-DC charger: idling charges nothing");
            warned_of_idling_ = true;
        }
    }

    void place(const Item& item) {
        if (item.activity == Activity::idling && van_.has("dc_dc") && s_.idle.empty()) s_.idle = none_;
        if (item.activity == Activity::generator && s_.generator.empty()) s_.generator = none_;
        bool any = false, one_by_one = false;
        for (const Occasion& o : item.occasions) {
            if (item.activity == Activity::generator && !(o.length_h > 0)) {
                warnings_.push_back(path_in_messages(item.path) +
                                    " lies outside the allowed hours: the generator does not run");
                return;
            }
            const Span span = on_start_clock(item, o);
            const double from = std::clamp(span.from_h, begin_h_, end_h_),
                         to = std::clamp(span.from_h + span.length_h, begin_h_, end_h_);
            const bool inside = put(item, o, span);
            any = any || inside;
            one_by_one = one_by_one || !o.by_weekday;
            if (inside)
                s_.intervals.push_back({item.activity, item.path, o.day + 1, from - begin_h_, to - begin_h_});
            else if (!o.by_weekday && (o.length_h > 0 || is_moment(item.activity)))
                warnings_.push_back(path_in_messages(item.path) + ": " + outside_text(o));
        }
        if (item.has_weekdays && !any && !one_by_one)
            warnings_.push_back(path_in_messages(item.path) + ": no such day falls within the trip: it does nothing");
    }

    std::string outside_text(const Occasion& o) const {
        const auto day = [](double h) { return "day " + std::to_string(static_cast<int>(std::floor(h / 24)) + 1); };
        const std::string when = o.length_h > 0 ? spell_text(o.from_h, o.from_h + o.length_h) : day(o.from_h);
        return when + ", lies outside the trip, which lasts from " + spell_text(begin_h_, end_h_) + " of " +
               day(end_h_) + ", and does nothing";
    }

    Span on_start_clock(const Item& item, const Occasion& o) const {
        const double from = steps_.on_start_clock(o.from_h);
        if (std::isinf(o.length_h)) return {from, end_h_ - from};
        return {from, item.until_clock_time ? steps_.elapsed_h(o.from_h, o.length_h) : o.length_h};
    }

    static bool is_moment(Activity activity) { return activity == Activity::water || activity == Activity::warm_food; }

    // Into the steps. False where it lies outside the trip.
    bool put(const Item& item, const Occasion& o, const Span& span) {
        switch (item.activity) {
            case Activity::day_trip:
                if (van_.flag("towed")) return touches(span);  // a towed camper stays behind
                [[fallthrough]];
            case Activity::drive:
                return mark(s_.drive, span);
            case Activity::idling:
                return van_.has("dc_dc") ? mark(s_.idle, span) : touches(span);
            case Activity::generator:
                return mark(s_.generator, span);
            case Activity::shore_power:
                return mark(s_.powered, span);
            case Activity::water:
                if (o.day >= steps_.days()) return false;
                s_.water_refilled[static_cast<std::size_t>(o.day)] = 1;
                return true;
            case Activity::warm_food:
                return put_warm_food(span.from_h);
            case Activity::storage:
                break;
        }
        return false;
    }

    bool touches(const Span& span) const {
        return std::min(span.from_h + span.length_h, end_h_) > std::max(span.from_h, begin_h_);
    }
    bool mark(std::vector<double>& spans, const Span& s) const {
        for (int step = 0; step < steps_.steps(); ++step) {
            const double a = (step + steps_.first_step()) * step_h_;
            const double on = std::clamp(s.from_h - a, 0.0, step_h_),
                         off = std::clamp(s.from_h + s.length_h - a, 0.0, step_h_);
            double* span = &spans[2 * static_cast<std::size_t>(step)];
            if (!(off > on)) continue;
            span[0] = span[1] > span[0] ? std::min(span[0], on) : on;
            span[1] = std::max(span[1], off);
        }
        return touches(s);
    }
    bool put_warm_food(double hour) {
        const double step = std::floor(hour / step_h_ + 1e-9) - steps_.first_step();
        if (!(step >= 0 && step < steps_.steps())) return false;
        s_.warm_food[static_cast<std::size_t>(step)] = 1;
        return true;
    }

    // Both charge then, which nothing does.
    void warn_of_drives_plugged_in() {
        for (const Interval& plugged : s_.intervals) {
            if (plugged.activity != Activity::shore_power) continue;
            const auto drive = std::find_if(s_.intervals.begin(), s_.intervals.end(), [&](const Interval& i) {
                const bool moves =
                    i.activity == Activity::drive || (i.activity == Activity::day_trip && !van_.flag("towed"));
                return moves && i.begin_h < plugged.end_h && i.end_h > plugged.begin_h;
            });
            if (drive == s_.intervals.end()) continue;
            warnings_.push_back(path_in_messages(plugged.path) + ": night " + std::to_string(plugged.day) +
                                " on shore power lasts into a drive (" + path_in_messages(drive->path) + ", day " +
                                std::to_string(drive->day) + "): both charge in the hours that they share");
        }
    }

    void storage() {
        const config::ConfigurationPtr storage = trip_.part("storage");
        if (!storage) return;
        const config::Value& weeks = storage->at("weeks");
        const auto* spread = std::get_if<config::Spread>(&weeks);
        s_.storage_days = 7 * (spread ? spread->mean() : storage->number("weeks"));
        const double begin_h = -24 * s_.storage_days;
        const int day = static_cast<int>(std::floor((begin_h_ + begin_h) / 24)) + 1;
        s_.intervals.push_back({Activity::storage, "trip.storage", day, begin_h, 0});
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
    void stationary() {
        s_.stationary.assign(static_cast<std::size_t>(steps_.days()), 1);
        for (std::size_t step = 0; 2 * step < s_.drive.size(); ++step)
            if (s_.drive[2 * step + 1] > s_.drive[2 * step])
                s_.stationary[static_cast<std::size_t>(steps_.day_of(static_cast<int>(step)))] = 0;
    }

    const Configuration &van_, &trip_;
    const ClockSteps& steps_;
    std::vector<std::string>& warnings_;
    double step_h_, begin_h_, end_h_;
    bool warned_of_drives_ = false, warned_of_idling_ = false;
    std::vector<double> none_;
    Schedule s_;
};

}  // namespace

Schedule compile_schedule(const Configuration& van, const Configuration& trip, const ClockSteps& steps,
                          std::vector<std::string>& warnings) {
    return ScheduleCompiler(van, trip, steps, warnings).compile();
}

}  // namespace ridethrough::trip
