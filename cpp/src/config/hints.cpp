// What a bad input was probably meant to be: another unit, text for a number, a name by which others know a field.
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include "ridethrough/base/letters.hpp"
#include "ridethrough/base/nominal_volts.hpp"
#include "value.hpp"

namespace ridethrough::config {

namespace {

constexpr const char* kOnly12V =
    "12 V systems only, and no field changes that. A 24 V system has to be written as the 12 V one with twice the "
    "ampere-hours and twice all currents, the same watts, half of every voltage and a quarter of every cable's "
    "resistance (no 24 V van was checked); give the fridge's cutout_v and restart_v as half of its own 24 V settings, "
    "which are not twice those for 12 V";

// x in the other unit is (x - shift) / per in the declared one; nobody means less than `least` of it. `ask` is instead
// of "are <other> meant? ...".
struct Other {
    std::string_view declared, other;
    double per, shift = 0, least = 0;
    const char* ask = "";
};
// The likelier first. A month has 30.4 days.
constexpr std::array kOthers{
    Other{"degC", "degF", 1.8, 32},
    Other{"degC", "K", 1, 273.15},
    Other{"kWh/m2", "MJ/m2", 3.6},
    Other{"kWh/m2", "kWh/m2 a month", 30.4, 0, 0, "is this a sum of the month? divide by its days"},
    Other{"kWh/m2", "Wh/m2", 1000, 0, 300},
    Other{"kWh/m2", "kJ/m2", 3600, 0, 1000},
    Other{"Ah", "Wh", base::kNominalRestingV},
    Other{"Ah", "kWh", base::kNominalRestingV / 1000},
    Other{"Ah", "mAh", 1000},
    Other{"A", "W", base::kNominalRestingV},
    Other{"A", "mA", 1000},
    Other{"W", "kW", 0.001},
    Other{"Wh", "kWh", 0.001},
    Other{"V", "V of a 24 V system", 2},
    Other{"V", "mV", 1000},
    Other{"mohm", "ohm", 0.001},
    Other{"h", "min", 60},
    Other{"min", "s", 60},
    Other{"m", "cm", 100, 0, 20},
    Other{"m", "mm", 1000, 0, 200},
    Other{"l", "m3", 0.001},
    Other{"kg", "g", 1000},
    Other{"", "%", 100, 0, 2},  // 1.5 for a share is rather too much of it than 1.5 %
};
constexpr double kLargestShare = 5;  // fields with a wider range are no shares or factors
constexpr double kMost24V = 32;      // a 24 V system in charge

std::string_view declared_unit(const Field& f) { return f.unit == "C" ? "degC" : std::string_view(f.unit); }
bool lies_in(const Field& f, double x) { return x >= f.low && x <= f.high; }

bool is_clock(const Field& f) { return f.doc.starts_with("clock hour"); }

bool may_be(const Other& o, const Field& f, double x) {
    if (o.declared == "h") return !is_clock(f);
    if (o.declared.empty() && f.high > kLargestShare) return false;
    if (o.other.ends_with("24 V system") && x > kMost24V) return false;
    return o.least == 0 || std::abs(x) >= o.least;
}

// Three digits, one place of a temperature; thousands apart.
std::string readable(double x, bool temperature) {
    const double size = std::abs(x);
    int places = temperature ? 1 : 0;
    for (double last = 100; !temperature && size > 0 && size < last && places < 6; last /= 10) ++places;
    char text[400];
    std::string out(text, std::to_chars(text, text + sizeof text, x, std::chars_format::fixed, places).ptr);
    if (out.find('.') != std::string::npos) {
        out.erase(out.find_last_not_of('0') + 1);
        if (out.back() == '.') out.pop_back();
    }
    const std::size_t start = out.front() == '-' ? 1 : 0;
    for (std::size_t at = std::min(out.find('.'), out.size()); at > start + 3;) out.insert(at -= 3, ",");
    return out;
}

std::string asked(const Other& o, const Field& f, double x) {
    const double converted = (x - o.shift) / o.per;
    if (*o.ask) return o.ask;
    if (o.declared.empty()) return "is per cent meant? write " + number_text(std::round(converted * 1e6) / 1e6);
    if (o.other.ends_with("24 V system")) return "are these volts of a 24 V system? " + std::string(kOnly12V);
    const std::string unit(declared_unit(f)), other(o.other);
    const bool temperature = unit == "degC",
               by_volts = o.per == base::kNominalRestingV || o.per == base::kNominalRestingV / 1000;
    return "are " + other + " meant? " + readable(x, temperature) + " " + other + " are " +
           readable(converted, temperature) + " " + unit +
           (by_volts ? " at " + number_text(base::kNominalRestingV) + " V" : "") +
           (unit == "kWh/m2" ? "; divide by " + number_text(o.per) : "");
}

// "degF" for "F", " deg F" and the like.
std::string unit_name(std::string_view written) {
    std::string out;
    for (const char c : base::ascii_lower(written))
        if (c > ' ' && c < 0x7f) out += c;  // a degree sign is none of these
    if (out == "f" || out == "fahrenheit") return "degf";
    return out == "c" || out == "celsius" ? "degc" : out;
}

std::optional<std::string> inside_quotes(const std::string& shown) {
    if (shown.size() < 2 || (shown.front() != '\'' && shown.front() != '"') || shown.back() != shown.front()) return {};
    return shown.substr(1, shown.size() - 2);
}

bool shares_a_word(const std::string& a, const std::string& b) {
    const auto has = [](const std::string& name, const std::string& word) {
        return ("_" + name + "_").find("_" + word + "_") != std::string::npos;
    };
    for (std::size_t from = 0, to; from < a.size(); from = to + 1) {
        to = std::min(a.find('_', from), a.size());
        const std::string word = a.substr(from, to - from);
        if (word.size() > 2 && has(b, word)) return true;
    }
    return false;
}

std::string listed(const std::vector<std::string>& names) {
    std::string out;
    for (const std::string& name : names) out += (out.empty() ? "" : ", ") + name;
    return out;
}

// Names that others give to a field.
struct KnownAs {
    std::string_view said, meant;
};
constexpr std::array kKnownAs{
    KnownAs{"watts", "rated_w"},
    KnownAs{"power_w", "rated_w"},
    KnownAs{"solar_w", "rated_w"},
    KnownAs{"panel_w", "rated_w"},
    KnownAs{"peak_w", "rated_w"},
    KnownAs{"wp", "rated_w"},
    KnownAs{"liters", "volume_l"},
    KnownAs{"litres", "volume_l"},
    KnownAs{"ah", "capacity_ah"},
    KnownAs{"amp_hours", "capacity_ah"},
    KnownAs{"soc", "initial_soc"},
    KnownAs{"set_c", "set_point_c"},
    KnownAs{"temperature_c", "set_point_c"},
    KnownAs{"temperature", "set_point_c"},
    KnownAs{"temp_c", "set_point_c"},
    KnownAs{"awg", "supply_section_mm2"},
    KnownAs{"supply_awg", "supply_section_mm2"},
    KnownAs{"days", "nights"},
    KnownAs{"date", "start"},
    KnownAs{"departure", "start"},
    KnownAs{"lat", "latitude"},
    KnownAs{"lon", "longitude"},
    KnownAs{"lng", "longitude"},
};
constexpr std::array<std::string_view, 11> kSystemVolts{
    "system_v",  "system_voltage",  "system_voltage_v",  "voltage", "voltage_v", "volts",
    "nominal_v", "nominal_voltage", "nominal_voltage_v", "bus_v",   "battery_v"};

}  // namespace

std::string unit_guess(const Field& field, double shown, std::span<const double> all) {
    if (!std::isfinite(shown) || field.type == FieldType::integer) return "";
    for (const Other& o : kOthers) {
        const auto fits = [&](double x) { return lies_in(field, (x - o.shift) / o.per); };
        if (o.declared != declared_unit(field) || !may_be(o, field, shown) || !fits(shown)) continue;
        if (std::all_of(all.begin(), all.end(), fits)) return asked(o, field, shown);
    }
    if (is_clock(field) && shown > 0 && lies_in(field, shown + 12))
        return "is " + number_text(shown) + " pm meant? write " + number_text(shown + 12);
    return "";
}

namespace {

std::string hint_of_day(const std::string& shown) {
    const auto text = inside_quotes(shown);
    if (!text) return shown == "0" ? "days and nights are counted from 1" : "";
    if (!text->empty() && text->find_first_not_of("0123456789") == std::string::npos)
        return "write a number without quotes: " + *text;
    const std::string near = day_hint(*text);
    return near.empty() ? "" : "did you mean " + quoted(near) + "?";
}

}  // namespace

std::string text_hint(const Field& field, const std::string& shown) {
    if (field.type == FieldType::days) return hint_of_day(shown);
    const bool wanted =
        field.type == FieldType::number || field.type == FieldType::integer || field.type == FieldType::numbers;
    const auto text = wanted ? inside_quotes(shown) : std::nullopt;
    if (!text) return "";
    const std::string advice = "write a number without quotes";
    std::string in_unit = "write a number" + (field.unit.empty() ? "" : " in " + field.unit) + " without quotes";
    std::string_view written(*text);
    written.remove_prefix(std::min(written.find_first_not_of(' '), written.size()));
    if (field.type == FieldType::numbers && written.find(',') != std::string_view::npos)
        return "write the numbers in brackets and without quotes";
    double x = 0;
    const auto end = std::from_chars(written.data(), written.data() + written.size(), x);
    if (end.ec != std::errc() || !std::isfinite(x)) return in_unit;
    const std::string rest = unit_name(written.substr(static_cast<std::size_t>(end.ptr - written.data())));
    if (rest.empty() || rest == base::ascii_lower(declared_unit(field)) || rest == base::ascii_lower(field.unit))
        return advice + ": " + number_text(x);
    if (rest.front() == ',') return advice + " and with a decimal point";
    for (const Other& o : kOthers)
        if (o.declared == declared_unit(field) && rest == base::ascii_lower(o.other))
            return in_unit + ": " + number_text(std::round((x - o.shift) / o.per * 1e2) / 1e2);
    return in_unit;
}

base::Fault no_such_field(const Schema& schema, std::string_view wrong) {
    std::vector<std::string> names, related;
    for (const Field& f : schema.singulars) names.push_back(f.name);
    for (const Field& f : schema.fields) names.push_back(f.name);
    base::Fault out{.path = schema.name + "." + std::string(wrong),
                    .reason = "no such field",
                    .choices = listed(names),
                    .more = "explain(" + base::quoted(schema.name) + ") and PARAMETERS.md list all"};
    for (const Moved& m : schema.moved)
        if (wrong == m.name) {
            out.reason = "no such field; it is now " + m.now;
            out.hint = m.example;
            out.more = "";
            return out;
        }
    const std::string name = base::ascii_lower(wrong);
    if (std::ranges::find(kSystemVolts, name) != kSystemVolts.end()) {
        out.hint = kOnly12V;
        return out;
    }
    std::string meant = nearest_name(wrong, names);
    for (const KnownAs& known : kKnownAs)
        if (name == known.said && std::ranges::find(names, known.meant) != names.end()) meant = known.meant;
    if (!meant.empty()) {
        out.suggestion = meant;
        if (name.ends_with("awg")) out.more = "10 AWG are 5.3 mm2, 12 AWG 3.3 mm2; " + out.more;
        return out;
    }
    for (const std::string& n : names)
        if (shares_a_word(name, n)) related.push_back(n);
    if (related.empty())
        out.more = "it has " + out.choices + "; " + out.more;
    else
        out.hint = "there are " + listed(related);
    return out;
}

}  // namespace ridethrough::config
