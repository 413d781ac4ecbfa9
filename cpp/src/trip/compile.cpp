#include "ridethrough/trip/compile.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

#include "ridethrough/base/math.hpp"
#include "ridethrough/weather/climate.hpp"
#include "ridethrough/fridge/schemas.hpp"
#include "ridethrough/loads/schemas.hpp"
#include "ridethrough/battery/ageing.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/solar/plane.hpp"
#include "ridethrough/solar/schemas.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "party_compile.hpp"
#include "hours.hpp"
#include "extras.hpp"
#include "plausible.hpp"
#include "stops.hpp"
#include "tables.hpp"
#include "vehicle_plans.hpp"

namespace ridethrough::trip {
using base::InputError;
using config::Record;
using config::RecordPtr;

// Fills a Compiled step by step; each step reads the records and appends to the draft.
struct Compiled::Builder {
    Compiled& out;
    const Record &van, &trip, &site, &climate;
    Draft draft;
    std::vector<Place> places;    // one, or the trip's stops
    std::set<std::string> names;  // of spreads and purposes, each used once
    std::optional<ClockSteps> steps = {};

    void set(int slot, double constant) { out.slots_[static_cast<std::size_t>(slot)].constant = constant; }

    void bind(int slot, const Record& record, const char* field, const std::string& path) {
        SlotDraw& draw = out.slots_[static_cast<std::size_t>(slot)];
        const config::Field& f = record.schema().field(field);
        draw.path = path + field;
        draw.low = f.low;
        draw.high = f.high;
        const config::Value& v = record.at(field);
        if (const auto* spread = std::get_if<config::Spread>(&v)) {
            draw.spread = *spread;
            draw.daily = spread->per().value_or(f.level) == config::Level::day;
            draw.purpose = random::purpose("spread." + draw.path);
        } else {
            draw.constant = std::get<double>(v);
        }
    }
    // A field that may be None, with the value it then takes.
    void bind_or(int slot, const Record& record, const char* field, const std::string& path, double otherwise) {
        if (record.has(field))
            bind(slot, record, field, path);
        else
            set(slot, otherwise);
    }
    // A share of vans becomes a yes or no for each trial.
    void bind_share(int slot, const Record& record, const char* field, const std::string& path) {
        SlotDraw& draw = out.slots_[static_cast<std::size_t>(slot)];
        const double share = record.number(field);
        draw.path = path + field;
        draw.low = 0;
        draw.high = 1;
        draw.constant = share >= 1 ? 1 : 0;
        if (share > 0 && share < 1) draw.spread = config::Spread::discrete({0, 1}, {1 - share, share});
        draw.purpose = random::purpose("spread." + draw.path);
    }
    int add_slot() {
        out.slots_.emplace_back();
        return static_cast<int>(out.slots_.size()) - 1;
    }
    int add_words(const std::string& name, int words_a_day) {
        const int first = out.total_words_;
        if (!names.insert(name).second) throw InputError("two loads are called \"" + name + "\"");
        out.words_.push_back({name, random::purpose(name), words_a_day, first});
        out.total_words_ += words_a_day * out.drawn_days();
        return first;
    }

    void calendar() {
        const auto start = sun::parse_start(trip.text("start"), "Trip.start");
        out.first_day_ = start.day_number;
        out.start_hour_ = start.hour;
        out.hours_ = 24 * nights_of(trip);
        engine::Plan<double>& p = draft.plan;
        const int minutes = trip.integer("step_min");
        p.replay = trip.text("weather") == "replayed";
        steps.emplace(out.clock_, start.day_number, static_cast<int>(start.hour), out.hours_, minutes);
        if (const auto record = weather::hourly_record(climate); record && p.replay)
            steps->follow_record(record->data().utc_offset_h);
        lay_clock(*steps, draft);
        out.days_ = steps->days();
        out.sky_days_ = steps->sky_days();
        out.sky_utc_offset_h_ = steps->sky_utc_offset_h();
        for (const auto& said : {out.clock_.warnings, zone_warnings(out.clock_, site), steps->warnings()})
            out.warnings_.insert(out.warnings_.end(), said.begin(), said.end());
        p.wake_h = trip.number("wake_h");
        p.bedtime_h = trip.number("bedtime_h");
    }

    void mark(std::vector<double>& spans, double from_h, double length_h, const std::string& what) {
        if (!mark_hours(draft.plan, steps->on_start_clock(from_h), length_h, spans))
            out.warnings_.push_back(what + " lies outside the trip and does nothing");
    }

    void days_and_sources() {
        const engine::Plan<double>& p = draft.plan;
        const auto count = static_cast<std::size_t>(p.steps);
        draft.drive.assign(2 * count, 0);
        draft.powered.assign(2 * count, 0);
        draft.warm_food.assign(count, 0);
        const auto day = [](const char* field, double d) {
            return std::string("Trip.") + field + " = " + base::number_text(d) + " (0 is the day of the start)";
        };
        for (double d : trip.numbers("drive_days"))
            mark(draft.drive, 24 * d + trip.number("drive_start_h"), trip.number("drive_hours"), day("drive_days", d));
        const MovingSpans moves = moving_spans(places, van, out.start_hour_, steps->end_h());
        for (const auto& [from, length] : moves.drives) mark(draft.drive, from, length, "Trip.stops: a drive");
        add_vehicle_hours(van, trip, draft, slot_maker(), out.warnings_);  // after the drives, which warm an engine bay
        for (double d : trip.numbers("powered_nights"))
            mark(draft.powered, 24 * d + trip.number("powered_from_h"), trip.number("powered_hours"),
                 day("powered_nights", d));
        for (double d : trip.numbers("warm_food_days")) {
            const double hour = steps->on_start_clock(24 * d + trip.number("warm_food_h"));
            const double step = std::floor(hour / p.step_h + 1e-9) - p.first_step;
            if (step >= 0 && step < p.steps)
                draft.warm_food[static_cast<std::size_t>(step)] = 1;
            else
                out.warnings_.push_back(day("warm_food_days", d) + " lies outside the trip and does nothing");
        }
        for (const auto& [from, length] : moves.powered)
            mark(draft.powered, from, steps->passing_h(from, length), "Trip.stops: shore power");
        if (!(trip.numbers("drive_days").empty() && moves.drives.empty()) && !van.has("dc_dc"))
            out.warnings_.push_back("the trip has drives, but Van.dc_dc is None: driving charges nothing");
        if (!trip.numbers("powered_nights").empty() && !van.has("mains"))
            throw InputError("Trip.powered_nights is given, but Van.mains is None: give the van a MainsCharger");
    }

    void battery() {
        const RecordPtr b = van.record("battery");
        draft.plan.battery = battery::battery_kind(*b);
        const auto& kind = draft.plan.battery;
        draft.plan.q_max_per_capacity = battery::q_max_per_capacity(kind.c, kind.k, 20);
        const std::string at = "battery.";
        bind(engine::kCapacityAh, *b, "capacity_ah", at);
        bind(engine::kStateOfHealth, *b, "state_of_health", at);
        bind(engine::kStartCharge, *b, "start_charge", at);
        bind(engine::kResistance, *b, "resistance_mohm_100ah", at);
        bind(engine::kRestOffset, *b, "rest_voltage_offset_v", at);
        bind(engine::kCapacityFactor0c, *b, "capacity_factor_0c", at);
        bind_or(engine::kCabinShare, *b, "cabin_share", at, cabin_share_of(b->text("location")));
        add_battery_state(*b, draft.plan.vehicle, slot_maker());
        bind(engine::kThermalLag, *b, "thermal_lag_h", at);
        if (kind.lithium) {
            bind(engine::kAcceptance, *b, "charge_c_rate", at);
            bind(engine::kCoulombic, *b, "coulombic_efficiency", at);
            bind_share(engine::kWakesItself, *b, "wakes_itself_share", at);
        } else {
            bind(engine::kPolarisation, *b, "polarisation_factor", at);
            bind(engine::kAcceptance, *b, "acceptance_per_h", at);
            set(engine::kCoulombic, 1);
        }
        const RecordPtr w = van.record("wiring");
        bind(engine::kSharedMohm, *w, "shared_mohm", "wiring.");
        bind(engine::kBranchMohm, *w, "fridge_branch_mohm", "wiring.");
        if (const RecordPtr d = van.record("disconnect")) {
            draft.plan.has_disconnect = true;
            draft.plan.disconnect_delay_h = d->number("cutout_delay_s") / 3600;
            bind(engine::kDisconnectV, *d, "cutout_v", "disconnect.");
            bind(engine::kReconnectV, *d, "restart_v", "disconnect.");
            restart_above(engine::kReconnectV, engine::kDisconnectV);
        }
    }

    SlotMaker slot_maker() {
        return {[this] { return add_slot(); },
                [this](int slot, double x) {
                    out.slots_[static_cast<std::size_t>(slot)] = SlotDraw{};
                    set(slot, x);
                },
                [this](int slot, const Record& r, const char* f, const std::string& at) { bind(slot, r, f, at); },
                [this](int slot, const std::string& path, config::Spread s, double low, double high) {
                    out.slots_[static_cast<std::size_t>(slot)] = {
                        path, 0, std::move(s), low, high, false, random::purpose("spread." + path)};
                },
                [this](std::vector<double>& spans, double from_h, double length_h, const std::string& what) {
                    mark(spans, from_h, length_h, what);
                }};
    }

    void restart_above(int upper, int lower) const {
        require_above(out.slots_[static_cast<std::size_t>(upper)], out.slots_[static_cast<std::size_t>(lower)]);
    }

    void chargers() {
        if (const RecordPtr s = van.record("solar")) {
            bind(engine::kRatedW, *s, "rated_w", "solar.");
            bind(engine::kDirtLoss, *s, "dirt_loss", "solar.");
            bind(engine::kOtherLoss, *s, "other_loss", "solar.");
            bind(engine::kRegulatorEfficiency, *s, "regulator_efficiency", "solar.");
        }
        const engine::VehiclePlan<double>& v = draft.plan.vehicle;
        add_alternator(van, trip, draft.plan.vehicle, slot_maker());
        if (v.restart_slot >= 0) restart_above(v.restart_slot, engine::kLockoutV);
        if (const RecordPtr m = van.record("mains")) bind(engine::kMainsA, *m, "current_a", "mains.");
    }

    void fridge() {
        const RecordPtr f = van.record("fridge");
        const double volume = f->number("volume_l") / 55;
        const bool upright = f->text("form") == "upright";
        bind_or(engine::kUa, *f, "ua_w_per_k", "fridge.", base::pow(volume, 0.74) * (upright ? kUprightLeak : 1));
        bind(engine::kHeatLeakFactor, *f, "heat_leak_factor", "fridge.");
        bind_or(engine::kHeatCapacity, *f, "heat_capacity_kj_per_k", "fridge.", 30 * volume);
        bind_or(engine::kCompressorW, *f, "compressor_w", "fridge.", fridge::usual_compressor_w(f->number("volume_l")));
        bind(engine::kCarnotShare, *f, "carnot_share", "fridge.");
        bind(engine::kVentRise, *f, "vent_rise_k", "fridge.");
        bind(engine::kDoorOpenings, *f, "door_openings_per_day", "fridge.");
        bind(engine::kFridgeCutoutV, *f, "cutout_v", "fridge.");
        bind(engine::kFridgeRestartV, *f, "restart_v", "fridge.");
        restart_above(engine::kFridgeRestartV, engine::kFridgeCutoutV);
        engine::Plan<double>& p = draft.plan;
        p.set_point_c = f->number("set_point_c");
        p.hysteresis_k = f->number("hysteresis_k");
        p.carnot_loss_per_k = f->number("carnot_share_loss_per_k");
        p.door_opening_wh_per_k = f->number("door_opening_wh") / 28 * (upright ? kUprightDoors : 1);
        p.fridge_delay_h = f->number("cutout_delay_s") / 3600;
        p.restart_wait_h = f->number("restart_wait_s") / 3600;
        p.food_release = 1 - base::exp(-p.step_h / 4);  // warm food gives up its heat in about 4 h, from memory
        p.fridge_word = add_words("load.fridge", 2);
    }

    void loads() {
        const RecordPtr party = trip.record("party");
        const DayHabits habits{trip.number("wake_h"), trip.number("bedtime_h"),
                               party ? party->number("persons") : 2.0};
        const auto slot = [at = slots_of_this()](const Record& load, const char* field) {
            return at(load, field, "loads." + load.text("name") + ".", 0);
        };
        const auto constant = [&](double value) {
            const int s = add_slot();
            set(s, value);
            return s;
        };
        for (const RecordPtr& l : van.records("loads")) {
            const int index = static_cast<int>(out.load_names_.size());
            out.load_names_.push_back(l->text("name"));
            const std::size_t before = draft.loads.events.size(), fans_before = draft.loads.fans.size();
            const int words = add_load(*l, index, habits, slot, constant, draft.loads);
            if (draft.loads.fans.size() > fans_before) {
                draft.loads.fans.back().fitted_slot = add_slot();
                bind_share(draft.loads.fans.back().fitted_slot, *l, "fitted_share",
                           "loads." + l->text("name") + ".");
            }
            if (words == 0) continue;
            const int first = add_words("load." + l->text("name"), words);
            for (std::size_t i = before; i < draft.loads.events.size(); ++i) draft.loads.events[i].first_word += first;
            if (draft.loads.heater.load == index) draft.loads.heater.first_word = first;
        }
        draft.plan.loads = static_cast<int>(out.load_names_.size());
    }
    void party_and_water() {
        const PartyHost host{slots_of_this(), words_of_this(), out.slots_, out.warnings_};
        compile_party(trip, out.first_day_, host, draft);
        compile_water(van, trip, out.days_, host, draft);
        out.has_water_ = draft.plan.water.given;
        out.has_heater_ = draft.loads.heater.load >= 0;
    }
    SlotAt slots_of_this() {
        return [this](const Record& record, const char* field, const std::string& path, double otherwise) {
            bind_or(add_slot(), record, field, path, otherwise);
            return static_cast<int>(out.slots_.size()) - 1;
        };
    }
    WordsOf words_of_this() {
        return [this](const std::string& purpose, int words_a_day) { return add_words(purpose, words_a_day); };
    }
    void extras() {  // after the loads, whose slots keep their places
        draft.solar = solar_draft(van, trip, slots_of_this(), words_of_this());
        draft.plan.fridge = fridge_options(*van.record("fridge"), slots_of_this());
        if (const RecordPtr s = trip.record("storage"))
            draft.plan.storage =
                storage_plan(*s, climate, out.first_day_, draft.plan.battery.lithium, slots_of_this());
    }
    void surroundings() {
        bind(engine::kSunRise, van, "cabin_sun_rise_k_per_w_m2", "");
        bind(engine::kLivedInRise, van, "cabin_lived_in_rise_k", "");
        bind(engine::kHeatLoss, van, "cabin_heat_loss_w_per_k", "");
        bind(engine::kShadeBeam, trip, "shade_beam", "trip.");
        bind(engine::kShadeSky, trip, "shade_sky", "trip.");
        set_surroundings(trip, out.slots_[engine::kShadeBeam], out.slots_[engine::kShadeSky]);
        bind(engine::kHabitsScale, trip, "habits_scale", "trip.");
        bind(engine::kWarmFoodKg, trip, "warm_food_kg", "trip.");
        bind(engine::kGhiScale, climate, "ghi_scale", "climate.");
        bind(engine::kClearnessLag1, climate, "clearness_lag1", "climate.");
        draft.plan.air_temp_lag1 = climate.number("air_temp_lag1");
    }

    void weather(Tables<double>& d, Tables<float>& f) {
        const auto skies = skies_of(places, out.first_day_, out.drawn_days(), out.sky_utc_offset_h_);
        if (places.front().stop) place_tables(places, out.days_, slots_of_this(), draft);
        add_dusk_and_dawn(skies, out.first_day_, *steps, draft);
        mark_days(draft.solar, skies, draft.drive, *steps);
        if (draft.plan.replay) {
            const auto record = weather::hourly_record(climate);
            const auto factors = record_planes(*record, van, trip, site, *steps, draft.solar);
            d.record.emplace(*record, factors);
            f.record.emplace(*record, factors);
        } else {
            const auto factors = place_planes(places, skies, van, trip, *steps, draft.solar);
            d.weather.emplace(climates_of(places), skies, factors);
            f.weather.emplace(*d.weather);
        }
    }

    void replay() {
        engine::Plan<double>& p = draft.plan;
        p.clearness_word = add_words("weather.clearness", 1);
        p.temperature_word = add_words("weather.temperature", 1);
        p.cloud_word = add_words("weather.cloud", 24);
        if (!p.replay) return;
        if (places.size() > 1)
            throw InputError(
                "Trip.weather = \"replayed\": allowed for a trip to one place, as one record has one place");
        const auto record = weather::hourly_record(climate);
        if (!record)
            throw InputError(
                "Trip.weather = \"replayed\": the climate has no record; make it with Climate.from_hourly");
        out.replay_starts_ = weather::replay_starts(*record, out.first_day_, out.sky_days_, out.sky_utc_offset_h_,
                                                    static_cast<int>(trip.number("replay_window_d")));
        for (auto start : out.replay_starts_)
            out.starts_over_a_splice_ += weather::splices_crossed(*record, start, 24 * out.sky_days_) > 0;
    }

    void finish() {
        engine::Plan<double>& p = draft.plan;
        p.slots = static_cast<int>(out.slots_.size());
        for (int i = 0; i < p.slots; ++i)
            if (out.slots_[static_cast<std::size_t>(i)].daily) out.day_slots_.push_back(i);
        p.day_slots = static_cast<int>(out.day_slots_.size());
    }
};

Compiled::Compiled(RecordPtr van, RecordPtr trip) : Compiled(van, trip, clock_without_zones(*trip)) {}

Compiled::Compiled(RecordPtr van, RecordPtr trip, Clock clock) : clock_(std::move(clock)) {
    std::vector<Place> places = places_of(*trip);
    const RecordPtr site = places.front().site, climate = places.front().climate;
    slots_.resize(engine::kNamedSlots);
    for (const RecordPtr& r : {van, trip})
        for (auto& w : r->warnings()) warnings_.push_back(std::move(w));
    Builder b{*this, *van, *trip, *site, *climate, {}, std::move(places), {}};
    b.calendar();
    b.replay();
    b.battery();
    charge_stages(*van, b.draft.plan);
    b.chargers();
    b.fridge();
    b.loads();
    b.surroundings();
    b.party_and_water();
    b.extras();
    b.days_and_sources();

    // The skies first: the draft's dawn and dusk come from them.
    Tables<double> weather_d;
    Tables<float> weather_f;
    b.weather(weather_d, weather_f);
    b.finish();
    auto d = make_tables<double>(b.draft);
    auto f = make_tables<float>(b.draft);
    d->weather = std::move(weather_d.weather);
    d->record = std::move(weather_d.record);
    f->weather = std::move(weather_f.weather);
    f->record = std::move(weather_f.record);
    d->day_slots = f->day_slots = day_slots_;
    d->point();
    f->point();
    double_ = std::move(d);
    single_ = std::move(f);
}

Compiled::~Compiled() = default;

template <>
const engine::Plan<double>& Compiled::plan<double>() const {
    return double_->plan;
}
template <>
const engine::Plan<float>& Compiled::plan<float>() const {
    return single_->plan;
}

}  // namespace ridethrough::trip
