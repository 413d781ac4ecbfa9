#include <algorithm>
#include <stdexcept>

#include "compiler.hpp"

namespace ridethrough::loads {
using config::Configuration;
using config::ConfigurationPtr;
using config::Schema;

namespace {

std::vector<LoadType> all_types() {
    std::vector<LoadType> all;
    for (const auto& subject : {lights(), water(), screens(), comfort(), steady(), on_the_inverter(), others()})
        all.insert(all.end(), subject.begin(), subject.end());
    return all;
}

const LoadType& type_of(const Configuration& load) {
    static const std::vector<LoadType> all = all_types();
    for (const LoadType& type : all)
        if (type.schema().name == load.schema().name) return type;
    throw std::logic_error("no load is called " + load.schema().name);
}

// What hangs on an inverter that nobody has declared: the middles of an Inverter's defaults.
void add_usual_inverter(InverterModel& m, random::ParameterTable& table) {
    const auto usual = Configuration::make(inverter_schema(), {});
    const auto middle = [&](const char* field) {
        const auto& spread = std::get<config::Spread>(usual->at(field));
        const config::Field& f = usual->schema().field(field);
        return table.constant(spread.quantile(0.5, f.low, f.high));
    };
    m.cutout_delay_h = usual->number("cutout_delay_s") / 3600;
    m.restart_wait_h = usual->number("restart_wait_s") / 3600;
    m.cutout_v = middle("cutout_v");
    m.restart_v = middle("restart_v");
    m.branch_mohm = middle("branch_mohm");
}

}  // namespace

std::span<const Schema* const> load_schemas() {
    static const std::vector<const Schema*> all = [] {
        std::vector<const Schema*> v;
        for (const LoadType& type : all_types()) v.push_back(&type.schema());
        return v;
    }();
    return all;
}

std::vector<ConfigurationPtr> light_use_loads() {
    static const std::vector<ConfigurationPtr> loads = [] {
        std::vector<ConfigurationPtr> v;
        for (const char* name : {"Lights", "WaterPump", "Phones", "Laptop", "Fan", "Standby", "Inverter", "Heater"})
            for (const Schema* s : load_schemas())
                if (s->name == name) v.push_back(Configuration::make(*s, {}));
        return v;
    }();
    return loads;
}

random::ParameterIndex LoadCompiler::parameter(const char* field) { return table_.add(configuration, field, path()); }

EventModel LoadCompiler::window(double earliest_h, double latest_h) const {
    EventModel e;
    e.load = number_;
    e.earliest_h = earliest_h;
    e.latest_h = latest_h;
    return e;
}

EventModel LoadCompiler::minutes_of_use(const char* current, const char* share, double spread, const char* efficiency) {
    EventModel e = window();
    e.current = parameter(current);
    if (efficiency) e.current_over = parameter(efficiency);
    e.hours = parameter("duration_min");
    e.hours_factor = 1.0 / 60;
    e.hours_spread = spread;
    e.share = parameter(share);
    return e;
}

void LoadCompiler::weather_and_days(EventModel& e) const {
    for (const config::Field& f : configuration.schema().fields) {
        if (f.name == "rain_factor") e.wet_hours_factor = number("rain_factor");
        if (f.name == "rain_probability_factor") e.wet_share_factor = number("rain_probability_factor");
        if (f.name == "days" && configuration.text("days") != "all")
            e.days = configuration.text("days") == "workdays" ? EventModel::Days::workdays : EventModel::Days::weekends;
    }
}

void LoadCompiler::add_fan() {
    models_.fans.push_back({number_, parameter("current_a"), parameter("ventilation"), number("starts_above_c"),
                            number("full_above_c"), table_.yes_or_no(configuration, "fitted_probability", path())});
}

void LoadCompiler::add_heater(cabin::HeaterModel heater) {
    if (models_.heater.fitted)
        throw base::InputError({.path = "Van.loads." + configuration.text("name"),
                                .reason = "a van has one heater; take the other away, or make it an Appliance"});
    heater.fitted = heats_ = true;
    heater.load = number_;
    models_.heater = heater;
}

void LoadCompiler::add_inverter() {
    InverterModel& m = models_.inverter;
    if (models_.first_inverter) {
        for (const char* field : {"cutout_v", "restart_v", "cutout_delay_s", "restart_wait_s", "branch_mohm"})
            if (!(configuration.at(field) == models_.first_inverter->at(field)))
                throw base::InputError({.path = "Van." + path() + field,
                                        .reason = "must be that of Van.loads." + models_.first_inverter->text("name") +
                                                  ": the inverters of a van cut out as one"});
        return;
    }
    models_.first_inverter = &configuration;
    m.cutout_delay_h = number("cutout_delay_s") / 3600;
    m.restart_wait_h = number("restart_wait_s") / 3600;
    m.cutout_v = parameter("cutout_v");
    m.restart_v = parameter("restart_v");
    m.branch_mohm = parameter("branch_mohm");
    table_.require_above(m.restart_v, m.cutout_v);
}

void LoadCompiler::finish() {
    int draws = 0;
    for (EventModel& e : events_) {
        e.first_draw = draws;
        draws += e.uses * (e.left_on_probability ? 3 : 2);
    }
    const int a_day = draws + (heats_ ? cabin::kHeaterUses : 0);
    if (a_day == 0) return;
    const random::DrawIndex index = table_.draws("load." + configuration.text("name"), a_day);
    for (EventModel& e : events_) e.draws = index;
    models_.events.insert(models_.events.end(), events_.begin(), events_.end());
    if (heats_) models_.heater.draws = index;
}

LoadModels compile(std::span<const ConfigurationPtr> loads, const DayHabits& habits, random::ParameterTable& table) {
    LoadModels models;
    for (std::size_t i = 0; i < loads.size(); ++i) {
        LoadCompiler compiler(*loads[i], static_cast<int>(i), habits, table, models);
        type_of(*loads[i]).compile(compiler);
        compiler.finish();
    }
    const auto on_inverter = [](const EventModel& e) { return e.at_terminals; };
    models.inverter.given = std::ranges::any_of(models.events, on_inverter);
    if (models.inverter.given && !models.first_inverter) add_usual_inverter(models.inverter, table);
    return models;
}

}  // namespace ridethrough::loads
