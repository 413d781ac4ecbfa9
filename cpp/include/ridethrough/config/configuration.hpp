// One declaration per parameter. A Schema lists the fields of a configuration class; a Configuration is one frozen
// value of it. Construction, range errors, text, equality, reading and writing all come from the declaration.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "ridethrough/base/text.hpp"
#include "ridethrough/config/day.hpp"
#include "ridethrough/config/provenance.hpp"

namespace ridethrough::config {

using base::InputError;
using base::nearest_name;
using base::number_text;
using base::place_text;
using base::quoted;

// How often a quantity may take a new value: once for the plan, once a trial, once a day, once an hour.
enum class Variation { fixed, trial, day, hour };
std::string_view name_of(Variation variation);

// To whom what is not known of a quantity belongs: to the van and its things; to the people and their habits; to the
// trip, its place and its weather; to the model itself, the normals of the weather included.
enum class Owner { van, person, trip, model };
std::string_view name_of(Owner owner);

// What is not known about a number: a distribution in place of a value, drawn afresh at `per` (or at the field's own
// variation where `per` is not given).
class Spread {
  public:
    enum class Shape { uniform, triangular, pert, normal, discrete };

    static Spread uniform(double low, double high, std::optional<Variation> per = {});
    static Spread triangular(double low, double mode, double high, std::optional<Variation> per = {});
    static Spread pert(double low, double mode, double high, std::optional<Variation> per = {});
    static Spread normal(double mean, double sd, std::optional<Variation> per = {});  // cut at the field's range
    static Spread discrete(std::vector<double> values, std::vector<double> weights, std::optional<Variation> per = {});

    Shape shape() const { return shape_; }
    std::span<const double> numbers() const { return numbers_; }  // in the order of the maker's arguments
    std::span<const double> weights() const { return weights_; }
    std::optional<Variation> per() const { return per_; }
    double lowest() const;   // -inf for the normal
    double highest() const;  // +inf for the normal
    double mean() const;     // of the untruncated shape
    // Inverse CDF at u in (0, 1), with the normal cut to [low, high]. Uses base/math.hpp only.
    double quantile(double u, double low, double high) const;
    void quantiles(std::span<double> us, double low, double high) const;  // of many, each in its u's place
    std::string text() const;  // evaluates back in Python: triangular(0.8, 0.9, 1.0, per='trial')
    bool operator==(const Spread&) const = default;

  private:
    static Spread make(Shape shape, std::vector<double> numbers, std::vector<double> weights,
                       std::optional<Variation> per);
    Shape shape_ = Shape::uniform;
    std::vector<double> numbers_, weights_;
    std::optional<Variation> per_;
    std::vector<double> table_;  // of the PERT's inverse; follows from numbers_
};

class Configuration;
struct Schema;
using ConfigurationPtr = std::shared_ptr<const Configuration>;

// An hour-by-hour weather series kept by reference; see weather/series.hpp for what is in it.
class Series {
  public:
    virtual ~Series() = default;
    virtual std::uint64_t digest() const = 0;
    virtual std::string text() const = 0;
};
using SeriesPtr = std::shared_ptr<const Series>;

// monostate: not given (only where the field is optional). Integers are kept as double.
using Value = std::variant<std::monostate, bool, double, std::string, std::vector<double>, Spread, ConfigurationPtr,
                           std::vector<ConfigurationPtr>, SeriesPtr, std::vector<Day>>;

// bearings: numbers by compass bearing, kept as bearing, number, bearing, number, ... by rising bearing.
// days: days or nights of a trip; numbers given for them are counted from 1.
enum class FieldType { number, integer, flag, choice, text, numbers, bearings, part, parts, series, days };

struct Field {
    std::string name;
    std::string unit = {};  // "" for a pure number
    FieldType type = FieldType::number;
    Variation variation = Variation::fixed;
    double low = 0, high = 0;           // allowed range of a number, an integer or each of `numbers` or `bearings`
    Value default_value = {};           // the default; monostate and not optional means that it must be given
    bool optional = false;              // may be None
    std::optional<Source> source = {};  // of the default; none where it must be given
    std::string doc = {};
    std::vector<std::string> choices = {};  // options of a choice; the schemas that a part may have
    std::size_t size = 0;                   // for numbers: the exact count, 0 for any
    std::optional<Owner> owner = {};        // where it is not the schema's
    std::string draw_name = {};             // under which it is drawn where that is not its name
    std::string former_name = {};           // an error tells who still gives that the name of now
    std::string only_of = {};               // of a part that is the only member of a list: the list
};

// A field that is no more: what says it now, and an example of that in Python and in a scenario file.
struct Moved {
    std::string name, now, example, file_example;
};

struct Schema {
    std::string name;  // the Python class
    std::string doc;
    std::vector<Field> fields;
    // Relations between fields that a range cannot say; throws InputError.
    std::function<void(const Configuration&)> check = {};
    // What is allowed but probably not meant; each names its field.
    std::function<std::vector<std::string>(const Configuration&)> warn = {};
    Owner owner = Owner::van;  // of its quantities, where they do not say another
    std::vector<Moved> moved = {};
    // Second names of lists, for their only member: a van with `solar` has a list `arrays` of one, which is what is
    // kept. They are asked for by name like a field, and are none of `fields`.
    std::vector<Field> singulars = {};
    std::string former_name = {};

    Owner owner_of(const Field& of) const { return of.owner.value_or(owner); }
    const Field& field(std::string_view field_name) const;  // InputError with the nearest name
    const Field* singular_of(std::string_view list) const;  // null where a list has no such name
};

using Values = std::map<std::string, Value, std::less<>>;

// Whether a value is the declaration's default, was given, or was given as measured. It is a remark for readers: equal
// values are equal whatever their origin, and no answer looks at it.
struct Origin {
    enum class Type { by_default, given, measured };
    using enum Type;
    Type type = by_default;
    std::string date = {};  // of the measurement, "2026-05-01"

    std::string text() const;  // "default", "given", "measured on 2026-05-01"
    bool operator==(const Origin&) const = default;
};
using Origins = std::map<std::string, Origin, std::less<>>;

class Configuration {
  public:
    // Missing fields take their defaults; unknown, ill-typed and out-of-range ones are InputErrors. `origins` of the
    // given values, where they are not just given.
    static ConfigurationPtr make(const Schema& schema, const Values& given, const Origins& origins = {});

    const Schema& schema() const { return *schema_; }
    const Value& at(std::string_view field_name) const;
    bool has(std::string_view field_name) const;       // false where None
    double number(std::string_view field_name) const;  // a plain number, InputError where it is a spread
    int integer(std::string_view field_name) const;
    bool flag(std::string_view field_name) const;
    const std::string& text(std::string_view field_name) const;  // text and choice
    const std::vector<double>& numbers(std::string_view field_name) const;
    const std::vector<Day>& days(std::string_view field_name) const;
    // nullptr where None; of a list's only member: InputError where there are several.
    ConfigurationPtr part(std::string_view field_name) const;
    const std::vector<ConfigurationPtr>& parts(std::string_view field_name) const;
    // Of each member of a list the path by which it is asked for: its name, or its place counted from 1 where it has
    // none of its own; the list's singular where it is alone. "solar", or "arrays.roof" and "arrays.2".
    std::vector<std::string> paths_of(std::string_view list) const;

    const Origin& origin(std::string_view field_name) const;

    ConfigurationPtr replace(const Values& changes) const;
    // The same with numbers that were measured on a day, "2026-05-01".
    ConfigurationPtr with_measured(const Values& measured, const std::string& date) const;
    std::string repr() const;  // evaluates back in Python; fields at their defaults are left out
    std::uint64_t digest() const;
    bool operator==(const Configuration& other) const;
    std::vector<std::string> warnings() const;  // of this configuration and those inside it

  private:
    Configuration(const Schema& schema) : schema_(&schema) {}
    const Schema* schema_;
    ConfigurationPtr changed(const Values& changes, const Origin& origin) const;
    std::vector<Value> values_;    // in the schema's order
    std::vector<Origin> origins_;  // in the same
};

// "1 to 2000 Ah", "'inside' or 'outside'", "AgmBattery or LithiumBattery, or None".
std::string allowed_text(const Field& field);
std::string value_text(const Field& field, const Value& value);  // as Python writes it
// A unit in which a number outside the field's range, and `all` that stand beside it, lie in that range:
// "are degF meant? 40 degF are 4.4 degC", or "" where there is none.
std::string unit_guess(const Field& field, double shown, std::span<const double> all = {});
// "AgmBattery.capacity_ah = -5 Ah: allowed 1 to 2000 Ah", and the hint where there is one
[[noreturn]] void throw_out_of_range(std::string_view owner, const Field& field, const std::string& shown,
                                     std::string hint = {});

}  // namespace ridethrough::config
