#include "ridethrough/base/text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numeric>
#include <utility>
#include <vector>

namespace ridethrough::base {

std::string Fault::text() const {
    std::string said = path;
    if (!value.empty()) said += " = " + value + (unit.empty() ? "" : " " + unit);
    const char* before = ": ";
    const auto add = [&](const std::string& words) {
        if (words.empty()) return;
        said += before + words;
        before = "; ";
    };
    add(reason);
    add(allowed.empty() ? "" : "allowed " + allowed);
    add(hint);
    const bool asks = !suggestion.empty() && reason != "now " + suggestion;  // what was renamed is no guess
    if (asks) add("did you mean " + suggestion + "?");
    if (asks && !more.empty()) before = " ";
    add(more);
    return said;
}

// Written out between 1e-4 and 1e16, else with an exponent, as Python does.
std::string number_text(double x) {
    if (std::isnan(x)) return "nan";
    const double size = std::abs(x);
    const bool plain = size == 0 || (size >= 1e-4 && size < 1e16);
    char text[64];
    const auto end =
        std::to_chars(text, text + sizeof text, x, plain ? std::chars_format::fixed : std::chars_format::scientific);
    return std::isinf(x) ? (x > 0 ? "inf" : "-inf") : std::string(text, end.ptr);
}

std::string place_text(std::size_t i, std::size_t size) {
    static constexpr std::array<const char*, 12> months{"January",   "February", "March",    "April",
                                                        "May",       "June",     "July",     "August",
                                                        "September", "October",  "November", "December"};
    return "." + std::to_string(i + 1) + (size == months.size() ? " (" + std::string(months[i]) + ")" : "");
}

std::string quoted(std::string_view text) {
    static constexpr char hex[] = "0123456789abcdef";
    std::string out = "'";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '\\' || c == '\'')
            out += {'\\', c};
        else if (byte < 0x20 || byte == 0x7f)
            out += {'\\', 'x', hex[byte >> 4], hex[byte & 15]};
        else
            out += c;
    }
    return out + "'";
}

// Edit distance (insert, delete, replace, all of cost 1) with case ignored; near is a third of the longer name.
std::string nearest_name(std::string_view wrong, std::span<const std::string> names) {
    const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
    std::string best;
    std::size_t best_distance = std::string::npos;
    for (const std::string& name : names) {
        std::vector<std::size_t> row(name.size() + 1);
        std::iota(row.begin(), row.end(), 0);
        for (std::size_t i = 0; i < wrong.size(); ++i) {
            std::size_t diagonal = std::exchange(row[0], i + 1);
            for (std::size_t j = 0; j < name.size(); ++j) {
                const std::size_t replaced = diagonal + (lower(wrong[i]) != lower(name[j]));
                diagonal = row[j + 1];
                row[j + 1] = std::min({replaced, row[j] + 1, row[j + 1] + 1});
            }
        }
        const std::size_t near = std::max<std::size_t>(1, std::max(wrong.size(), name.size()) / 3);
        if (row.back() <= near && row.back() < best_distance) best = name, best_distance = row.back();
    }
    return best;
}

}  // namespace ridethrough::base
