// From a declared load to what the kernel runs. Internal to the layer.
#pragma once

#include <string>

#include "ridethrough/loads/schemas.hpp"

namespace ridethrough::loads {

// One load on its way.
class LoadCompiler {
  public:
    LoadCompiler(const config::Configuration& load, int number, const DayHabits& day, random::ParameterTable& table,
                 LoadModels& models)
        : configuration(load), habits(day), number_(number), table_(table), models_(models) {}

    const config::Configuration& configuration;
    const DayHabits& habits;

    double number(const char* field) const { return configuration.number(field); }
    random::ParameterIndex parameter(const char* field);
    random::ParameterIndex constant(double value) { return table_.constant(value); }
    // A use that begins between two clock hours.
    EventModel window(double earliest_h, double latest_h) const;
    EventModel window() const { return window(number("earliest_h"), number("latest_h")); }
    // Such a use of some minutes, of which it declares current, minutes and chance; the current's number over an
    // efficiency, where one is named.
    EventModel minutes_of_use(const char* current, const char* share, double spread, const char* efficiency = nullptr);
    // What the load declares of rain and weekdays, where it has such fields.
    void weather_and_days(EventModel& e) const;
    void add(const EventModel& e) { events_.push_back(e); }
    void add_fan();
    void add_inverter();  // its cut-out; InputError where another one's differs
    void add_standby() { models_.standbys.push_back({number_, parameter("current_a")}); }
    void add_heater(cabin::HeaterModel heater);  // InputError where the van has one already
    void finish();                               // its draws, and its events into the models

  private:
    std::string path() const { return "loads." + configuration.text("name") + "."; }
    int number_;
    random::ParameterTable& table_;
    LoadModels& models_;
    std::vector<EventModel> events_;
    bool heats_ = false;
};

// A type of load: how it is declared and how it is compiled.
struct LoadType {
    const config::Schema& (*schema)();
    void (*compile)(LoadCompiler&);
};
// By subject, each in a file of its own, in the order in which they are listed.
std::span<const LoadType> lights();
std::span<const LoadType> water();
std::span<const LoadType> screens();
std::span<const LoadType> comfort();
std::span<const LoadType> steady();
std::span<const LoadType> on_the_inverter();
std::span<const LoadType> others();

const config::Schema& inverter_schema();

}  // namespace ridethrough::loads
