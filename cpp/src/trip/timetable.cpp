#include "timetable.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "ridethrough/sun/calendar.hpp"

namespace ridethrough::trip {
using base::InputError;
using base::number_text;
using config::Configuration;
using config::ConfigurationPtr;
using config::Day;

namespace {

struct TripDay {
    int index;
    bool by_weekday;
};

struct Calendar {
    int first_day, days;  // since 1970-01-01; that may be asked for
    bool nights;
};

[[noreturn]] void outside(const std::string& path, const Day& day, const Calendar& calendar) {
    const auto shown = [&](int index) {
        if (day.type == Day::Type::date) return base::quoted(sun::date_text(calendar.first_day + index));
        return std::to_string(index + 1);
    };
    const bool date = day.type == Day::Type::date;
    throw InputError({.path = path_in_messages(path),
                      .value = date ? base::quoted(day.text()) : day.text(),
                      .allowed = shown(0) + " to " + shown(calendar.days - 1) +
                                 (date              ? ""
                                  : calendar.nights ? " (1 is the first night)"
                                                    : " (1 is the day of the start)")});
}

// Days of the clock that are meant, each once.
std::vector<TripDay> days_of(const std::vector<Day>& said, const std::string& path, const Calendar& calendar) {
    std::vector<TripDay> out;
    const auto add = [&](TripDay day) {
        if (std::none_of(out.begin(), out.end(), [&](const TripDay& d) { return d.index == day.index; }))
            out.push_back(day);
    };
    for (const Day& day : said) {
        if (day.type == Day::Type::weekday) {
            for (int i = 0; i < calendar.days; ++i)
                if (sun::weekday(calendar.first_day + i) == day.value) add({i, true});
            continue;
        }
        const int index = day.type == Day::Type::date ? day.value - calendar.first_day : day.value - 1;
        if (index < 0 || index >= calendar.days) outside(path, day, calendar);
        add({index, false});
    }
    return out;
}

bool any_weekday(const std::vector<Day>& said) {
    return std::any_of(said.begin(), said.end(), [](const Day& d) { return d.type == Day::Type::weekday; });
}

Calendar calendar_of(const Configuration& trip, bool nights) {
    const int count = nights_of(trip);
    return {sun::parse_start(trip.text("start"), "Trip.start").day_number, nights ? count : count + 1, nights};
}

void add_lists(const Configuration& trip, std::vector<Item>& out) {
    struct List {
        const char *field, *days;
        Activity activity;
    };
    static constexpr std::array lists{
        List{"drives", "days", Activity::drive}, List{"day_trips", "days", Activity::day_trip},
        List{"idling", "days", Activity::idling}, List{"generator_runs", "days", Activity::generator},
        List{"shore_power", "nights", Activity::shore_power}};
    for (const List& list : lists) {
        const Calendar calendar = calendar_of(trip, std::string_view(list.days) == "nights");
        int place = 1;  // as in paths
        for (const ConfigurationPtr& one : trip.parts(list.field)) {
            Item item{list.activity, "trip." + std::string(list.field) + "." + std::to_string(place++), {}};
            double from = one->number("start_h"), length = one->number("duration_h");
            if (list.activity == Activity::generator) {
                const double to = std::min(from + length, trip.number("generator_allowed_to_h"));
                from = std::max(from, trip.number("generator_allowed_from_h"));
                length = std::max(to - from, 0.0);
            }
            item.has_weekdays = any_weekday(one->days(list.days));
            for (const TripDay& d : days_of(one->days(list.days), item.path + "." + list.days, calendar))
                item.occasions.push_back({d.index, d.by_weekday, 24 * d.index + from, length});
            out.push_back(std::move(item));
        }
    }
}

// Roads to the stops, and shore power from an arrival to the next departure.
void add_stops(const Configuration& trip, std::vector<Item>& out) {
    const auto& stops = trip.parts("stops");
    int first_day = 0;
    for (std::size_t i = 0; i < stops.size(); ++i) {
        const Configuration& stop = *stops[i];
        const double arrival = 24 * first_day + stop.number("arrival_h");
        double departure = arrival - stop.number("drive_duration_h");
        if (i == 0) departure = std::max(departure, sun::parse_start(trip.text("start"), "Trip.start").hour);
        const std::string path = "trip.stops." + stop.text("name");
        if (arrival > departure)
            out.push_back({Activity::drive,
                           path,
                           {{static_cast<int>(std::floor(departure / 24)), false, departure, arrival - departure}},
                           false,
                           true});
        const int day = first_day;
        first_day += stop.integer("nights");
        if (stop.text("power") != "shore") continue;
        double until = std::numeric_limits<double>::infinity();
        if (i + 1 < stops.size())
            until = 24 * first_day + stops[i + 1]->number("arrival_h") - stops[i + 1]->number("drive_duration_h");
        out.push_back({Activity::shore_power, path, {{day, false, arrival, until - arrival}}, true, true});
    }
}

void add_moments(const Configuration& trip, std::vector<Item>& out) {
    const Calendar calendar = calendar_of(trip, false);
    const auto add = [&](Activity activity, const char* field, double hour) {
        Item item{activity, "trip." + std::string(field), {}};
        item.has_weekdays = any_weekday(trip.days(field));
        for (const TripDay& d : days_of(trip.days(field), item.path, calendar))
            item.occasions.push_back({d.index, d.by_weekday, 24 * d.index + hour});
        if (!trip.days(field).empty()) out.push_back(std::move(item));
    };
    add(Activity::water, "water_days", 0);
    add(Activity::warm_food, "warm_food_days", trip.number("warm_food_h"));
}

// What the van can do once at a time.
int group_of(Activity activity) {
    return static_cast<int>(activity == Activity::day_trip ? Activity::drive : activity);
}

struct Spell {
    const Item* item;
    double from_h, to_h;

    std::string text() const { return spell_text(from_h, to_h); }
};

constexpr double kSameH = 1e-9;

bool in_one_step(const Spell& a, const Spell& b, double step_h) {
    return std::floor((a.to_h - kSameH) / step_h) == std::floor((b.from_h + kSameH) / step_h);
}

void check_apart(const Spell& a, const Spell& b, int step_min) {
    if (b.from_h < a.to_h - kSameH)
        throw InputError({.path = path_in_messages(b.item->path),
                          .reason = b.text() + " overlaps " + path_in_messages(a.item->path) + " (" + a.text() + ")"});
    if (b.from_h <= a.to_h + kSameH || !in_one_step(a, b, step_min / 60.0)) return;
    base::Fault wrong{.path = path_in_messages(b.item->path),
                      .reason = b.text() + " begins in the step in which " + path_in_messages(a.item->path) + " (" +
                                a.text() + ") ends",
                      .allowed = "without a gap, or with one of some minutes"};
    for (const int finer : {30, 15, 5, 1})
        if (finer < step_min && !in_one_step(a, b, finer / 60.0)) {
            wrong.allowed = "with step_min = " + std::to_string(finer) + ", or without a gap";
            break;
        }
    throw InputError(std::move(wrong));
}

}  // namespace

std::string_view name_of(Activity activity) {
    static constexpr std::array<std::string_view, 8> names{"drive",       "day_trip", "idling",    "generator",
                                                           "shore_power", "water",    "warm_food", "storage"};
    return names[static_cast<std::size_t>(activity)];
}

std::string spell_text(double from_h, double to_h) {
    const auto clock = [](double h) { return sun::date_text({0, h - 24 * std::floor(h / 24)}).substr(11); };
    return "day " + std::to_string(static_cast<int>(std::floor(from_h / 24)) + 1) + ", " + clock(from_h) + " to " +
           (std::isinf(to_h) ? "the end" : clock(to_h));
}

int nights_of(const Configuration& trip) {
    const auto& stops = trip.parts("stops");
    if (stops.empty()) return trip.integer("nights");
    int nights = 0;
    for (const ConfigurationPtr& s : stops) nights += s->integer("nights");
    return nights;
}

std::vector<Item> timetable(const Configuration& trip) {
    std::vector<Item> out;
    add_lists(trip, out);
    add_stops(trip, out);
    add_moments(trip, out);
    return out;
}

void check_timetable(const Configuration& trip) {
    const auto items = timetable(trip);
    for (const Activity group : {Activity::drive, Activity::idling, Activity::generator, Activity::shore_power}) {
        std::vector<Spell> spells;
        for (const Item& item : items)
            for (const Occasion& o : item.occasions)
                if (group_of(item.activity) == static_cast<int>(group) && o.length_h > 0)
                    spells.push_back({&item, o.from_h, o.from_h + o.length_h});
        std::stable_sort(spells.begin(), spells.end(),
                         [](const Spell& a, const Spell& b) { return a.from_h < b.from_h; });
        for (std::size_t i = 1; i < spells.size(); ++i) check_apart(spells[i - 1], spells[i], trip.integer("step_min"));
    }
}

}  // namespace ridethrough::trip
