#include "ridethrough/trip/clock.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/sun/calendar.hpp"

namespace ridethrough::trip {
using base::InputError;
using base::number_text;
using config::Configuration;

namespace {

constexpr double kEarliestOffsetH = -12, kLatestOffsetH = 14;

void check_offset(double utc_offset_h) {
    if (!(utc_offset_h >= kEarliestOffsetH && utc_offset_h <= kLatestOffsetH))
        throw InputError({.path = "Clock.utc_offset_h",
                          .value = number_text(utc_offset_h),
                          .unit = "h",
                          .allowed = number_text(kEarliestOffsetH) + " to " + number_text(kLatestOffsetH) + " h"});
}

void check(const Clock& clock) {
    check_offset(clock.utc_offset_h);
    double before = 0;
    for (const Clock::Change& c : clock.changes) {
        check_offset(c.utc_offset_h);
        if (!(c.at_h > before && std::isfinite(c.at_h)))
            throw InputError({.path = "Clock.changes.at_h",
                              .value = number_text(c.at_h),
                              .unit = "h",
                              .allowed = "after the start and after the change before"});
        before = c.at_h;
    }
}

bool is_whole_number(double x) { return std::abs(x - std::round(x)) < 1e-9; }
int rounded(double x) { return static_cast<int>(std::round(x)); }
std::string minutes_text(double hours) { return number_text(std::round(600 * std::abs(hours)) / 10) + " min"; }

// The longest allowed step on which all of these hours are full.
std::string finer_step(std::initializer_list<double> hours) {
    for (const int minutes : {30, 15, 5, 1})
        if (std::all_of(hours.begin(), hours.end(), [&](double h) { return is_whole_number(h * 60 / minutes); }))
            return "step_min = " + std::to_string(minutes) + " follows them";
    return "step_min = 1 comes nearest";
}

}  // namespace

double Clock::offset_at(double since_start_h) const {
    double offset = utc_offset_h;
    for (const Change& c : changes)
        if (since_start_h >= c.at_h) offset = c.utc_offset_h;
    return offset;
}

double Clock::clock_elapsed_h(double since_start_h) const {
    return since_start_h + (offset_at(since_start_h) - utc_offset_h);
}

double Clock::since_start_h(double clock_elapsed_h) const {
    double begin = 0, ahead = 0;
    for (std::size_t i = 0; i < changes.size() && clock_elapsed_h - ahead >= changes[i].at_h; ++i) {
        begin = changes[i].at_h;
        ahead = changes[i].utc_offset_h - utc_offset_h;
    }
    return begin > 0 ? std::max(clock_elapsed_h - ahead, begin) : clock_elapsed_h;
}

Clock clock_without_zones(const Configuration& trip) {
    const auto& stops = trip.parts("stops");
    const config::ConfigurationPtr site = stops.empty() ? trip.part("site") : stops.front()->part("site");
    if (site->has("utc_offset_h")) return {.utc_offset_h = site->number("utc_offset_h"), .source = "Site.utc_offset_h"};
    if (site->has("time_zone"))
        throw InputError(
            {.path = "Site.time_zone",
             .value = "\"" + site->text("time_zone") + "\"",
             .reason = "time zones are resolved outside the core; give it the Clock, or Site.utc_offset_h"});
    return {.utc_offset_h = std::round(site->number("longitude") / 15), .source = "longitude / 15, rounded"};
}

ClockSteps::ClockSteps(const Clock& clock, int first_day, int start_hour, int hours, int step_min)
    : first_day_(first_day),
      step_min_(step_min),
      per_hour_(60 / step_min),
      per_day_(24 * per_hour_),
      first_step_(start_hour * per_hour_),
      steps_(hours * per_hour_),
      step_h_(step_min / 60.0),
      utc_offset_h_(clock.utc_offset_h),
      sky_utc_offset_h_(clock.utc_offset_h) {
    check(clock);
    parts_.push_back({0, 0});
    for (const Clock::Change& c : clock.changes)
        if (c.at_h < hours) add(c, clock);
    build_runs();
}

void ClockSteps::add(const Clock::Change& change, const Clock& clock) {
    const double by_h = change.utc_offset_h - utc_offset_h_;
    Part next{rounded(change.at_h * per_hour_), rounded(by_h * per_hour_)};
    if (!is_whole_number(change.at_h * per_hour_) || !is_whole_number(by_h * per_hour_))
        warn_of_step(change, clock, by_h);
    const int ahead = parts_.back().ahead;
    if (next.ahead == ahead) return;
    // Back over midnight: made at that midnight, so that the days of the clock come in their order.
    const int there = first_step_ + next.begin + ahead, back = there + next.ahead - ahead, of_day = there % per_day_;
    if (of_day > 0 && back < there - of_day) {
        next.begin -= of_day;
        warnings_.push_back("the clock goes back over a midnight " + number_text(of_day * step_h_) +
                            " h after it: habits go back at that midnight");
    }
    if (next.begin < parts_.back().begin || first_step_ + next.begin + next.ahead < 0 || ahead - next.ahead > per_day_)
        throw InputError({.path = "Trip.start",
                          .reason = "the clock goes back to the day before it; start on the day before, or later"});
    if (next.begin == parts_.back().begin) parts_.pop_back();
    parts_.push_back(next);
}

void ClockSteps::warn_of_step(const Clock::Change& change, const Clock& clock, double by_h) {
    const double clock_h = first_step_ * step_h_ + clock.clock_elapsed_h(change.at_h);
    const int day = first_day_ + static_cast<int>(std::floor(clock_h / 24));
    const double before_h = clock.offset_at(std::nextafter(change.at_h, 0));
    warnings_.push_back("Trip.step_min = " + std::to_string(step_min_) + ": the clock changes by " +
                        minutes_text(change.utc_offset_h - before_h) + " on " + sun::date_text(day) +
                        ", which such steps cannot follow; habits are up to " + minutes_text(step_h_ / 2) +
                        " off the clock after it (the sun is not); " + finer_step({change.at_h, by_h}));
}

void ClockSteps::follow_series(double utc_offset_h) {
    const double lead_h = utc_offset_h - utc_offset_h_;
    const int lead = rounded(lead_h * per_hour_);
    const int whole_h = lead >= 0 ? lead / per_hour_ : -((per_hour_ - 1 - lead) / per_hour_);
    sky_lead_ = lead - whole_h * per_hour_;
    sky_utc_offset_h_ = sky_lead_ == 0 && is_whole_number(lead_h) ? utc_offset_h_ : utc_offset_h - whole_h;
    if (!is_whole_number(lead_h * per_hour_))
        warnings_.push_back("Trip.step_min = " + std::to_string(step_min_) + ": the record's hours (UTC" +
                            (utc_offset_h < 0 ? "" : "+") + number_text(utc_offset_h) + ") begin " +
                            minutes_text(lead_h - std::floor(lead_h)) +
                            " beside the clock's, which such steps cannot follow; its weather comes up to " +
                            minutes_text(step_h_ / 2) + " early or late; " + finer_step({lead_h}));
}

void ClockSteps::build_runs() {
    for (std::size_t i = 0; i < parts_.size(); ++i) {
        const int end_step = i + 1 < parts_.size() ? parts_[i + 1].begin : steps_;
        int bin = first_step_ + parts_[i].begin + parts_[i].ahead;
        const int end = first_step_ + end_step + parts_[i].ahead;
        while (bin < end) {
            const int day = bin / per_day_, to = std::min(end, (day + 1) * per_day_);
            ClockRun run{day, bin - day * per_day_, to - day * per_day_, 0, static_cast<int>(i), true};
            if (runs_.empty()) {
                run.first_new_bin = run.from;
            } else if (runs_.back().day == day) {
                run.opens_day = false;
                run.first_new_bin = std::max(runs_.back().first_new_bin, runs_.back().to);
            }
            runs_.push_back(run);
            bin = to;
        }
    }
}

int ClockSteps::step_of(int bin) const {
    for (std::size_t i = 0;; ++i) {
        const int step = bin - first_step_ - parts_[i].ahead;
        if (i + 1 < parts_.size() && step >= parts_[i + 1].begin) continue;
        return i > 0 ? std::max(step, parts_[i].begin) : step;
    }
}

double ClockSteps::on_start_clock(double clock_h) const {
    for (std::size_t i = 0;; ++i) {
        const double hour = clock_h - parts_[i].ahead * step_h_;
        if (i + 1 < parts_.size() && hour >= (first_step_ + parts_[i + 1].begin) * step_h_) continue;
        return i > 0 ? std::max(hour, (first_step_ + parts_[i].begin) * step_h_) : hour;
    }
}

double ClockSteps::elapsed_h(double from_h, double length_h) const {
    const double to_h = from_h + length_h;
    return length_h + (on_start_clock(to_h) - to_h) - (on_start_clock(from_h) - from_h);
}

double ClockSteps::noon_offset_h(int day) const {
    const int step = step_of(day * per_day_ + per_day_ / 2);
    int ahead = 0;
    for (const Part& p : parts_)
        if (step >= p.begin) ahead = p.ahead;
    return utc_offset_h_ + ahead * step_h_;
}

int ClockSteps::day_of(int step) const {
    int ahead = 0;
    for (const Part& p : parts_)
        if (step >= p.begin) ahead = p.ahead;
    return (first_step_ + step + ahead) / per_day_;
}

double ClockSteps::end_h() const { return (first_step_ + steps_ + parts_.back().ahead) * step_h_; }

bool ClockSteps::one_clock() const { return sky_lead_ == 0 && parts_.size() == 1 && parts_[0].ahead == 0; }

int ClockSteps::sky_days() const {
    const auto hours = sky_hours();
    const int last = (first_step_ + steps_ - 1 + sky_lead_) / per_hour_;
    return std::max(last, *std::max_element(hours.begin(), hours.end())) / 24 + 1;
}

std::vector<int> ClockSteps::sky_hours() const {
    std::vector<int> hours;
    hours.reserve(static_cast<std::size_t>(24 * days()));
    for (int h = 0; h < 24 * days(); ++h)
        hours.push_back(std::max(first_step_ + step_of(h * per_hour_) + sky_lead_, 0) / per_hour_);
    return hours;
}

std::vector<unsigned char> ClockSteps::counted() const {
    std::vector<unsigned char> times(static_cast<std::size_t>((days() + 1) * per_day_));
    for (const ClockRun& r : runs_)
        for (int k = r.from; k < r.to; ++k) ++times[static_cast<std::size_t>(r.day * per_day_ + k)];
    return times;
}

}  // namespace ridethrough::trip
