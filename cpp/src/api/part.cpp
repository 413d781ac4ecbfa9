
#include "ridethrough/ridethrough.hpp"
#include "ridethrough/trip/registry.hpp"

namespace ridethrough {

namespace {

config::Values values_of(const std::string& owner, const Fields& fields) {
    config::Values values;
    for (const auto& [name, value] : fields)
        if (!values.emplace(name, value.held()).second)
            throw InputError({.path = owner + "." + name, .reason = "given twice"});
    return values;
}

}  // namespace

Value::Value(const std::vector<std::string>& days) {
    std::vector<config::Day> found;
    for (const std::string& text : days) {
        const std::optional<config::Day> day = config::named_day(text);
        if (!day)
            throw InputError({.path = "days",
                              .value = base::quoted(text),
                              .allowed = "dates such as 2026-09-25, or weekdays such as Friday",
                              .suggestion = config::day_hint(text)});
        found.push_back(*day);
    }
    held_ = std::move(found);
}

Part::Part(std::string_view kind, const Fields& fields) : Part(make(std::string(kind), fields)) {}

Part make(const std::string& kind, const Fields& fields) {
    return Part(config::Configuration::make(trip::schema_named(kind), values_of(kind, fields)));
}

Part Part::with(const Fields& changes) const {
    const config::Values values = values_of(kind(), changes);
    for (const auto& change : values)
        configuration_->schema().field(change.first);  // InputError where there is no such field
    return Part(configuration_->replace(values));
}

Part Part::with_measured(const Fields& values, const std::string& date) const {
    return Part(configuration_->with_measured(values_of(kind(), values), date));
}

std::string Part::origin(const std::string& field) const { return configuration_->origin(field).text(); }
std::string Part::kind() const { return configuration_->schema().name; }
std::string Part::text() const { return configuration_->repr(); }
std::vector<std::string> Part::warnings() const { return configuration_->warnings(); }
bool Part::operator==(const Part& other) const { return *configuration_ == *other.configuration_; }

}  // namespace ridethrough
