#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>

#include "ridethrough/config/configuration.hpp"
#include "value.hpp"

namespace ridethrough::config {

std::string_view name_of(Variation variation) {
    static constexpr std::array<std::string_view, 4> names{"fixed", "trial", "day", "hour"};
    return names[static_cast<std::size_t>(variation)];
}

std::string_view name_of(Owner owner) {
    static constexpr std::array<std::string_view, 4> names{"van", "person", "trip", "model"};
    return names[static_cast<std::size_t>(owner)];
}

namespace {

std::size_t index_of(const Schema& schema, std::string_view name) {
    const auto found =
        std::find_if(schema.fields.begin(), schema.fields.end(), [&](const Field& f) { return f.name == name; });
    if (found != schema.fields.end()) return static_cast<std::size_t>(found - schema.fields.begin());
    const auto renamed = std::find_if(schema.fields.begin(), schema.fields.end(),
                                      [&](const Field& f) { return !name.empty() && f.former_name == name; });
    if (renamed != schema.fields.end())
        throw InputError({.path = schema.name + "." + std::string(name),
                          .reason = "now " + renamed->name,
                          .suggestion = renamed->name});
    throw InputError(no_such_field(schema, name));
}

const Field* singular_named(const Schema& schema, std::string_view name) {
    const auto found = std::ranges::find(schema.singulars, name, &Field::name);
    return found == schema.singulars.end() ? nullptr : &*found;
}

// A list's only member, where it is given by its own name, as that list.
Values in_lists(const Schema& schema, Values given) {
    for (const Field& one : schema.singulars) {
        const auto found = given.find(one.name);
        if (found == given.end()) continue;
        if (given.contains(one.only_of))
            throw InputError(
                {.path = schema.name + "." + one.name,
                 .reason = "not allowed beside " + schema.name + "." + one.only_of + ", which is the list of all",
                 .allowed = "one of the two"});
        const Value value = validated(schema, one, found->second);
        std::vector<ConfigurationPtr> members;
        if (const auto* member = std::get_if<ConfigurationPtr>(&value)) members.push_back(*member);
        given.erase(found);
        given.emplace(one.only_of, std::move(members));
    }
    return given;
}

template <class T>
const T& get(const Configuration& configuration, std::string_view name) {
    const Value& value = configuration.at(name);
    if (const T* found = std::get_if<T>(&value)) return *found;
    throw InputError({.path = configuration.schema().name + "." + std::string(name),
                      .value = value_text(value),
                      .reason = "read as another type of value than it has"});
}

// A day that the calendar has, written as ISO 8601 does: "2026-05-01".
bool is_date(const std::string& text) {
    const auto day = named_day(text);
    return day && day->type == Day::Type::date;
}

void check_origin(const Schema& schema, const Field& field, const Origin& origin) {
    if (origin.type != Origin::measured) return;
    const std::string name = schema.name + "." + field.name;
    switch (field.type) {
        case FieldType::number:
        case FieldType::integer:
        case FieldType::numbers:
        case FieldType::bearings:
            break;
        default:
            throw InputError({.path = name, .reason = "only numbers are measured; allowed is to give it"});
    }
    if (!is_date(origin.date))
        throw InputError(
            {.path = name, .reason = "measured on " + quoted(origin.date), .allowed = "a date such as '2026-05-01'"});
}

// FNV-1a, 64 bits. Every value begins with its type and its length, so that neighbours cannot run into each other.
class Digest {
  public:
    void add(std::uint64_t word) {
        for (int i = 0; i < 8; ++i, word >>= 8) state_ = (state_ ^ (word & 0xff)) * 0x100000001b3u;
    }
    void add(bool x) { add(std::uint64_t{x}); }
    void add(std::monostate) {}
    void add(double x) { add(std::bit_cast<std::uint64_t>(x)); }
    void add(const std::string& text) {
        add(std::uint64_t{text.size()});
        for (const char c : text) state_ = (state_ ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    }
    void add(const Spread& x) { add(x.text()); }
    void add(const Day& day) { add(day.text()); }
    void add(const ConfigurationPtr& x) { add(x->digest()); }
    void add(const SeriesPtr& x) { add(x->digest()); }
    template <class T>
    void add(const std::vector<T>& xs) {
        add(std::uint64_t{xs.size()});
        for (const T& x : xs) add(x);
    }
    std::uint64_t result() const { return state_; }

  private:
    std::uint64_t state_ = 0xcbf29ce484222325u;
};

}  // namespace

std::string name_of_member(const ConfigurationPtr& member) {
    for (const Field& f : member->schema().fields)
        if (f.name == "name" && f.type == FieldType::text && member->has("name")) return member->text("name");
    return "";
}

bool same(const Value& a, const Value& b) {
    if (a.index() != b.index()) return false;
    if (const auto* x = std::get_if<ConfigurationPtr>(&a)) return **x == *std::get<ConfigurationPtr>(b);
    if (const auto* x = std::get_if<SeriesPtr>(&a)) return (*x)->digest() == std::get<SeriesPtr>(b)->digest();
    if (const auto* x = std::get_if<std::vector<ConfigurationPtr>>(&a))
        return std::ranges::equal(*x, std::get<std::vector<ConfigurationPtr>>(b),
                                  [](const ConfigurationPtr& l, const ConfigurationPtr& r) { return *l == *r; });
    return a == b;
}

const Field& Schema::field(std::string_view field_name) const {
    const Field* one = singular_named(*this, field_name);
    return one ? *one : fields[index_of(*this, field_name)];
}

const Field* Schema::singular_of(std::string_view list) const {
    const auto found = std::ranges::find(singulars, list, &Field::only_of);
    return found == singulars.end() ? nullptr : &*found;
}

ConfigurationPtr Configuration::make(const Schema& schema, const Values& given, const Origins& origins) {
    for (const auto& [name, value] : given) schema.field(name);
    const Values values = in_lists(schema, given);
    std::shared_ptr<Configuration> out(new Configuration(schema));
    out->values_.reserve(schema.fields.size());
    for (const Field& f : schema.fields) {
        const auto found = values.find(f.name);
        const Value& value = found != values.end() ? found->second : f.default_value;
        if (found == values.end() && std::holds_alternative<std::monostate>(value) && !f.optional)
            throw InputError(
                {.path = schema.name + "." + f.name, .reason = "must be given", .allowed = allowed_text(f)});
        out->values_.push_back(validated(schema, f, value));
        const auto known = origins.find(f.name);
        out->origins_.push_back(found == values.end()    ? Origin{}
                                : known != origins.end() ? known->second
                                                         : Origin{Origin::given});
        check_origin(schema, f, out->origins_.back());
    }
    if (schema.check) schema.check(*out);
    return out;
}

const Value& Configuration::at(std::string_view field_name) const { return values_[index_of(*schema_, field_name)]; }
bool Configuration::has(std::string_view field_name) const {
    if (const Field* one = singular_named(*schema_, field_name)) return !parts(one->only_of).empty();
    return !std::holds_alternative<std::monostate>(at(field_name));
}
double Configuration::number(std::string_view field_name) const { return get<double>(*this, field_name); }
int Configuration::integer(std::string_view field_name) const {
    return static_cast<int>(get<double>(*this, field_name));
}
bool Configuration::flag(std::string_view field_name) const { return get<bool>(*this, field_name); }
const std::string& Configuration::text(std::string_view field_name) const {
    return get<std::string>(*this, field_name);
}
const std::vector<double>& Configuration::numbers(std::string_view field_name) const {
    return get<std::vector<double>>(*this, field_name);
}
const std::vector<Day>& Configuration::days(std::string_view field_name) const {
    return get<std::vector<Day>>(*this, field_name);
}
ConfigurationPtr Configuration::part(std::string_view field_name) const {
    if (const Field* one = singular_named(*schema_, field_name)) {
        const auto& members = parts(one->only_of);
        if (members.size() > 1) {
            std::string paths;
            for (const std::string& path : paths_of(one->only_of)) paths += (paths.empty() ? "" : ", ") + path;
            throw InputError({.path = schema_->name + "." + one->name,
                              .reason = "there are " + std::to_string(members.size()) + " " + one->only_of,
                              .hint = "say which: " + paths});
        }
        return members.empty() ? nullptr : members.front();
    }
    return has(field_name) ? get<ConfigurationPtr>(*this, field_name) : nullptr;
}
const std::vector<ConfigurationPtr>& Configuration::parts(std::string_view field_name) const {
    return get<std::vector<ConfigurationPtr>>(*this, field_name);
}

std::vector<std::string> Configuration::paths_of(std::string_view list) const {
    const auto& members = parts(list);
    const Field* one = schema_->singular_of(list);
    if (one && members.size() == 1) return {one->name};
    std::vector<std::string> names(members.size()), paths;
    std::ranges::transform(members, names.begin(), name_of_member);
    for (std::size_t i = 0; i < names.size(); ++i) {
        const bool known = !names[i].empty() && std::ranges::count(names, names[i]) == 1;
        paths.push_back(std::string(list) + "." + (known ? names[i] : std::to_string(i + 1)));
    }
    return paths;
}

const Origin& Configuration::origin(std::string_view field_name) const {
    if (const Field* one = singular_named(*schema_, field_name)) return origin(one->only_of);
    return origins_[index_of(*schema_, field_name)];
}

ConfigurationPtr Configuration::changed(const Values& changes, const Origin& origin) const {
    Values all = in_lists(*schema_, changes);
    Origins origins;
    for (std::size_t i = 0; i < values_.size(); ++i) {
        const std::string& name = schema_->fields[i].name;
        origins[name] = all.try_emplace(name, values_[i]).second ? origins_[i] : origin;
    }
    return make(*schema_, all, origins);
}

ConfigurationPtr Configuration::replace(const Values& changes) const { return changed(changes, {Origin::given}); }

ConfigurationPtr Configuration::with_measured(const Values& measured, const std::string& date) const {
    return changed(measured, {Origin::measured, date});
}

std::uint64_t Configuration::digest() const {
    Digest digest;
    digest.add(schema_->name);
    for (std::size_t i = 0; i < values_.size(); ++i) {
        digest.add(schema_->fields[i].name);
        digest.add(std::uint64_t{values_[i].index()});
        std::visit([&](const auto& value) { digest.add(value); }, values_[i]);
    }
    return digest.result();
}

bool Configuration::operator==(const Configuration& other) const {
    return schema_->name == other.schema_->name && std::ranges::equal(values_, other.values_, same);
}

std::vector<std::string> Configuration::warnings() const {
    std::vector<std::string> out;
    if (schema_->warn) out = schema_->warn(*this);
    const auto append = [&](const Configuration& inner) {
        const auto more = inner.warnings();
        out.insert(out.end(), more.begin(), more.end());
    };
    for (const Value& value : values_) {
        if (const auto* configuration = std::get_if<ConfigurationPtr>(&value)) append(**configuration);
        if (const auto* configurations = std::get_if<std::vector<ConfigurationPtr>>(&value))
            for (const ConfigurationPtr& r : *configurations) append(*r);
    }
    return out;
}

}  // namespace ridethrough::config
