// Will a camper van's 12 V battery keep the fridge on for this trip, and how sure is that? For C++ programs:
//
//     using namespace ridethrough;
//     const Risk risk = simulate(van, trip, {.trials = 20'000, .seed = 1});
//     std::cout << risk.text();
//
// Parameters have the names, units, ranges and defaults of python/PARAMETERS.md. Bad input throws InputError before any
// trial is run; it names the field, the value and what is allowed.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <initializer_list>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/stats/interval.hpp"

namespace ridethrough {

using base::InputError;  // a std::invalid_argument

// What is not known about a number, in place of the number: Spread::triangular(180, 200, 220), and uniform, pert,
// normal, discrete. It is drawn afresh for every trial, or as often as its field allows.
using config::Spread;

// A probability with its interval: value, low, high (shares of 1; 95 %, sampling error alone), events, trials.
using stats::Estimate;

// A part that is not there: {"solar", none}.
inline constexpr std::nullopt_t none = std::nullopt;

class Value;
using Fields = std::vector<std::pair<std::string, Value>>;  // by name; what is not given takes its default

// One frozen value of a configuration class: a battery, a load, a climate, a whole van. Copies are cheap.
class Part {
  public:
    // The same with some fields changed. InputError as from make.
    Part with(const Fields& changes) const;
    // The same with numbers of its own that were measured on a day: battery.with_measured({{"capacity_ah", 92}},
    // "2026-05-01"). No answer looks at that; origin() tells it, and copies keep it.
    Part with_measured(const Fields& values, const std::string& date) const;
    std::string origin(const std::string& field) const;  // "default", "given" or "measured on 2026-05-01"
    std::string kind() const;                            // "AgmBattery"
    std::string text() const;                   // as it is written in Python; fields at their defaults are left out
    std::vector<std::string> warnings() const;  // what is allowed but probably not meant, here and inside
    bool operator==(const Part& other) const;

    const config::ConfigurationPtr& configuration() const { return configuration_; }  // what the engine reads

  protected:
    Part(std::string_view kind, const Fields& fields);
    explicit Part(config::ConfigurationPtr configuration) : configuration_(std::move(configuration)) {}

  private:
    friend Part make(const std::string& kind, const Fields& fields);
    config::ConfigurationPtr configuration_;
};

// What a field may be given: a number, a flag, a text or a word, numbers, a spread, a part, parts, or none.
class Value {
  public:
    Value(std::nullopt_t) {}
    template <class T>
        requires std::is_arithmetic_v<T>
    Value(T number) {
        if constexpr (std::is_same_v<T, bool>)
            held_ = number;
        else
            held_ = static_cast<double>(number);
    }
    Value(const char* text) : held_(std::string(text)) {}
    Value(std::nullptr_t) = delete;  // none is meant
    Value(std::string text) : held_(std::move(text)) {}
    Value(Spread spread) : held_(std::move(spread)) {}
    Value(std::initializer_list<const char*> days) : Value(std::vector<std::string>(days.begin(), days.end())) {}
    Value(const std::vector<std::string>& days);  // dates and weekdays, {"Friday", "2026-11-08"}; InputError for others
    Value(std::vector<double> numbers) : held_(std::move(numbers)) {}
    Value(std::initializer_list<double> numbers) : held_(std::vector<double>(numbers)) {}
    Value(const Part& part) : held_(part.configuration()) {}
    Value(const std::vector<Part>& parts) { keep(parts); }
    Value(std::initializer_list<Part> parts) { keep(parts); }

    const config::Value& held() const { return held_; }

  private:
    template <class Parts>
    void keep(const Parts& parts) {
        std::vector<config::ConfigurationPtr> configurations;
        configurations.reserve(parts.size());
        for (const Part& part : parts) configurations.push_back(part.configuration());
        held_ = std::move(configurations);
    }
    config::Value held_;
};

// A part by the name of its class: make("AgmBattery", {{"capacity_ah", 120}}). InputError where there is no such class
// or field, where a field is given twice, is missing or out of range.
Part make(const std::string& kind, const Fields& fields = {});

// Twelve monthly normals of the site that it is given to: Climate({{"ghi_kwh_m2_day", {2.41, ...}}, ...}).
class Climate : public Part {
  public:
    explicit Climate(const Fields& fields) : Part("Climate", fields) {}
};

// Where a night is spent: latitude and longitude [deg], the climate, and utc_offset_h [h] of its clock.
class Site : public Part {
  public:
    explicit Site(const Fields& fields) : Part("Site", fields) {}
};

// Battery, solar, chargers, fridge and loads. Without fields, the default van.
class Van : public Part {
  public:
    explicit Van(const Fields& fields = {}) : Part("Van", fields) {}
    Van with(const Fields& changes) const { return Van(Part::with(changes)); }
    Van with_measured(const Fields& values, const std::string& date) const {
        return Van(Part::with_measured(values, date));
    }

  private:
    explicit Van(Part part) : Part(std::move(part)) {}
};

// Site (or stops), start ("2026-11-06 15:00", the clock's time at the first place) and nights; what is planned, in
// lists:
// {"drives", {make("Drive", {{"days", {2, 4}}, {"duration_h", 1.5}})}}. Days and nights count from 1.
class Trip : public Part {
  public:
    explicit Trip(const Fields& fields) : Part("Trip", fields) {}
    Trip with(const Fields& changes) const { return Trip(Part::with(changes)); }
    Trip with_measured(const Fields& values, const std::string& date) const {
        return Trip(Part::with_measured(values, date));
    }

  private:
    explicit Trip(Part part) : Part(std::move(part)) {}
};

// The clock of the trip's first place, which habits follow. This library knows no time zones: summer time is what is
// said here.
struct Clock {
    struct Change {
        double after_h = 0;       // hours since the start
        double utc_offset_h = 0;  // from then on
    };
    double utc_offset_h = 0;  // clock time ahead of UTC at the start [h], -12 to 14
    std::vector<Change> changes = {};
};

enum class Precision { double_, single_ };  // number type of the hourly kernel

struct Options {
    std::int64_t trials = 10'000;  // 1 to 1e9; results take about 90 bytes each
    std::uint64_t seed = 0;        // the same seed gives the same trials, bit for bit, whatever the threads
    int threads = 0;               // 0: one per processor
    Precision precision = Precision::double_;
    // Without it: Site.utc_offset_h, else the longitude's mean time in whole hours, which Risk::warnings tells.
    std::optional<Clock> clock = {};
    // Called on the caller's thread now and then with the trials done. False stops the run, and what is finished is
    // kept; an exception stops it and goes on to the caller.
    std::function<bool(std::int64_t done)> progress = {};
};

// The outcome of a trip: the probability that a low-voltage cut-out drops the fridge before its end, and what goes with
// it.
struct Risk {
    Estimate cutout;              // however short; the interval does not cover the model's own error
    Estimate fridge_off_over_1h;  // that the fridge is off for more than an hour in a row
    std::int64_t trials = 0;      // fewer than asked for where the run was stopped
    bool stopped = false;         // by Options::progress
    // One number a trial, by name: first_cutout_h [h since the start; infinity where there was none], cutout_cause [0:
    // no cut-out], min_soc [share of full], hours_off, hours_above_5c [h], fridge_wh, ...; amounts carry their unit in
    // their name.
    std::map<std::string, std::vector<float>, std::less<>> columns;
    std::vector<std::string> warnings;  // what is allowed but probably not meant: to be read before the number
    std::vector<std::string> cautions;  // what can hurt somebody: to be shown with the number

    // InputError with the nearest name where there is no such column.
    const std::vector<float>& column(std::string_view name) const;
    // Warnings, the probability with its interval and trials, cautions: a line each. Never show the number alone.
    std::string text() const;
};

// Plays the trip `options.trials` times. InputError where something in van, trip or options is missing or out of range,
// or where a load is one that no probability is given for (a ventilator); std::runtime_error where `progress` stopped
// the run before any trial was finished.
Risk simulate(const Van& van, const Trip& trip, const Options& options = {});

}  // namespace ridethrough
